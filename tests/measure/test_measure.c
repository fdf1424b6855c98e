/* From waveform to motor record: values, properties and warnings. */
#include "tests/support.h"

#include "tests/measure/wave.h"

#include "src/measure/measure.h"

#include <string.h>

static const wave base = {.rate_hz = 12000,
                          .seconds = 3,
                          .hold_hz = 63,
                          .flux = 0.05,
                          .noise = 0.003,
                          .pattern = 8,
                          .pattern_share = 0.01,
                          .seed = 4};

static sw_motor measured(sw_waveform *waveform, const sw_measure_request *request) {
    sw_motor motor;
    sw_error error = {0};
    assert_ok(sw_measure(waveform, 0, request, &motor, &error), &error);
    sw_waveform_free(waveform);
    return motor;
}

static sw_motor measure_wave(const wave *w) {
    sw_waveform waveform = wave_record(w, NULL, 1);
    sw_measure_request request = sw_measure_default();
    request.profile.low_cut_hz = sw_quantity_of(w->low_cut_hz, 0.0, "Hz");
    return measured(&waveform, &request);
}

static void speed_gives_poles_and_constant(void **state) {
    (void)state;
    sw_waveform waveform = wave_record(&base, NULL, 1);
    sw_measure_request request = sw_measure_default();
    request.evidence.speed = sw_quantity_of(472.5, 1.0, "rpm"); /* 60 * 63 Hz / 472.5 = 8 */
    sw_motor motor = measured(&waveform, &request);
    assert_int_equal(motor.kind, SW_MAGNET_AC);
    assert_int_equal(motor.pole_pairs.value, 8);
    /* 63 Hz for 3 s at 57 dB: the bound is below 1e-6 of it */
    assert_close(motor.electrical_frequency.value, 63.0, 63.0 * 4e-5);
    assert_close(motor.speed.value, 472.5, 472.5 * 4e-5);
    double k = 0.05 / M_SQRT2 * 8.0 / 60.0;
    assert_close(motor.voltage_constant.value, k, 3e-4 * k);
    assert_true(motor.voltage_constant.u > 0.0 && motor.voltage_constant.u < 1e-3 * k);
}

static void speed_that_contradicts_is_told(void **state) {
    (void)state;
    sw_waveform waveform = wave_record(&base, NULL, 1);
    sw_measure_request request = sw_measure_default();
    request.evidence.speed = sw_quantity_of(493.0, 1.0, "rpm"); /* 7.67 pole pairs */
    sw_motor motor = measured(&waveform, &request);
    assert_true(motor.pole_pairs.value == 0 || sw_motor_warned(&motor, SW_WARN_SPEED_DOUBTFUL));
}

/* Twice the volts: twice the constant, all else the same. Backwards in time: the same constant. */
static void scale_and_reversal(void **state) {
    (void)state;
    wave w = base;
    w.start_hz = 5;
    w.ramp_hz_per_s = 40;
    w.relative[3] = 0.1;
    sw_motor once = measure_wave(&w);
    w.flux *= 2.0;
    w.noise *= 2.0;
    sw_motor twice = measure_wave(&w);
    assert_close(twice.volts_per_hertz.value / once.volts_per_hertz.value, 2.0, 1e-9);
    assert_close(twice.electrical_frequency.value, once.electrical_frequency.value, 1e-9);
    sw_waveform waveform = wave_record(&w, NULL, 1);
    double *x = waveform.channel[0].samples;
    for (size_t i = 0, j = waveform.frames - 1; i < j; i++, j--) {
        double swap = x[i];
        x[i] = x[j];
        x[j] = swap;
    }
    sw_measure_request request = sw_measure_default();
    sw_motor back = measured(&waveform, &request);
    assert_close(back.volts_per_hertz.value / twice.volts_per_hertz.value, 1.0, 2e-4);
    assert_close(back.electrical_frequency.value / twice.electrical_frequency.value, 1.0, 1e-3);
}

/* Form and crest factor of a sine: pi/(2 sqrt2) and sqrt2. */
static void sine_factors(void **state) {
    (void)state;
    sw_motor motor = measure_wave(&base);
    assert_close(motor.form_factor.value, M_PI / (2.0 * M_SQRT2), 2e-3);
    assert_close(motor.crest_factor.value, M_SQRT2, 4e-3);
    assert_close(motor.distortion.value, 0.0, 2e-3);
}

static void ramp_and_run_down_count(void **state) {
    (void)state;
    wave w = {.rate_hz = 24000,
              .seconds = 6,
              .start_hz = 0,
              .ramp_hz_per_s = 80,
              .hold_hz = 150,
              .fall_s = 4,
              .flux = 0.02,
              .low_cut_hz = 5,
              .noise = 0.002};
    sw_motor motor = measure_wave(&w);
    assert_close(motor.volts_per_hertz.value, 0.02 / M_SQRT2, 5e-4 * 0.02);
    assert_close(motor.electrical_frequency.value, 150.0, 0.01);
    assert_true(motor.stretch_from_s > 1.5 && motor.stretch_to_s < 4.5);
}

