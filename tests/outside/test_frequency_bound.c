/* Frequency of a steady wave against the Cramer-Rao bound.
 *
 * Real sinusoid with unknown amplitude, phase and frequency in white noise, N samples:
 *   var(w) >= 12 / (eta N (N^2 - 1)),  eta = A^2 / (2 sigma^2)
 * S. M. Kay, Fundamentals of Statistical Signal Processing: Estimation Theory, 1993, Example 3.14.
 * With harmonics of known number at k w, sum k^2 eta_k stands in place of eta (the score of each
 * harmonic adds; follows from the same derivation).
 *
 * The whole of measuring is used, not the fit alone (test_tone_bound.c), so that a track that loses
 * the ends of a record shows up. With TRIALS records the ratio's standard error is 1/sqrt(2
 * TRIALS); the limit is 1.05 and 3.5 of them.
 */
#include "tests/support.h"

#include "src/measure/measure.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdio.h>

enum { TRIALS = 80, ORDERS = 5 };

static const double rate_hz = 1000.0;

typedef struct scene {
    size_t samples;
    double cycles;
    double snr_db;
    int orders;
} scene;

static const double amplitude[ORDERS + 1] = {0, 1, 0, 0.2, 0, 0.1};

static double bound_hz(const scene *s) {
    double eta = 0.0;
    for (int k = 1; k <= s->orders; k++)
        eta += k * k * amplitude[k] * amplitude[k] * pow(10.0, s->snr_db / 10.0);
    double n = (double)s->samples;
    return sqrt(12.0 / (eta * n * (n * n - 1.0))) * rate_hz / (2.0 * M_PI);
}

/* Error of one record, over the bound; *z is the error over its stated uncertainty. */
static double trial(const scene *s, gsl_rng *random, double *z) {
    sw_waveform waveform;
    sw_error error = {0};
    assert_ok(sw_waveform_new(1, s->samples, rate_hz, &waveform, &error), &error);
    waveform.in_volts = 1;
    waveform.coupling = SW_COUPLING_DC;
    double sigma = sqrt(0.5 / pow(10.0, s->snr_db / 10.0));
    double hz = (s->cycles + gsl_rng_uniform(random)) * rate_hz / (double)s->samples;
    double phase[ORDERS + 1];
    for (int k = 1; k <= ORDERS; k++)
        phase[k] = 2.0 * M_PI * gsl_rng_uniform(random);
    for (size_t i = 0; i < s->samples; i++) {
        double y = gsl_ran_gaussian(random, sigma);
        for (int k = 1; k <= s->orders; k++)
            y += amplitude[k] * cos(2.0 * M_PI * k * hz * (double)i / rate_hz + phase[k]);
        waveform.channel[0].samples[i] = y;
    }
    sw_measure_request request = sw_measure_default();
    sw_motor motor;
    assert_ok(sw_measure(&waveform, 0, &request, &motor, &error), &error);
    sw_waveform_free(&waveform);
    assert_true(sw_quantity_known(motor.electrical_frequency));
    double off = motor.electrical_frequency.value - hz;
    *z = off / motor.electrical_frequency.u;
    return off / bound_hz(s);
}

static void at_the_bound(const scene *s) {
    const unsigned long seed = 20;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, seed);
    double sum = 0.0;
    double squares = 0.0;
    double covered = 0.0;
    for (int i = 0; i < TRIALS; i++) {
        double z;
        double off = trial(s, random, &z);
        sum += off;
        squares += off * off;
        covered += fabs(z) <= 2.0;
    }
    gsl_rng_free(random);
    double rmse = sqrt(squares / TRIALS);
    double bias = sum / TRIALS;
    printf("%4zu samples, %5.1f cycles, %2.0f dB, %d orders: rms error %.3f of the bound, bias "
           "%+.3f, within k = 2 %.1f %% (seed %lu)\n",
           s->samples, s->cycles, s->snr_db, s->orders, rmse, bias, 100.0 * covered / TRIALS, seed);
    assert_true(rmse <= 1.05 * (1.0 + 3.5 / sqrt(2.0 * TRIALS)));
    assert_close(bias, 0.0, 4.0 / sqrt((double)TRIALS));
    /* 95.45 % and 3.5 binomial standard deviations below */
    assert_true(covered / TRIALS > 0.9545 - 3.5 * sqrt(0.9545 * 0.0455 / TRIALS));
}

static void a_tone(void **state) {
    (void)state;
    const scene scenes[] = {
        {500, 5, 10, 1},  {500, 8, 20, 1},   {500, 20, 40, 1},
        {2000, 5, 40, 1}, {2000, 20, 10, 1}, {2000, 100, 60, 1},
    };
    for (size_t i = 0; i < sizeof scenes / sizeof scenes[0]; i++)
        at_the_bound(&scenes[i]);
}

static void a_harmonic_series(void **state) {
    (void)state;
    const scene scenes[] = {
        {2000, 8, 20, 5},
        {2000, 20, 40, 5},
        {2000, 60, 10, 5},
    };
    for (size_t i = 0; i < sizeof scenes / sizeof scenes[0]; i++)
        at_the_bound(&scenes[i]);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_tone),
        cmocka_unit_test(a_harmonic_series),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
