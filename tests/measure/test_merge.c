/* Joining evidence, and a meter's ohms brought to 20 degC. */
#include "tests/support.h"

#include "src/measure/merge.h"

#include <math.h>
#include <stdio.h>
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
    /* 1 % of 5 ohm, the meter's offset, leads that nobody looked at */
    assert_close(found.value, 5, 1e-12);
    assert_close(found.u, hypot(hypot(0.05, hypot(0.05, 0.15)), temperature), 1e-12);
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

static void the_same_evidence_narrows_nothing(void **state) {
    (void)state;
    sw_error error = {SW_OK, ""};
    sw_motor motor = motor_with(1.00, 0.02);
    sw_motor again = motor;
    again.pole_pairs = (sw_pole_pairs){0};
    assert_ok(sw_motor_merge(&motor, &again, &error), &error);
    assert_close(motor.volts_per_hertz.u, 0.02, 0);
}

/* T0 = J (2 pi / p) b0, T2 = J (p / 2 pi) b2 for one and the same run-down. */
static void other_poles_turn_the_drag(void **state) {
    (void)state;
    sw_motor motor = motor_with(1, 0.02);
    motor.electrical_frequency = sw_quantity_of(70, 0.01, "Hz");
    motor.drag_torque = (sw_drag){.constant = sw_quantity_of(0.4, 0.02, "N m"),
                                  .linear = sw_quantity_of(0.002, 1e-4, "N m s/rad"),
                                  .quadratic = sw_quantity_of(3e-5, 1e-6, "N m s2/rad2"),
                                  .middle_speed = sw_quantity_of(300, NAN, "rpm"),
                                  .middle_torque = sw_quantity_of(0.5, 0.02, "N m")};
    sw_pole_pairs fourteen = {.value = 14, .probability = 0.99};
    sw_motor_set_poles(&motor, &fourteen);
    assert_close(motor.drag_torque.constant.value, 0.2, 1e-12);
    assert_close(motor.drag_torque.linear.value, 0.002, 1e-12);
    assert_close(motor.drag_torque.quadratic.value, 6e-5, 1e-12);
    assert_close(motor.drag_torque.middle_speed.value, 150, 1e-9);
    assert_close(motor.drag_torque.middle_torque.value, 0.25, 1e-12);
    assert_close(motor.speed.value, 70 * 60 / 14.0, 1e-9);
    sw_pole_pairs unknown = {.probability = 0.5};
    sw_motor_set_poles(&motor, &unknown);
    assert_false(sw_quantity_known(motor.drag_torque.constant));
    assert_false(sw_quantity_known(motor.drag_torque.linear));
    assert_false(sw_quantity_known(motor.speed));
    assert_false(sw_quantity_known(motor.voltage_constant));
}

/* Better calibrated: the volts are those of the second look; what the bench said stays. */
static void a_second_look_takes_the_place_of_the_first(void **state) {
    (void)state;
    sw_error error = {SW_OK, ""};
    sw_motor motor = motor_with(1.00, 0.02);
    motor.winding_resistance = sw_quantity_of(7, 0.1, "ohm");
    sw_motor_warn(&motor, SW_WARN_PROBE_OLD, "old");
    sw_motor_warn(&motor, SW_WARN_METER_DOUBTFUL, "leads");
    sw_motor again = motor_with(1.20, 0.01);
    again.pole_pairs.probability = 0.99;
    assert_ok(sw_motor_renew(&motor, &again, &error), &error);
    assert_close(motor.volts_per_hertz.value, 1.20, 0);
    assert_close(motor.volts_per_hertz.u, 0.01, 0);
    assert_close(motor.pole_pairs.probability, 0.99, 0);
    assert_close(motor.winding_resistance.value, 7, 0);
    assert_false(sw_motor_warned(&motor, SW_WARN_PROBE_OLD));
    assert_true(sw_motor_warned(&motor, SW_WARN_METER_DOUBTFUL));
    again.volts_per_hertz = sw_quantity_unknown(); /* this time without its probe */
    assert_ok(sw_motor_renew(&motor, &again, &error), &error);
    assert_close(motor.volts_per_hertz.value, 1.20, 0);
}

static void more_sources_than_fit_are_refused(void **state) {
    (void)state;
    sw_error error = {SW_OK, ""};
    sw_sources sources = {.count = 0};
    for (int i = 0; i <= SW_MOTOR_SOURCE_LIMIT; i++) {
        sw_source source = {.part = 1, .used_as = SW_USED_OPEN};
        snprintf(source.content, sizeof source.content, "%016d", i);
        assert_int_equal(sw_source_add(&sources, &source, &error),
                         i < SW_MOTOR_SOURCE_LIMIT ? SW_OK : SW_UNSUPPORTED);
        source.used_as = SW_USED_RUN_DOWN; /* a known one still gets its further use */
        if (i < SW_MOTOR_SOURCE_LIMIT)
            assert_ok(sw_source_add(&sources, &source, &error), &error);
    }
    assert_int_equal(sources.count, SW_MOTOR_SOURCE_LIMIT);
    assert_int_equal(sources.source[3].used_as, SW_USED_OPEN | SW_USED_RUN_DOWN);
    assert_int_equal(sw_sources_recordings(&sources), SW_MOTOR_SOURCE_LIMIT);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(copper_at_60_degrees_is_brought_to_20),
        cmocka_unit_test(an_unstated_meter_gets_a_documented_uncertainty),
        cmocka_unit_test(two_values_become_their_weighted_mean),
        cmocka_unit_test(values_that_contradict_each_other_are_refused),
        cmocka_unit_test(pole_pair_evidence_multiplies),
        cmocka_unit_test(the_same_evidence_narrows_nothing),
        cmocka_unit_test(other_poles_turn_the_drag),
        cmocka_unit_test(a_second_look_takes_the_place_of_the_first),
        cmocka_unit_test(more_sources_than_fit_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