static void fewer_than_two_cycles_are_not_reported(void **state) {
    (void)state;
    wave w = base;
    w.seconds = 1.7 / 63.0;
    sw_waveform waveform = wave_record(&w, NULL, 1);
    sw_measure_request request = sw_measure_default();
    sw_motor motor;
    sw_error error = {0};
    sw_status status = sw_measure(&waveform, 0, &request, &motor, &error);
    assert_true(status == SW_TOO_SHORT ||
                (status == SW_OK && !sw_quantity_known(motor.electrical_frequency)));
    sw_waveform_free(&waveform);
}

static void mains_is_not_a_motor(void **state) {
    (void)state;
    wave w = {.rate_hz = 400, .seconds = 30, .hold_hz = 50.02, .flux = 6, .noise = 0.5};
    sw_motor motor = measure_wave(&w);
    assert_int_equal(motor.kind, SW_NO_GENERATOR);
    assert_true(sw_motor_warned(&motor, SW_WARN_NOT_A_MOTOR));
    assert_close(motor.electrical_frequency.value, 50.02, 1e-3);
}

static void nothing_there(void **state) {
    (void)state;
    wave w = base;
    w.flux = 0;
    sw_motor motor = measure_wave(&w);
    assert_int_equal(motor.kind, SW_NO_GENERATOR);
    assert_true(sw_motor_warned(&motor, SW_WARN_FREEWHEEL));
    assert_false(sw_quantity_known(motor.volts_per_hertz));
}

static void offset_is_told_and_harmless(void **state) {
    (void)state;
    sw_waveform waveform = wave_record(&base, NULL, 1);
    for (size_t i = 0; i < waveform.frames; i++)
        waveform.channel[0].samples[i] += 0.6; /* amplitude 3 V */
    sw_measure_request request = sw_measure_default();
    sw_motor motor = measured(&waveform, &request);
    assert_int_equal(motor.kind, SW_MAGNET_AC);
    assert_true(sw_motor_warned(&motor, SW_WARN_OFFSET));
    assert_close(motor.volts_per_hertz.value, 0.05 / M_SQRT2, 5e-4 * 0.05);
}

/* Hum of 3 % while a motor runs up: told, and taken out of the constant. */
static void hum_is_taken_out(void **state) {
    (void)state;
    wave w = {.rate_hz = 12000,
              .seconds = 8,
              .start_hz = 0,
              .ramp_hz_per_s = 30,
              .hold_hz = 90,
              .flux = 0.03,
              .noise = 0.003};
    sw_waveform waveform = wave_record(&w, NULL, 1);
    for (size_t i = 0; i < waveform.frames; i++)
        waveform.channel[0].samples[i] += 0.08 * sin(2.0 * M_PI * 49.97 * (double)i / w.rate_hz);
    sw_measure_request request = sw_measure_default();
    sw_motor motor = measured(&waveform, &request);
    assert_true(sw_motor_warned(&motor, SW_WARN_MAINS_HUM));
    assert_close(motor.volts_per_hertz.value, 0.03 / M_SQRT2, 5e-4 * 0.03);
    assert_close(motor.electrical_frequency.value, 90.0, 0.005);
}

/* Volts that stay while the speed changes. */
static void automatic_level_is_told(void **state) {
    (void)state;
    wave w = base;
    w.start_hz = 20;
    w.ramp_hz_per_s = 15;
    sw_waveform waveform = wave_record(&w, NULL, 1);
    for (size_t i = 0; i < waveform.frames; i++)
        waveform.channel[0].samples[i] *= 63 / wave_hz(&w, (double)i / w.rate_hz);
    sw_measure_request request = sw_measure_default();
    sw_motor motor = measured(&waveform, &request);
    assert_true(sw_motor_warned(&motor, SW_WARN_AUTOMATIC_LEVEL));
    assert_false(sw_quantity_known(motor.volts_per_hertz));
}

/* A wave cut at half its height is 23 % too small at the fundamental: hertz and poles stand, volts
 * are not told. One whose highest crests alone are cut keeps them. */
