/* The table over speed against the exact solver, at speeds it was not made from. */
#include "src/match/deliver/deliver_table.h"

#include "tests/support.h"

#include <math.h>
#include <string.h>

static sw_motor washer_like(void) {
    sw_motor motor;
    sw_motor_init(&motor);
    motor.kind = SW_MAGNET_AC;
    motor.phases = 3;
    motor.connection = SW_STAR;
    motor.pole_pairs.value = 24;
    motor.voltage_constant = sw_quantity_of(0.14, NAN, "V/rpm");
    motor.winding_resistance = sw_quantity_of(4.0, NAN, "ohm");
    motor.winding_inductance = sw_quantity_of(20.0, NAN, "mH");
    motor.drag_torque.constant = sw_quantity_of(0.2, NAN, "N m");
    return motor;
}

/* Largest deviations of torque and current, as parts of the value or of 1/200 of the largest. */
static void compare(const sw_motor *motor, const sw_wiring *wiring, const sw_deliver_load *load,
                    double max_rpm, double tolerance) {
    sw_deliver_table *table = NULL;
    sw_error error;
    if (sw_deliver_table_new(motor, wiring, load, max_rpm, &table, &error) != SW_OK) {
        fail_msg("%s", error.message);
    }
    sw_operating_point top;
    assert_int_equal(sw_deliver(motor, wiring, load, max_rpm, &top, &error), SW_OK);
    for (int i = 0; i < 40; i++) {
        const double rpm = max_rpm * (i + 0.37) / 40.0;
        sw_operating_point exact;
        sw_operating_point quick;
        assert_int_equal(sw_deliver(motor, wiring, load, rpm, &exact, &error), SW_OK);
        sw_deliver_table_at(table, rpm, &quick);
        assert_close(quick.shaft_torque_nm, exact.shaft_torque_nm,
                     tolerance * fmax(exact.shaft_torque_nm, top.shaft_torque_nm / 200.0));
        assert_close(quick.dc_current_a, exact.dc_current_a,
                     tolerance * fmax(exact.dc_current_a, top.dc_current_a / 200.0));
        assert_close(sw_deliver_table_torque_nm(table, rpm), quick.shaft_torque_nm,
                     1e-9 * top.shaft_torque_nm);
        assert_close(sw_deliver_table_dc_power_w(table, rpm), quick.dc_power_w,
                     1e-9 * top.dc_power_w);
    }
    sw_deliver_table_free(table);
}

/* 0.2 % is the accuracy promised for searches. */
static void table_follows_the_exact_solver(void **state) {
    (void)state;
    const sw_motor motor = washer_like();
    sw_wiring wiring = sw_wiring_default(&motor);
    sw_deliver_load load = {.kind = SW_LOAD_BATTERY, .battery_v = 25.6, .battery_ohm = 0.05};
    compare(&motor, &wiring, &load, 1000.0, 2e-3);
    wiring.connection = SW_DELTA;
    compare(&motor, &wiring, &load, 1000.0, 2e-3);
    load.kind = SW_LOAD_RESISTOR;
    load.resistor_ohm = 20.0;
    compare(&motor, &wiring, &load, 1000.0, 2e-3);
    wiring.rectifier = SW_RECTIFIER_NONE;
    compare(&motor, &wiring, &load, 1000.0, 2e-3);
}

static void no_current_below_cut_in_and_a_short_table(void **state) {
    (void)state;
    const sw_motor motor = washer_like();
    const sw_wiring wiring = sw_wiring_default(&motor);
    const sw_deliver_load load = {.kind = SW_LOAD_BATTERY, .battery_v = 25.6};
    sw_deliver_table *table = NULL;
    sw_operating_point point;
    assert_int_equal(sw_deliver_table_new(&motor, &wiring, &load, 50.0, &table, NULL), SW_OK);
    assert_true(sw_deliver_table_cut_in_rpm(table) > 50.0);
    sw_deliver_table_at(table, 40.0, &point);
    assert_true(point.dc_current_a == 0.0);
    assert_close(sw_deliver_table_torque_nm(table, 40.0), 0.2, 1e-12);
    assert_close(sw_deliver_table_max_rpm(table), 50.0, 0.0);
    sw_deliver_table_free(table);
    assert_int_equal(sw_deliver_table_new(&motor, &wiring, &load, 0.0, &table, NULL), SW_VALUE);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(table_follows_the_exact_solver),
        cmocka_unit_test(no_current_below_cut_in_and_a_short_table),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
