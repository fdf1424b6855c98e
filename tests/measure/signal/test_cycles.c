#include "tests/support.h"

#include "tests/measure/wave.h"

#include "src/measure/constant/constant.h"
#include "src/measure/constant/shape.h"
#include "src/measure/signal/cycles.h"
#include "src/measure/signal/trace.h"
#include "src/measure/signal/track.h"

/* A trace of the wave, measured on its exact track. */
static sw_trace trace_of(const wave *w) {
    sw_kernel *kernel;
    sw_trace trace;
    sw_track track;
    sw_waveform waveform = wave_record(w, NULL, 1);
    assert_ok(sw_kernel_new(&kernel, NULL), NULL);
    assert_ok(sw_trace_new(&waveform, 0, 1.0, w->rate_hz, w->low_cut_hz, &trace, NULL), NULL);
    assert_ok(sw_trace_thin(&trace, kernel, w->hold_hz, NULL), NULL);
    double first_s = 0.5;
    size_t knots = (size_t)((w->seconds - first_s) / 0.02);
    assert_ok(sw_track_new(knots, &track, NULL), NULL);
    double cycles = 0.0;
    double step = 1e-4;
    for (size_t i = 0, n = 0; i < knots; n++) {
        double t = (double)n * step;
        if (t >= first_s + 0.02 * (double)i - 1e-9) {
            track.knot[i++] = (sw_knot){cycles, t, wave_hz(w, t)};
        }
        cycles += 0.5 * step * (wave_hz(w, t) + wave_hz(w, t + step));
    }
    assert_ok(sw_trace_measure(&trace, &track, kernel, NULL), NULL);
    sw_track_free(&track);
    sw_kernel_free(kernel);
    sw_waveform_free(&waveform);
    return trace;
}

static void cycles_follow_one_another(void **state) {
    (void)state;
    wave w = {.rate_hz = 16000,
              .seconds = 4,
              .start_hz = 20,
              .ramp_hz_per_s = 20,
              .hold_hz = 80,
              .flux = 0.05,
              .noise = 0.01};
    sw_trace trace = trace_of(&w);
    assert_true(trace.cycles.count > 200);
    for (size_t i = 0; i < trace.cycles.count; i++) {
        const sw_cycle *c = &trace.cycles.cycle[i];
        double hz = wave_hz(&w, c->start_s + 0.5 * c->length_s);
        /* six standard errors, and the bend of the ramp within a cycle */
        assert_close(c->length_s, 1.0 / hz, 6.0 * c->length_u_s + 2e-4 / hz);
        assert_close(c->flux, 0.05, 6.0 * c->flux_u + 1e-4 * 0.05);
        if (i > 0)
            assert_close(c->start_s, c[-1].start_s + c[-1].length_s, 1e-12);
    }
    /* white noise of 0.01 V rms at 16 kS/s: density 2 sigma^2/rate; a median over about 1000
     * windows, correlated by half: 8 % is five standard errors */
    assert_close(trace.noise_density / (2.0 * 1e-4 / 16000.0), 1.0, 0.08);
    sw_trace_free(&trace);
}

/* Scatter of lengths and fluxes is what their uncertainties say. */
static void uncertainties_are_honest(void **state) {
    (void)state;
    wave w = {
        .rate_hz = 8000, .seconds = 12, .hold_hz = 50, .flux = 0.02, .noise = 0.05, .seed = 5};
    sw_trace trace = trace_of(&w);
    double length_z = 0.0;
    double flux_z = 0.0;
    double count = (double)trace.cycles.count;
    for (size_t i = 0; i < trace.cycles.count; i++) {
        const sw_cycle *c = &trace.cycles.cycle[i];
        length_z += pow((c->length_s - 0.02) / c->length_u_s, 2.0) / count;
        flux_z += pow((c->flux - 0.02) / c->flux_u, 2.0) / count;
    }
    /* chi-square of some 570 cycles: standard deviation 6 %; noise floor known to 4 %; neighbours
     * correlate in length */
    assert_close(sqrt(length_z), 1.0, 0.15);
    assert_close(sqrt(flux_z), 1.0, 0.15);
    sw_trace_free(&trace);
}

/* The pattern of a turn of seven pole pairs stays in the flux of the cycles. A cycle averages it:
 * sinc(1/7) = 0.966. */