static void cut_crests_give_no_volts(void **state) {
    (void)state;
    static const double CUT[] = {0.5, 0.999};
    for (int i = 0; i < 2; i++) {
        wave w = base;
        w.start_hz = 63;
        w.ramp_hz_per_s = 0;
        sw_waveform waveform = wave_record(&w, NULL, 1);
        double most = 0;
        size_t clipped = 0;
        for (size_t k = 0; k < waveform.frames; k++)
            most = fmax(most, fabs(waveform.channel[0].samples[k]));
        for (size_t k = 0; k < waveform.frames; k++) {
            double *sample = &waveform.channel[0].samples[k];
            clipped += fabs(*sample) >= CUT[i] * most;
            *sample = fmax(-CUT[i] * most, fmin(CUT[i] * most, *sample));
        }
        sw_measure_request request = sw_measure_default();
        request.evidence.speed = sw_quantity_of(472.5, 1.0, "rpm");
        sw_motor motor;
        sw_error error = {SW_OK, ""};
        assert_ok(sw_measure(&waveform, clipped, &request, &motor, &error), &error);
        assert_true(sw_motor_warned(&motor, SW_WARN_CLIPPED));
        assert_int_equal(sw_quantity_known(motor.volts_per_hertz), i);
        assert_int_equal(sw_quantity_known(motor.voltage_constant), i);
        assert_int_equal(motor.pole_pairs.value, 8);
        /* of a cut wave: a thousandth will do */
        assert_close(motor.electrical_frequency.value, 63.0, 0.063);
        sw_waveform_free(&waveform);
    }
}

/* A spin held at 100 Hz and cut there, that slows to nothing: its slow cycles are whole and tell
 * the volts, whether full scale or the clamps did the cutting. */
static void whole_cycles_tell_the_volts(void **state) {
    (void)state;
    for (int clamps = 0; clamps < 2; clamps++) {
        wave w = base;
        w.seconds = 6;
        w.hold_hz = 100;
        w.start_hz = 100;
        w.ramp_hz_per_s = 25;
        w.fall_s = 2.5;
        sw_waveform waveform = wave_record(&w, NULL, 1);
        double most = 60 * w.flux; /* 60 Hz just pass */
        size_t clipped = 0;
        for (size_t k = 0; k < waveform.frames; k++) {
            double *sample = &waveform.channel[0].samples[k];
            clipped += fabs(*sample) >= most;
            *sample = fmax(-most, fmin(most, *sample));
        }
        assert_true(10 * clipped > waveform.frames); /* too many for the robust fit alone */
        sw_measure_request request = sw_measure_default();
        request.evidence.speed = sw_quantity_of(750, 2, "rpm");
        waveform.in_volts = clamps == 0;
        waveform.channel[0].full_scale = clamps == 0 ? most : 2 * most;
        if (clamps > 0) {
            request.profile.linear_limit = 0.499;
            request.profile.volts_per_unit = sw_quantity_of(1, 0, "V");
            request.profile.calibrated = true;
        }
        sw_motor motor;
        sw_error error = {SW_OK, ""};
        assert_ok(sw_measure(&waveform, clamps > 0 ? 0 : clipped, &request, &motor, &error),
                  &error);
        assert_true(
            sw_motor_warned(&motor, clamps > 0 ? SW_WARN_CLAMP_CONDUCTING : SW_WARN_CLIPPED));
        assert_non_null(strstr(motor.warning[0].message, "volts are those of the"));
        assert_false(sw_motor_warned(&motor, SW_WARN_AUTOMATIC_LEVEL));
        assert_int_equal(motor.pole_pairs.value, 8);
        /* 72 whole cycles, nine turns of the ripple of a hundredth: what a part of a turn more
         * leaves is 0.01 / (2 pi 9) = 2e-4, the noise 0.003 V on 2 V over 72 cycles as much */
        assert_close(motor.volts_per_hertz.value, w.flux / M_SQRT2, 0.001 * w.flux / M_SQRT2);
        sw_waveform_free(&waveform);
    }
}

static void untrusted_level_gives_no_volts(void **state) {
    (void)state;
    sw_waveform waveform = wave_record(&base, NULL, 1);
    sw_measure_request request = sw_measure_default();
    request.level_untrusted = true;
    request.evidence.speed = sw_quantity_of(472.5, 1.0, "rpm");
    sw_motor motor = measured(&waveform, &request);
    assert_int_equal(motor.pole_pairs.value, 8);
    assert_false(sw_quantity_known(motor.volts_per_hertz));
    assert_false(sw_quantity_known(motor.voltage_constant));
}

/* A low cut that the profile puts too low shows as volts per hertz that rise with speed. */
static void wrong_low_cut_is_told(void **state) {
    (void)state;
    wave w = {.rate_hz = 12000,
              .seconds = 6,
              .start_hz = 0,
              .ramp_hz_per_s = 8,
              .hold_hz = 40,
              .flux = 0.05,
              .noise = 0.001,
              .low_cut_hz = 8};
    sw_waveform waveform = wave_record(&w, NULL, 1);
    sw_measure_request request = sw_measure_default();
    request.profile.low_cut_hz = sw_quantity_of(4.0, 0.1, "Hz");
    sw_motor motor = measured(&waveform, &request);
    assert_true(sw_motor_warned(&motor, SW_WARN_LOW_CUT_DOUBTFUL));
    sw_motor right = measure_wave(&w);
    assert_false(sw_motor_warned(&right, SW_WARN_LOW_CUT_DOUBTFUL));
}

