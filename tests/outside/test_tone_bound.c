/* The frequency estimator itself against the full Cramer-Rao bound, sharply.
 *
 * The bound of one record is the frequency's element of the inverse Fisher matrix of every
 * parameter that is not known: frequency, offset, and a cosine and a sine of each order,
 *   F = J'J / sigma^2,  J = d signal / d parameter
 * (S. M. Kay, Fundamentals of Statistical Signal Processing: Estimation Theory, 1993, section 3.9
 * for Gaussian noise; A. Nehorai & B. Porat, IEEE Trans. ASSP 34, 1986, for harmonic signals). It
 * is inverted numerically (GSL) for each record's own phases. At five cycles it lies up to 1 %
 * above the well-known 12/(eta N (N^2 - 1)), which counts on many cycles.
 *
 * The estimator is not told how many harmonics there are. The start is off by up to a quarter of
 * a turn over the record, either way. Frequencies lie evenly between bins.
 *
 * The error over its bound has a mean square of 1 for an efficient estimator; over M records that
 * has the standard error sqrt(2/M), the ratio 1/sqrt(2 M). Each cell of the grid may exceed 1.05
 * by 3.5 standard errors, all together by 3 of theirs.
 *
 *   SPINWORTH_BOUND_TRIALS=2000 build/tests/outside.test_tone_bound      the long form
 */
#include "tests/support.h"

#include "src/measure/signal/tone.h"

#include <gsl/gsl_linalg.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_matrix.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <gsl/gsl_vector.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

enum { SHORT_TRIALS = 500, ORDERS = 5, COLUMNS = 2 * ORDERS + 2, SAMPLES = 400 };

static const double rate_hz = 1000.0;
static const double amplitude[ORDERS + 1] = {0, 1, 0, 0.2, 0, 0.1};

/* One record: orders up to `orders` of the amplitudes above. */
typedef struct scene {
    int orders;
    double hz;
    double sigma;
    double phase[ORDERS + 1];
    double value[SAMPLES];
} scene;

typedef struct tally {
    double trials;
    double sum;
    double squares;
    double covered;
} tally;

static double time_of(size_t sample) {
    return ((double)sample - 0.5 * (SAMPLES - 1)) / rate_hz;
}

/* Derivatives of one sample: frequency, offset, cosines and sines. */
static void jacobian_row(const scene *s, double x, double *row) {
    row[0] = 0.0;
    row[1] = 1.0;
    for (int k = 1; k <= s->orders; k++) {
        double angle = 2.0 * M_PI * k * s->hz * x + s->phase[k];
        size_t at = 2 * (size_t)k;
        row[0] -= amplitude[k] * 2.0 * M_PI * k * x * sin(angle);
        row[at] = cos(angle);
        row[at + 1] = sin(angle);
    }
}

static double bound_hz(const scene *s) {
    size_t columns = 2 * (size_t)s->orders + 2;
    double row[COLUMNS];
    gsl_matrix *fisher = gsl_matrix_calloc(columns, columns);
    gsl_vector *unit = gsl_vector_calloc(columns);
    for (size_t n = 0; n < SAMPLES; n++) {
        jacobian_row(s, time_of(n), row);
        for (size_t i = 0; i < columns; i++)
            for (size_t j = 0; j < columns; j++)
                *gsl_matrix_ptr(fisher, i, j) += row[i] * row[j];
    }
    gsl_vector_set(unit, 0, 1.0);
    assert_int_equal(gsl_linalg_cholesky_decomp1(fisher), 0);
    assert_int_equal(gsl_linalg_cholesky_svx(fisher, unit), 0);
    double bound = s->sigma * sqrt(gsl_vector_get(unit, 0));
    gsl_matrix_free(fisher);
    gsl_vector_free(unit);
    return bound;
}

