/* Voltages of one sign. */
#include "tests/support.h"

#include "src/measure/measure.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>

static const double volts_per_rpm = 0.02;
static const double seconds = 6.0;

/* Ramp for 1 s, hold, stop within the last second; ripple of 22 a turn. */
static double speed_rpm(double t) {
    return 600.0 * fmin(1.0, fmin(t, fmax(0.0, seconds - t)));
}

static sw_waveform brushed(double sign, double offset_v) {
    sw_waveform waveform;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    assert_ok(sw_waveform_new(1, (size_t)(5000 * seconds), 5000, &waveform, NULL), NULL);
    double turns = 0.0;
    for (size_t i = 0; i < waveform.frames; i++) {
        double rpm = speed_rpm((double)i / 5000.0);
        double wave = 1.0 + 0.02 * cos(2.0 * M_PI * 22.0 * turns);
        waveform.channel[0].samples[i] =
            offset_v + sign * volts_per_rpm * rpm * wave + gsl_ran_gaussian(random, 0.02);
        turns += rpm / 60.0 / 5000.0;
    }
    waveform.in_volts = 1;
    waveform.coupling = SW_COUPLING_DC;
    gsl_rng_free(random);
    return waveform;
}

static sw_motor measured(sw_waveform *waveform, const sw_measure_request *request) {
    sw_motor motor;
    sw_error error = {0};
    assert_ok(sw_measure(waveform, 0, request, &motor, &error), &error);
    sw_waveform_free(waveform);
    return motor;
}

static void volts_over_speed(void **state) {
    (void)state;
    sw_waveform waveform = brushed(1.0, 0.0);
    sw_measure_request request = sw_measure_default();
    request.evidence.speed = sw_quantity_of(600.0, 3.0, "rpm");
    sw_motor motor = measured(&waveform, &request);
    assert_int_equal(motor.kind, SW_BRUSHED);
    /* the stretch may take in 5 % of a ramp's end */
    assert_close(motor.voltage_constant.value, volts_per_rpm, 2e-3 * volts_per_rpm);
    /* 0.5 % of the speed and 1 % of the screen for the scope's zero, the wave filling two thirds of
     * it with its ripple of 2 %; the blocks' scatter and the noise's crests are the rest */
    assert_close(motor.voltage_constant.u / volts_per_rpm, hypot(0.005, 0.01 * 1.02 * 1.5), 1e-3);
    assert_true(sw_motor_warned(&motor, SW_WARN_OFFSET));
    assert_close(motor.stretch_from_s, 1.0, 0.2);
    assert_close(motor.stretch_to_s, seconds - 1.0, 0.2);
}

/* A second at rest before and after tells the zero. */
static void zero_read_at_rest(void **state) {
    (void)state;
    const double offset_v = 0.4;
    sw_waveform moving = brushed(1.0, offset_v);
    sw_waveform waveform;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    assert_ok(sw_waveform_new(1, moving.frames + 5000, 5000, &waveform, NULL), NULL);
    for (size_t i = 0; i < waveform.frames; i++)
        waveform.channel[0].samples[i] = i < 5000 ? offset_v + gsl_ran_gaussian(random, 0.02)
                                                  : moving.channel[0].samples[i - 5000];
    gsl_rng_free(random);
    sw_waveform_free(&moving);
    waveform.in_volts = 1;
    waveform.coupling = SW_COUPLING_DC;
    sw_measure_request request = sw_measure_default();
    request.evidence.speed = sw_quantity_of(600.0, 3.0, "rpm");
    sw_motor motor = measured(&waveform, &request);
    assert_int_equal(motor.kind, SW_BRUSHED);
    /* 0.4 V left in would be 3 % */
    assert_close(motor.voltage_constant.value, volts_per_rpm, 2e-3 * volts_per_rpm);
    /* 0.5 % of the speed, and hardly anything else */
    assert_close(motor.voltage_constant.u / volts_per_rpm, 0.005, 5e-4);
    assert_false(sw_motor_warned(&motor, SW_WARN_OFFSET));
}

/* Backwards it is the same motor. */
static void volts_over_turns(void **state) {
    (void)state;
    sw_waveform waveform = brushed(-1.0, 0.0);
    sw_measure_request request = sw_measure_default();
    request.evidence.turns = 50.0; /* 600 rpm for 4 s and two ramps of 1 s: 5 s at 10 turns a s */
    sw_motor motor = measured(&waveform, &request);
    assert_int_equal(motor.kind, SW_BRUSHED);
    assert_close(motor.voltage_constant.value, volts_per_rpm, 2e-3 * volts_per_rpm);
    assert_close(motor.speed.value, 600.0, 3.0);
}

static void unknown_speed_gives_no_constant(void **state) {
    (void)state;
    sw_waveform waveform = brushed(1.0, 0.0);
    sw_measure_request request = sw_measure_default();
    sw_motor motor = measured(&waveform, &request);
    assert_int_equal(motor.kind, SW_BRUSHED);
    assert_false(sw_quantity_known(motor.voltage_constant));
}

