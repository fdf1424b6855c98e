/* What a wrong count of turns does, and what is left of a motor without magnets. */
#include "tests/support.h"

#include "probes/simulate/simulate.h"
#include "src/measure/measure.h"
#include "src/measure/sensor.h"

#include <string.h>

static sw_motor measured(const char *family, double turns_factor) {
    static const sw_sim_calibration HONEST = {0.002, 0.03, 20e-6};
    sw_sim_spec spec;
    sw_sim_truth truth;
    sw_waveform waveform;
    sw_motor motor;
    sw_error error;
    assert_ok(sw_sim_family(family, 3, &spec, &error), &error);
    spec.spin.coast = SW_SIM_COAST_NO;
    spec.front.channels = 1;
    assert_ok(sw_simulate(&spec, &waveform, &truth, &error), &error);
    sw_measure_request request = sw_measure_default();
    request.profile = sw_sim_profile(&truth, &HONEST);
    if (turns_factor > 0)
        request.evidence.turns = turns_factor * truth.turns;
    assert_ok(sw_measure(&waveform, truth.clipped, &request, &motor, &error), &error);
    sw_waveform_free(&waveform);
    return motor;
}

static const char *doubt(const sw_motor *motor) {
    for (size_t i = 0; i < motor->warnings; i++)
        if (motor->warning[i].code == SW_WARN_SPEED_DOUBTFUL)
            return motor->warning[i].message;
    return "";
}

static void test_right_count(void **state) {
    (void)state;
    sw_motor motor = measured("hub-30", 1);
    assert_int_equal(motor.pole_pairs.value, 15);
    assert_false(sw_motor_warned(&motor, SW_WARN_SPEED_DOUBTFUL));
}

/* 15 / 0.91 = 16.5 pole pairs: the count is left out, and which would fit is not said, or it would
 * come back as one. */
static void test_count_that_fits_nothing(void **state) {
    (void)state;
    sw_motor motor = measured("hub-30", 0.91);
    assert_non_null(strstr(doubt(&motor), "no whole number"));
    assert_non_null(strstr(doubt(&motor), "the count is left out"));
    assert_null(strstr(doubt(&motor), "would be"));
    assert_null(strstr(doubt(&motor), "best"));
    for (size_t i = 0; i < motor.pole_pairs.evidences; i++)
        assert_null(strstr(motor.pole_pairs.evidence[i], "cycles in"));
}

static void test_no_magnets_no_poles(void **state) {
    (void)state;
    sw_motor motor = measured("no-magnets", 0);
    assert_int_equal(motor.kind, SW_NO_GENERATOR);
    assert_int_equal(motor.pole_pairs.value, 0);
    assert_int_equal(motor.pole_pairs.candidates, 0);
    assert_int_equal(motor.magnet_ring.poles, 0);
    assert_false(sw_quantity_known(motor.voltage_constant));
}

static void test_sensor_needs_its_ohms(void **state) {
    (void)state;
    sw_motor motor;
    sw_motor_init(&motor);
    motor.phases = 1;
    motor.voltage_constant = sw_quantity_of(0.004, 1e-5, "V/rpm");
    assert_true(sw_sensor_possible(&motor));
    motor.winding_resistance = sw_quantity_of(2, 0.1, "ohm");
    assert_false(sw_sensor_possible(&motor));
    motor.winding_resistance = sw_quantity_unknown();
    motor.voltage_constant.value = 0.05; /* 50 V at 1000 rpm: no sensor's */
    assert_false(sw_sensor_possible(&motor));
    motor.voltage_constant.value = 0.004;
    motor.phases = 3;
    assert_false(sw_sensor_possible(&motor));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_right_count),
        cmocka_unit_test(test_count_that_fits_nothing),
        cmocka_unit_test(test_no_magnets_no_poles),
        cmocka_unit_test(test_sensor_needs_its_ohms),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