/* A probe that loads the coil: |1/(1 + i f/f0)|. */
static void loading_is_told(void **state) {
    (void)state;
    wave w = base;
    w.start_hz = 10;
    w.ramp_hz_per_s = 25;
    sw_waveform waveform = wave_record(&w, NULL, 1);
    double y = 0.0;
    for (size_t i = 0; i < waveform.frames; i++) {
        y += (waveform.channel[0].samples[i] - y) * (2.0 * M_PI * 200.0 / w.rate_hz);
        waveform.channel[0].samples[i] = y;
    }
    sw_measure_request request = sw_measure_default();
    sw_motor motor = measured(&waveform, &request);
    assert_true(sw_motor_warned(&motor, SW_WARN_LOADING));
}

static void clipping_and_clamps_are_told(void **state) {
    (void)state;
    wave w = base;
    w.flux = 0.015; /* 0.95 of full scale */
    w.low_cut_hz = 2;
    sw_waveform waveform = wave_record(&w, NULL, 1);
    waveform.in_volts = 0;
    waveform.channel[0].full_scale = 1.0;
    sw_measure_request request = sw_measure_default();
    request.profile = (sw_profile){.volts_per_unit = {40.0, 0.1, "V"},
                                   .low_cut_hz = {2.0, 0.1, "Hz"},
                                   .clock_error = {0.0, 2e-5, "1"},
                                   .linear_limit = 0.6,
                                   .gain = NAN,
                                   .calibrated = true};
    sw_motor motor;
    assert_ok(sw_measure(&waveform, 12, &request, &motor, NULL), NULL);
    assert_true(sw_motor_warned(&motor, SW_WARN_CLIPPED));
    assert_true(sw_motor_warned(&motor, SW_WARN_CLAMP_CONDUCTING));
    assert_false(sw_motor_warned(&motor, SW_WARN_UNCALIBRATED));
    double k = 40.0 * 0.015 / M_SQRT2;
    assert_close(motor.volts_per_hertz.value, k, 5e-4 * k);
    /* 0.1 V in 40 V, and the low cut's part, 0.1 * 2/3973 */
    assert_close(motor.volts_per_hertz.u / k, 0.0025, 2e-4);
    request.profile.calibrated = false;
    assert_ok(sw_measure(&waveform, 0, &request, &motor, NULL), NULL);
    assert_true(sw_motor_warned(&motor, SW_WARN_UNCALIBRATED));
    sw_waveform_free(&waveform);
}

static void the_clock_counts(void **state) {
    (void)state;
    sw_waveform waveform = wave_record(&base, NULL, 1);
    sw_measure_request request = sw_measure_default();
    request.profile.clock_error = sw_quantity_of(1e-3, 1e-4, "1");
    sw_motor motor = measured(&waveform, &request);
    assert_close(motor.electrical_frequency.value, 63.063, 63.0 * 4e-5);
    assert_close(motor.electrical_frequency.u, 63.0 * 1e-4, 63.0 * 1e-5);
}

static void numbers_that_are_none_are_survived(void **state) {
    (void)state;
    sw_waveform waveform = wave_record(&base, NULL, 1);
    waveform.channel[0].samples[1000] = NAN;
    waveform.channel[0].samples[2000] = INFINITY;
    sw_measure_request request = sw_measure_default();
    sw_motor motor = measured(&waveform, &request);
    assert_close(motor.electrical_frequency.value, 63.0, 0.01);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(speed_gives_poles_and_constant),
        cmocka_unit_test(speed_that_contradicts_is_told),
        cmocka_unit_test(scale_and_reversal),
        cmocka_unit_test(sine_factors),
        cmocka_unit_test(ramp_and_run_down_count),
        cmocka_unit_test(fewer_than_two_cycles_are_not_reported),
        cmocka_unit_test(mains_is_not_a_motor),
        cmocka_unit_test(nothing_there),
        cmocka_unit_test(offset_is_told_and_harmless),
        cmocka_unit_test(hum_is_taken_out),
        cmocka_unit_test(automatic_level_is_told),
        cmocka_unit_test(cut_crests_give_no_volts),
        cmocka_unit_test(whole_cycles_tell_the_volts),
        cmocka_unit_test(untrusted_level_gives_no_volts),
        cmocka_unit_test(wrong_low_cut_is_told),
        cmocka_unit_test(loading_is_told),
        cmocka_unit_test(clipping_and_clamps_are_told),
        cmocka_unit_test(the_clock_counts),
        cmocka_unit_test(numbers_that_are_none_are_survived),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