/* Behind a first-order low cut: known by its rise and fall, its volts are left to a meter. */
static void blocked_by_the_input(void **state) {
    (void)state;
    const double low_cut_hz = 3.0;
    sw_waveform moving = brushed(1.0, 0.0);
    sw_waveform waveform;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    assert_ok(sw_waveform_new(1, moving.frames + 2500, 5000, &waveform, NULL), NULL);
    double slow = 0.0;
    for (size_t i = 0; i < waveform.frames; i++) {
        double volts = i < 2500 ? 0.0 : moving.channel[0].samples[i - 2500];
        slow += (volts - slow) * 2.0 * M_PI * low_cut_hz / 5000.0;
        waveform.channel[0].samples[i] = volts - slow + gsl_ran_gaussian(random, 0.005);
    }
    gsl_rng_free(random);
    sw_waveform_free(&moving);
    waveform.coupling = SW_COUPLING_AC;
    sw_measure_request request = sw_measure_default();
    request.profile.low_cut_hz = sw_quantity_of(low_cut_hz, 0.1, "Hz");
    request.evidence.speed = sw_quantity_of(600.0, 3.0, "rpm");
    sw_motor motor = measured(&waveform, &request);
    assert_int_equal(motor.kind, SW_BRUSHED);
    assert_true(sw_motor_warned(&motor, SW_WARN_DC_BLOCKED));
    assert_false(sw_quantity_known(motor.voltage_constant));
    assert_int_equal(motor.commutator_ripple, 22);
}

/* A voltage that never changes is an offset, not a motor. */
static void a_constant_is_no_motor(void **state) {
    (void)state;
    sw_waveform waveform;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    assert_ok(sw_waveform_new(1, 20000, 5000, &waveform, NULL), NULL);
    for (size_t i = 0; i < waveform.frames; i++)
        waveform.channel[0].samples[i] = 0.2 + gsl_ran_gaussian(random, 0.02);
    gsl_rng_free(random);
    waveform.in_volts = 1;
    waveform.coupling = SW_COUPLING_DC;
    sw_measure_request request = sw_measure_default();
    sw_motor motor = measured(&waveform, &request);
    assert_int_equal(motor.kind, SW_NO_GENERATOR);
}

/* 6 V from beginning to end, ripple per turn of a share. */
static sw_waveform steady(double ripple) {
    sw_waveform waveform;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    assert_ok(sw_waveform_new(1, 20000, 5000, &waveform, NULL), NULL);
    for (size_t i = 0; i < waveform.frames; i++)
        waveform.channel[0].samples[i] =
            6.0 * (1.0 + ripple * cos(2.0 * M_PI * 22.0 * 10.0 * (double)i / 5000.0)) +
            gsl_ran_gaussian(random, 0.1);
    gsl_rng_free(random);
    waveform.in_volts = 1;
    waveform.coupling = SW_COUPLING_DC;
    return waveform;
}

static void steady_throughout_is_left_open(void **state) {
    (void)state;
    sw_waveform waveform = steady(0.0);
    sw_measure_request request = sw_measure_default();
    request.evidence.speed = sw_quantity_of(600.0, 3.0, "rpm");
    sw_motor motor = measured(&waveform, &request);
    assert_int_not_equal(motor.kind, SW_NO_GENERATOR);
    assert_int_not_equal(motor.kind, SW_BRUSHED);
    assert_true(sw_motor_warned(&motor, SW_WARN_STEADY_VOLTAGE));
    assert_false(sw_quantity_known(motor.voltage_constant));
}

static void ripple_or_a_word_decides(void **state) {
    (void)state;
    for (int said = 0; said < 2; said++) {
        sw_waveform waveform = steady(said ? 0.0 : 0.02);
        sw_measure_request request = sw_measure_default();
        request.evidence.speed = sw_quantity_of(600.0, 1.0, "rpm");
        request.brushed = said;
        sw_motor motor = measured(&waveform, &request);
        assert_int_equal(motor.kind, SW_BRUSHED);
        assert_int_equal(motor.commutator_ripple, said ? 0 : 22);
        assert_false(sw_motor_warned(&motor, SW_WARN_STEADY_VOLTAGE));
        assert_true(sw_motor_warned(&motor, SW_WARN_OFFSET));
        /* the scope's zero is all that is not known */
        assert_close(motor.voltage_constant.value, 0.01, 4e-5);
    }
}

/* What is no more than a scope's zero is off says nothing. */
static void an_offset_of_some_hundredths_is_nothing(void **state) {
    (void)state;
    sw_waveform waveform = steady(0.0);
    for (size_t i = 0; i < waveform.frames; i++)
        waveform.channel[0].samples[i] /= 60.0;
    sw_measure_request request = sw_measure_default();
    sw_motor motor = measured(&waveform, &request);
    assert_int_equal(motor.kind, SW_NO_GENERATOR);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(volts_over_speed),
        cmocka_unit_test(zero_read_at_rest),
        cmocka_unit_test(volts_over_turns),
        cmocka_unit_test(unknown_speed_gives_no_constant),
        cmocka_unit_test(blocked_by_the_input),
        cmocka_unit_test(a_constant_is_no_motor),
        cmocka_unit_test(steady_throughout_is_left_open),
        cmocka_unit_test(ripple_or_a_word_decides),
        cmocka_unit_test(an_offset_of_some_hundredths_is_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