static void pattern_stays(void **state) {
    (void)state;
    wave w = {.rate_hz = 16000,
              .seconds = 4,
              .hold_hz = 70,
              .flux = 0.02,
              .pattern = 7,
              .pattern_share = 0.03};
    sw_trace trace = trace_of(&w);
    double c = 0.0;
    double s = 0.0;
    size_t used = trace.cycles.count / 7 * 7;
    for (size_t i = 0; i < used; i++) {
        c += trace.cycles.cycle[i].flux * cos(2.0 * M_PI * (double)i / 7.0);
        s += trace.cycles.cycle[i].flux * sin(2.0 * M_PI * (double)i / 7.0);
    }
    double amplitude = 2.0 * hypot(c, s) / (double)used / 0.02;
    assert_close(amplitude, 0.03 * sin(M_PI / 7.0) / (M_PI / 7.0), 0.0015);
    sw_trace_free(&trace);
}

/* Flux, harmonics and their angles with a low cut taken out. Drift of the low-passed rest and the
 * interpolation of the straight pieces: 2e-4. */
static void low_cut_is_taken_out(void **state) {
    (void)state;
    wave w = {.rate_hz = 32000,
              .seconds = 5,
              .start_hz = 6,
              .ramp_hz_per_s = 10,
              .hold_hz = 40,
              .flux = 0.03,
              .low_cut_hz = 6};
    w.relative[3] = 0.12;
    w.harmonic_deg[3] = 40.0;
    w.relative[5] = 0.05;
    w.harmonic_deg[5] = -75.0;
    sw_trace trace = trace_of(&w);
    assert_close(trace.constant.peak.value, 0.03, 2e-4 * 0.03);
    sw_motor motor;
    sw_motor_init(&motor);
    sw_shape_harmonics(&trace.spectrum, &motor);
    for (size_t i = 0; i < motor.harmonics; i++) {
        const sw_harmonic *h = &motor.harmonic[i];
        assert_close(h->relative, h->order == 1 ? 1.0 : w.relative[h->order], 5e-4);
        if (h->order == 3 || h->order == 5)
            assert_close(h->angle_deg, w.harmonic_deg[h->order], 1.0);
    }
    sw_trace_free(&trace);
}

/* The correction's slope is the derivative of the result by the low cut that is assumed. */
static void low_cut_slope_is_a_derivative(void **state) {
    (void)state;
    wave w = {.rate_hz = 16000, .seconds = 4, .hold_hz = 20, .flux = 0.03, .low_cut_hz = 5};
    sw_trace trace = trace_of(&w);
    double f = 20.0;
    double exact = 5.0 / (f * f + 25.0); /* d ln sqrt(1 + (fc/f)^2) / d fc */
    assert_close(trace.constant.low_cut_slope, exact, 0.01 * exact);
    sw_trace_free(&trace);
}

static void a_bounce_does_not_count(void **state) {
    (void)state;
    enum { COUNT = 200 };
    sw_cycle cycle[COUNT] = {{0}};
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    for (size_t i = 0; i < COUNT; i++)
        cycle[i] =
            (sw_cycle){.length_s = 0.02, .flux = 0.05 * (1.0 + gsl_ran_gaussian(random, 0.002))};
    for (size_t i = 0; i < 6; i++)
        cycle[30 * i].flux *= 3.0; /* 18 % on the plain mean */
    sw_constant constant;
    sw_cycles cycles = {COUNT, cycle};
    assert_ok(sw_constant_fit(&cycles, 0.0, &constant, NULL), NULL);
    assert_close(constant.peak.value, 0.05, 0.05 * 0.002);
    gsl_rng_free(random);
}

static void slow_cycles_are_left_out(void **state) {
    (void)state;
    sw_cycle cycle[4] = {{.length_s = 1.0, .flux = 9.0},
                         {.length_s = 0.1, .flux = 2.0},
                         {.length_s = 0.1, .flux = 2.0},
                         {.length_s = 0.5, .flux = 9.0}};
    sw_cycles cycles = {4, cycle};
    sw_constant constant;
    assert_ok(sw_constant_fit(&cycles, 8.0, &constant, NULL), NULL);
    assert_int_equal(constant.used, 2);
    assert_close(constant.peak.value, 2.0, 1e-12);
    assert_int_equal(sw_constant_fit(&cycles, 100.0, &constant, NULL), SW_TOO_SHORT);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cycles_follow_one_another),
        cmocka_unit_test(uncertainties_are_honest),
        cmocka_unit_test(pattern_stays),
        cmocka_unit_test(low_cut_is_taken_out),
        cmocka_unit_test(low_cut_slope_is_a_derivative),
        cmocka_unit_test(a_bounce_does_not_count),
        cmocka_unit_test(slow_cycles_are_left_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