static void draw(scene *s, double cycles, double snr_db, gsl_rng *random) {
    s->sigma = sqrt(0.5 / pow(10.0, snr_db / 10.0));
    s->hz = (cycles + gsl_rng_uniform(random)) * rate_hz / SAMPLES;
    for (int k = 1; k <= s->orders; k++)
        s->phase[k] = 2.0 * M_PI * gsl_rng_uniform(random);
    for (size_t n = 0; n < SAMPLES; n++) {
        s->value[n] = gsl_ran_gaussian(random, s->sigma);
        for (int k = 1; k <= s->orders; k++)
            s->value[n] += amplitude[k] * cos(2.0 * M_PI * k * s->hz * time_of(n) + s->phase[k]);
    }
}

static void trial(scene *s, gsl_rng *random, tally *t) {
    sw_signal signal = {.rate_hz = rate_hz, .count = SAMPLES, .value = s->value};
    double start = s->hz + 0.5 * (gsl_rng_uniform(random) - 0.5) * rate_hz / SAMPLES;
    sw_tone tone;
    sw_error error = {0};
    assert_ok(
        sw_tone_fit(&signal, 0.0, (SAMPLES - 1) / rate_hz, SW_TONE_ORDERS, start, &tone, &error),
        &error);
    double off = tone.frequency.value - s->hz;
    double relative = off / bound_hz(s);
    t->trials += 1.0;
    t->sum += relative;
    t->squares += relative * relative;
    t->covered += fabs(off) <= 2.0 * tone.frequency.u;
}

static void judge(const tally *t, const char *what, double errors) {
    double ratio = sqrt(t->squares / t->trials);
    double bias = t->sum / t->trials;
    printf("%s: rms error %.3f of the bound (standard error %.3f), bias %+.3f, within k = 2 "
           "%.1f %%\n",
           what, ratio, 1.0 / sqrt(2.0 * t->trials), bias, 100.0 * t->covered / t->trials);
    assert_true(ratio <= 1.05 * (1.0 + errors / sqrt(2.0 * t->trials)));
    /* An estimator that beats the bound by more than chance means a wrong bound. */
    assert_true(ratio >= 1.0 - errors / sqrt(2.0 * t->trials));
    assert_close(bias, 0.0, errors / sqrt(t->trials));
    /* An error 1.05 times the bound is within two bounds in 94.3 % of cases; binomial deviations
     * below that. */
    assert_true(t->covered / t->trials > 0.943 - errors * sqrt(0.943 * 0.057 / t->trials));
}

static void add(tally *all, const tally *one) {
    all->trials += one->trials;
    all->sum += one->sum;
    all->squares += one->squares;
    all->covered += one->covered;
}

static void grid_of(int orders) {
    static const double cycles[] = {5, 8, 15, 30};
    static const double snr_db[] = {10, 20, 40, 60};
    const char *wanted = getenv("SPINWORTH_BOUND_TRIALS");
    long trials = wanted != NULL ? strtol(wanted, NULL, 10) : SHORT_TRIALS;
    const unsigned long seed = 7;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, seed);
    tally all = {0};
    for (size_t c = 0; c < sizeof cycles / sizeof cycles[0]; c++)
        for (size_t d = 0; d < sizeof snr_db / sizeof snr_db[0]; d++) {
            tally one = {0};
            scene s = {.orders = orders};
            char what[80];
            snprintf(what, sizeof what, "orders to %d, %2.0f cycles, %2.0f dB (seed %lu)", orders,
                     cycles[c], snr_db[d], seed);
            for (long i = 0; i < trials; i++) {
                draw(&s, cycles[c], snr_db[d], random);
                trial(&s, random, &one);
            }
            judge(&one, what, 3.5);
            add(&all, &one);
        }
    gsl_rng_free(random);
    judge(&all, "all of them", 3.0);
}

static void a_tone(void **state) {
    (void)state;
    grid_of(1);
}

static void a_harmonic_series(void **state) {
    (void)state;
    grid_of(ORDERS);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_tone),
        cmocka_unit_test(a_harmonic_series),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
