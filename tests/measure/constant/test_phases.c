/* What several channels say together, through the whole of measuring. */
#include "tests/support.h"

#include "tests/measure/wave.h"

#include "src/measure/measure.h"

static const wave base = {
    .rate_hz = 12000, .seconds = 2, .hold_hz = 63, .flux = 0.05, .noise = 0.003, .seed = 2};

/* Standard error of the mean of 100 cycles is below 1e-4; five of them. */
static const double tolerance = 5e-4;

static sw_motor measured(const double *angle_deg, const double *gain, size_t channels,
                         sw_between between) {
    sw_waveform waveform = wave_record(&base, angle_deg, channels);
    for (size_t c = 0; c < channels && gain != NULL; c++)
        for (size_t i = 0; i < waveform.frames; i++)
            waveform.channel[c].samples[i] *= gain[c];
    sw_measure_request request = sw_measure_default();
    request.between = between;
    sw_motor motor;
    sw_error error = {0};
    assert_ok(sw_measure(&waveform, 0, &request, &motor, &error), &error);
    sw_waveform_free(&waveform);
    return motor;
}

static void expect_line(const sw_motor *motor, double peak_v_per_hz) {
    double expected = peak_v_per_hz / M_SQRT2;
    assert_close(motor->volts_per_hertz.value, expected, tolerance * expected);
}

static void one_channel_is_line_to_line(void **state) {
    (void)state;
    sw_motor motor = measured(NULL, NULL, 1, SW_BETWEEN_NOT_SAID);
    assert_int_equal(motor.phases, 0);
    expect_line(&motor, 0.05);
    motor = measured(NULL, NULL, 1, SW_BETWEEN_STAR_POINT);
    assert_int_equal(motor.phases, 3);
    expect_line(&motor, 0.05 * sqrt(3.0));
}

static void two_lines_on_a_common_ground(void **state) {
    (void)state;
    const double angle[] = {0, 60};
    sw_motor motor = measured(angle, NULL, 2, SW_BETWEEN_NOT_SAID);
    assert_int_equal(motor.phases, 3);
    assert_close(motor.phase_angle.value, 120.0, 0.1);
    assert_close(motor.balance.value, 0.0, 2e-3);
    assert_false(sw_motor_warned(&motor, SW_WARN_BETWEEN_DOUBTFUL));
    expect_line(&motor, 0.05);
}

static void phases_to_the_star_point(void **state) {
    (void)state;
    const double angle[] = {0, 120, 240};
    for (size_t channels = 2; channels <= 3; channels++) {
        sw_motor motor = measured(angle, NULL, channels, SW_BETWEEN_STAR_POINT);
        assert_int_equal(motor.phases, 3);
        assert_true(motor.harmonics_of_phase);
        assert_int_equal(motor.star_point, SW_YES);
        assert_close(motor.phase_angle.value, 120.0, 0.1);
        expect_line(&motor, 0.05 * sqrt(3.0));
        assert_false(sw_motor_warned(&motor, SW_WARN_BETWEEN_DOUBTFUL));
    }
}

/* The angle alone cannot tell the star point from isolated line pairs. */
static void both_candidates_are_told(void **state) {
    (void)state;
    const double angle[] = {0, 120};
    sw_motor motor = measured(angle, NULL, 2, SW_BETWEEN_NOT_SAID);
    assert_true(sw_motor_warned(&motor, SW_WARN_BETWEEN_DOUBTFUL));
    expect_line(&motor, 0.05 * sqrt(3.0));
    motor = measured(angle, NULL, 2, SW_BETWEEN_LINES);
    assert_false(sw_motor_warned(&motor, SW_WARN_BETWEEN_DOUBTFUL));
    assert_false(motor.harmonics_of_phase);
    expect_line(&motor, 0.05);
}

static void two_phases(void **state) {
    (void)state;
    const double angle[] = {0, -90};
    sw_motor motor = measured(angle, NULL, 2, SW_BETWEEN_NOT_SAID);
    assert_int_equal(motor.phases, 2);
    assert_close(motor.phase_angle.value, 90.0, 0.1);
    expect_line(&motor, 0.05);
}

static void two_ends_of_one_winding(void **state) {
    (void)state;
    const double angle[] = {0, 180};
    sw_motor motor = measured(angle, NULL, 2, SW_BETWEEN_NOT_SAID);
    assert_int_equal(motor.phases, 0);
    expect_line(&motor, 0.10);
}

static void forgotten_probe_factor(void **state) {
    (void)state;
    const double angle[] = {0, 120, 240};
    const double gain[] = {1, 1, 0.1};
    sw_motor motor = measured(angle, gain, 3, SW_BETWEEN_STAR_POINT);
    assert_true(sw_motor_warned(&motor, SW_WARN_SCALE_MISMATCH));
    assert_int_equal(motor.phases, 3);
    expect_line(&motor, 0.05 * sqrt(3.0));
    const double large[] = {10, 1, 1};
    motor = measured(angle, large, 3, SW_BETWEEN_STAR_POINT);
    assert_true(sw_motor_warned(&motor, SW_WARN_SCALE_MISMATCH));
    expect_line(&motor, 0.05 * sqrt(3.0));
}

static void a_weak_phase_is_told(void **state) {
    (void)state;
    const double angle[] = {0, 120, 240};
    const double gain[] = {1, 1, 0.8};
    sw_motor motor = measured(angle, gain, 3, SW_BETWEEN_STAR_POINT);
    assert_true(sw_motor_warned(&motor, SW_WARN_UNBALANCED));
    /* mean of 1, 1 and 0.8 is 0.9333; 0.8 is 14.3 % below */
    assert_close(motor.balance.value, 1.0 - 0.8 / (2.8 / 3.0), 2e-3);
}

/* A clip pair the wrong way round on one of three phases. */
static void a_turned_clip_is_turned_back(void **state) {
    (void)state;
    const double angle[] = {0, 120, 60};
    sw_motor motor = measured(angle, NULL, 3, SW_BETWEEN_STAR_POINT);
    assert_int_equal(motor.phases, 3);
    expect_line(&motor, 0.05 * sqrt(3.0));
}

static void a_dead_channel_is_left_out(void **state) {
    (void)state;
    const double angle[] = {0, 60, 0};
    const double gain[] = {1, 1, 0.001};
    sw_motor motor = measured(angle, gain, 3, SW_BETWEEN_NOT_SAID);
    assert_int_equal(motor.phases, 3);
    assert_true(sw_motor_warned(&motor, SW_WARN_UNBALANCED));
    expect_line(&motor, 0.05);
}

static void an_angle_that_means_nothing(void **state) {
    (void)state;
    const double angle[] = {0, 30};
    sw_motor motor = measured(angle, NULL, 2, SW_BETWEEN_NOT_SAID);
    assert_int_equal(motor.phases, 0);
    assert_true(sw_motor_warned(&motor, SW_WARN_UNBALANCED));
    expect_line(&motor, 0.05);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_channel_is_line_to_line),
        cmocka_unit_test(two_lines_on_a_common_ground),
        cmocka_unit_test(phases_to_the_star_point),
        cmocka_unit_test(both_candidates_are_told),
        cmocka_unit_test(two_phases),
        cmocka_unit_test(two_ends_of_one_winding),
        cmocka_unit_test(forgotten_probe_factor),
        cmocka_unit_test(a_weak_phase_is_told),
        cmocka_unit_test(a_turned_clip_is_turned_back),
        cmocka_unit_test(a_dead_channel_is_left_out),
        cmocka_unit_test(an_angle_that_means_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
