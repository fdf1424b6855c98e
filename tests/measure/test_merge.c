/* Joining evidence, and a meter's ohms brought to 20 degC. */
#include "tests/support.h"

#include "src/measure/merge.h"

#include <math.h>
#include <string.h>

static sw_motor motor_with(double volts_per_hertz, double u) {
    sw_motor motor;
    sw_motor_init(&motor);
    motor.phases = 3;
    motor.volts_per_hertz = sw_quantity_of(volts_per_hertz, u, "V/Hz");
    motor.pole_pairs.value = 7;
    motor.pole_pairs.probability = 0.95;
    motor.pole_pairs.candidates = 2;
    motor.pole_pairs.candidate[0] = (sw_pole_candidate){7, 0.95};
    motor.pole_pairs.candidate[1] = (sw_pole_candidate){6, 0.05};
    return motor;
}

static void copper_at_60_degrees_is_brought_to_20(void **state) {
    (void)state;
    sw_quantity found =
        sw_meter_resistance(sw_quantity_of(5, 0.01, "ohm"), sw_quantity_of(0.2, NAN, "ohm"),
                            sw_quantity_of(60, 1, "degC"));
    /* 1 + 0.00393 x 40 = 1.1572; exact arithmetic, so rounding only. */
    assert_close(found.value, 4.8 / 1.1572, 1e-12);
    double part = 4.8 / 1.1572 * 0.00393 / 1.1572;
    assert_close(found.u, hypot(0.01 / 1.1572, part), 1e-12);
}

static void an_unstated_meter_gets_a_documented_uncertainty(void **state) {
    (void)state;
    sw_quantity unknown = sw_quantity_unknown();
    sw_quantity found = sw_meter_resistance(sw_quantity_of(5, NAN, "ohm"), unknown, unknown);
    double temperature = 5 * 0.00393 * 2.5;
    assert_close(found.value, 5, 1e-12);
    assert_close(found.u, hypot(hypot(0.05, 0.05), temperature), 1e-12);
}

static void two_values_become_their_weighted_mean(void **state) {
    (void)state;
    sw_error error = {SW_OK, ""};
    sw_motor motor = motor_with(1.00, 0.02);
    sw_motor more = motor_with(1.03, 0.01);
    assert_ok(sw_motor_merge(&motor, &more, &error), &error);
    /* weights 1 : 4 */
    assert_close(motor.volts_per_hertz.value, (1.00 + 4 * 1.03) / 5, 1e-12);
    assert_close(motor.volts_per_hertz.u, 0.02 / sqrt(5), 1e-12);
    assert_close(motor.voltage_constant.value, motor.volts_per_hertz.value * 7 / 60, 1e-12);
}

static void values_that_contradict_each_other_are_refused(void **state) {
    (void)state;
    sw_error error = {SW_OK, ""};
    sw_motor motor = motor_with(1.00, 0.002);
    sw_motor more = motor_with(1.03, 0.002);
    sw_motor before = motor;
    assert_int_equal(sw_motor_merge(&motor, &more, &error), SW_MISMATCH);
    assert_non_null(strstr(error.message, "volts per hertz"));
    assert_memory_equal(&motor, &before, sizeof motor);
}

static void pole_pair_evidence_multiplies(void **state) {
    (void)state;
    sw_error error = {SW_OK, ""};
    sw_motor motor = motor_with(1, 0.1);
    sw_motor more = motor_with(1, 0.1);
    assert_ok(sw_motor_merge(&motor, &more, &error), &error);
    assert_int_equal(motor.pole_pairs.value, 7);
    assert_close(motor.pole_pairs.probability, 0.95 * 0.95 / (0.95 * 0.95 + 0.05 * 0.05), 1e-12);
    more.pole_pairs.candidate[0] = (sw_pole_candidate){6, 0.995};
    more.pole_pairs.candidate[1] = (sw_pole_candidate){7, 0.005};
    more.pole_pairs.value = 6;
    assert_ok(sw_motor_merge(&motor, &more, &error), &error);
    assert_int_equal(motor.pole_pairs.value, 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(copper_at_60_degrees_is_brought_to_20),
        cmocka_unit_test(an_unstated_meter_gets_a_documented_uncertainty),
        cmocka_unit_test(two_values_become_their_weighted_mean),
        cmocka_unit_test(values_that_contradict_each_other_are_refused),
        cmocka_unit_test(pole_pair_evidence_multiplies),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
