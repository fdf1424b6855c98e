/* The simulated input: divider, clamps, low cut, noise, steps. */
#include "tests/probes/simulate_support.h"

#include "probes/simulate/draw.h"
#include "probes/simulate/front.h"

enum { RATE = 48000 };

/* One channel, volts as they are, nothing in the way. */
static sw_sim_spec plain(void) {
    sw_sim_spec spec = clean_spec("fan-4", 1);
    spec.motor.resistance_ohm = 0;
    spec.motor.inductance_h = 0;
    return spec;
}

/* Pass a sine of this amplitude through for a whole number of periods after settling; complex
 * amplitude of what comes out relative to a cosine in. */
static double complex pass(const sw_sim_spec *spec, double hertz, double volts) {
    gsl_rng *random = sw_draw_new(spec->seed, SW_SIM_STREAM_NOISE);
    assert_non_null(random);
    sw_front front;
    sw_front_start(&front, spec, random);
    double complex sum = 0;
    enum { SETTLE = 3 * RATE, FRAMES = 2 * RATE };
    for (int i = 0; i < SETTLE + FRAMES; i++) {
        double time_s = i * front.step_s;
        double in = volts * cos(2 * M_PI * hertz * time_s);
        double out = 0;
        sw_front_sample(&front, time_s, &in, &out);
        if (i >= SETTLE)
            sum += out * cexp(-I * (2 * M_PI * hertz * time_s)) * 2 / FRAMES;
    }
    gsl_rng_free(random);
    return sum;
}

/* |H| = 1 / sqrt(1 + (fc / f)^2), leading by atan(fc / f). Straight pieces between samples err by
 * (2 pi f / rate)^2 / 12 of the part that is cut. */
static void test_low_cut(void **state) {
    (void)state;
    static const double HERTZ[] = {1, 2, 4, 8, 50, 1000};
    sw_sim_spec spec = plain();
    spec.front.low_cut_hz = 4;
    for (size_t i = 0; i < sizeof HERTZ / sizeof *HERTZ; i++) {
        double complex out = pass(&spec, HERTZ[i], 0.5);
        assert_close(cabs(out) / 0.5, 1 / sqrt(1 + pow(4 / HERTZ[i], 2)), 1e-5);
        assert_close(carg(out), atan(4 / HERTZ[i]), 1e-4);
    }
}

static void test_loading(void **state) {
    (void)state;
    sw_sim_spec spec = plain();
    spec.front.input_ohm = 1000;
    spec.motor.resistance_ohm = 200;
    assert_close(cabs(pass(&spec, 50, 0.5)) / 0.5, 1000.0 / 1200, 1e-6);
    /* With inductance: R_in / (R_in + R + j w L); 0.3 H at 200 Hz. Straight pieces: 1e-4. */
    spec.motor.inductance_h = 0.3;
    double complex expected = 1000 / (1200 + I * (2 * M_PI * 200 * 0.3));
    assert_close(cabs(pass(&spec, 200, 0.5) / 0.5 - expected), 0, 2e-4);
}

static void test_clamps(void **state) {
    (void)state;
    sw_sim_spec spec = plain();
    spec.front.linear_limit = 0.8;
    gsl_rng *random = sw_draw_new(1, SW_SIM_STREAM_NOISE);
    assert_non_null(random);
    sw_front front;
    sw_front_start(&front, &spec, random);
    /* Just what reaches 0.8 behind the clamps loses 0.1 %. */
    static const struct {
        double in;
        double out;
        double tolerance;
    } CASES[] = {
        {0.8 * 1.001, 0.8, 1e-9}, {-0.8 * 1.001, -0.8, 1e-9}, {0.2, 0.2, 1e-9}, {0.5, 0.5, 1e-5}};
    for (size_t i = 0; i < sizeof CASES / sizeof *CASES; i++) {
        double out = 0;
        sw_front_sample(&front, 0, &CASES[i].in, &out);
        assert_close(out, CASES[i].out, CASES[i].tolerance);
    }
    /* Ten times too much: ln(9.2 / 0.0008) = 9.35 slopes of 0.8 / 14 above the limit. */
    double in = 10;
    double out = 0;
    sw_front_sample(&front, 0, &in, &out);
    assert_close(out, 0.8 + 0.8 / 14 * log((10 - 1.33) / 0.0008), 0.01);
    assert_int_equal(front.clamped, 3);
    gsl_rng_free(random);
}

static void test_steps_and_clipping(void **state) {
    (void)state;
    sw_sim_spec spec = clean_spec("hub-30", 5);
    spec.front.bits = 8;
    spec.front.volts_per_unit = 0;
    spec.front.level = 1.5; /* half as much again as fits */
    sw_sim_truth truth;
    sw_waveform record = simulate_or_fail(&spec, &truth);
    size_t clipped = 0;
    for (size_t i = 0; i < record.frames; i++) {
        double x = record.channel[0].samples[i] * 128;
        assert_close(x, rint(x), 1e-12);
        assert_true(x >= -128 && x <= 127);
        clipped += x <= -128 || x >= 127;
    }
    assert_int_equal(clipped, truth.clipped);
    assert_true(clipped > record.frames / 5);
    assert_close(record.channel[0].step, 1.0 / 128, 0);
    sw_waveform_free(&record);
}

static void test_rounding_error(void **state) {
    (void)state;
    sw_sim_spec spec = clean_spec("hub-30", 5);
    spec.spin.speed_rpm = 307.3; /* no whole number of samples a cycle */
    spec.front.volts_per_unit = 50;
    sw_waveform exact = simulate_or_fail(&spec, NULL);
    spec.front.bits = 16;
    sw_waveform rounded = simulate_or_fail(&spec, NULL);
    double squares = 0;
    for (size_t i = 0; i < exact.frames; i++)
        squares += pow(exact.channel[0].samples[i] - rounded.channel[0].samples[i], 2);
    /* q / sqrt 12; 48,000 values, nearly independent: within 2 %. */
    assert_close(sqrt(squares / (double)exact.frames) * 32768 * sqrt(12), 1, 0.02);
    sw_waveform_free(&exact);
    sw_waveform_free(&rounded);
}

static void test_clock_error(void **state) {
    (void)state;
    sw_sim_spec spec = clean_spec("hub-30", 5);
    spec.front.clock_error = 1e-3;
    sw_waveform record = simulate_or_fail(&spec, NULL);
    /* A clock that is fast by e shows a frequency that is low by e: 75 Hz / 1.001. */
    double shown = 75 / 1.001;
    double complex early = 0;
    double complex late = 0;
    size_t half = record.frames / 2;
    for (size_t i = 0; i < half; i++) {
        double angle = 2 * M_PI * shown * (double)i / RATE;
        early += record.channel[0].samples[i] * cexp(-I * angle);
        late += record.channel[0].samples[i + half] *
                cexp(-I * (angle + 2 * M_PI * shown * (double)half / RATE));
    }
    /* Phase turn over half a second at the right frequency: none. 0.001 of the 75 Hz would turn it
     * by 0.24 rad; a half-window that does not hold whole cycles leaves some 1e-3. */
    assert_close(carg(late / early), 0, 5e-3);
    sw_waveform_free(&record);
}

static void test_noise_hum_offset(void **state) {
    (void)state;
    sw_sim_spec spec = plain();
    spec.spin.speed_rpm = 0;
    spec.spin.seconds = 10;
    spec.front.noise = 1e-3;
    spec.front.hum = 5e-3;
    spec.front.hum_hz = 50;
    spec.front.offset = 0.01;
    sw_waveform record = simulate_or_fail(&spec, NULL);
    double mean = 0;
    double squares = 0;
    for (size_t i = 0; i < record.frames; i++) {
        mean += record.channel[0].samples[i] / (double)record.frames;
        squares += pow(record.channel[0].samples[i], 2) / (double)record.frames;
    }
    /* Standard error of the mean 1e-3 / sqrt(480000) = 1.4e-6; five of them. */
    assert_close(mean, 0.01, 7e-6);
    assert_close(cabs(amplitude_at(&record, 0, 50)), 5e-3, 1e-5);
    assert_close(cabs(amplitude_at(&record, 0, 150)), 0.4 * 5e-3, 1e-5);
    double hum = 12.5e-6 * (1 + 0.15 * 0.15 + 0.4 * 0.4 + 0.2 * 0.2);
    /* Relative standard error 1 / sqrt(960000) = 0.1 %; the rest is the hum's cross term. */
    assert_close(sqrt(squares - mean * mean - hum), 1e-3, 1e-5);
    sw_waveform_free(&record);
}

static void test_automatic_level(void **state) {
    (void)state;
    sw_sim_spec spec = clean_spec("hub-30", 5);
    spec.front.automatic_level = true;
    spec.spin.seconds = 8;
    double peaks[2];
    for (int i = 0; i < 2; i++) {
        spec.front.volts_per_unit = i == 0 ? 40 : 80;
        sw_waveform record = simulate_or_fail(&spec, NULL);
        peaks[i] = 0;
        for (size_t k = record.frames - RATE / 2; k < record.frames; k++)
            peaks[i] = fmax(peaks[i], fabs(record.channel[0].samples[k]));
        sw_waveform_free(&record);
    }
    /* Half the volts, the same level. */
    assert_close(peaks[0] / peaks[1], 1, 0.02);
}

static void test_scope_samples_are_volts(void **state) {
    (void)state;
    sw_sim_spec spec = clean_spec("hub-30", 5);
    sw_waveform volts = simulate_or_fail(&spec, NULL);
    spec.front.scope = true;
    spec.front.volts_per_unit = 40;
    spec.front.bits = 12;
    sw_waveform scope = simulate_or_fail(&spec, NULL);
    assert_int_equal(scope.coupling, SW_COUPLING_DC);
    assert_close(scope.channel[0].full_scale, 40, 0);
    for (size_t i = 0; i < volts.frames; i += 7)
        assert_close(scope.channel[0].samples[i], volts.channel[0].samples[i],
                     40.0 / 2048 / 2 + 1e-9);
    sw_waveform_free(&volts);
    sw_waveform_free(&scope);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_low_cut),
        cmocka_unit_test(test_loading),
        cmocka_unit_test(test_clamps),
        cmocka_unit_test(test_steps_and_clipping),
        cmocka_unit_test(test_rounding_error),
        cmocka_unit_test(test_clock_error),
        cmocka_unit_test(test_noise_hum_offset),
        cmocka_unit_test(test_automatic_level),
        cmocka_unit_test(test_scope_samples_are_volts),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
