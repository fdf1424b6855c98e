/* What is assumed of a motor follows its size, not its turns, and never takes a reading's place. */
#include "tests/support.h"

#include "src/match/parts/usual_motor.h"

#include <math.h>

static sw_motor bare(double v_per_rpm, double ohm) {
    sw_motor motor;
    sw_motor_init(&motor);
    motor.kind = SW_MAGNET_AC;
    motor.phases = 3;
    motor.voltage_constant = sw_quantity_of(v_per_rpm, 0.001 * v_per_rpm, "V/rpm");
    motor.winding_resistance = sw_quantity_of(ohm, 0.01 * ohm, "ohm");
    return motor;
}

/* 0.1 V/rpm is 0.95493 V s/rad; over the root of 4 ohm that is 0.47746 N m per root watt. */
static void the_size_tells(void **state) {
    (void)state;
    sw_motor motor = bare(0.1, 4);
    sw_motor filled;
    sw_assumed assumed = sw_usual_motor(&motor, 0, &filled);
    assert_true(assumed.drag && assumed.cogging && assumed.inductance);
    assert_close(filled.drag_torque.constant.value, 0.2 * 0.47746, 1e-5); /* five digits above */
    assert_close(filled.cogging_torque.value, 0.12 * 0.47746, 1e-5);
    assert_close(filled.winding_inductance.value, 8, 1e-12);
    assert_true(filled.drag_torque.constant.u > 0.5 * filled.drag_torque.constant.value);
}

/* Twice the turns: twice the volts, four times the ohms; the same iron drags. */
static void turns_do_not_matter(void **state) {
    (void)state;
    sw_motor thick = bare(0.1, 4);
    sw_motor thin = bare(0.2, 16);
    sw_motor filled[2];
    sw_usual_motor(&thick, 0, &filled[0]);
    sw_usual_motor(&thin, 0, &filled[1]);
    assert_close(filled[1].drag_torque.constant.value, filled[0].drag_torque.constant.value, 1e-12);
    assert_close(filled[1].cogging_torque.value, filled[0].cogging_torque.value, 1e-12);
}

static void readings_stay(void **state) {
    (void)state;
    sw_motor motor = bare(0.1, 4);
    sw_motor filled;
    motor.drag_torque.linear = sw_quantity_of(0.001, NAN, "N m s/rad");
    motor.cogging_torque = sw_quantity_of(0, 0, "N m");
    motor.winding_inductance = sw_quantity_of(3, 0.1, "mH");
    sw_assumed assumed = sw_usual_motor(&motor, 1, &filled);
    assert_false(sw_assumed_any(&assumed));
    assert_false(sw_quantity_known(filled.drag_torque.constant));
    assert_close(filled.cogging_torque.value, 0, 0);
    assert_close(filled.winding_inductance.value, 3, 0);
}

static void worse_is_more(void **state) {
    (void)state;
    sw_motor motor = bare(0.1, 4);
    sw_motor usual;
    sw_motor bad;
    sw_usual_motor(&motor, 0, &usual);
    sw_usual_motor(&motor, SW_USUAL_CAUTIOUS, &bad);
    double times = exp(SW_USUAL_SPREAD * SW_USUAL_CAUTIOUS);
    assert_close(bad.drag_torque.constant.value, times * usual.drag_torque.constant.value, 1e-9);
    assert_close(bad.winding_inductance.value, times * usual.winding_inductance.value, 1e-9);
}

static void brushes_need_no_inductance(void **state) {
    (void)state;
    sw_motor motor = bare(0.03, 1);
    sw_motor filled;
    motor.kind = SW_BRUSHED;
    sw_assumed assumed = sw_usual_motor(&motor, 0, &filled);
    assert_true(assumed.drag && assumed.cogging && !assumed.inductance);
    motor.winding_resistance = sw_quantity_unknown();
    assumed = sw_usual_motor(&motor, 0, &filled);
    assert_false(sw_assumed_any(&assumed)); /* its size is not known */
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_size_tells),
        cmocka_unit_test(turns_do_not_matter),
        cmocka_unit_test(readings_stay),
        cmocka_unit_test(worse_is_more),
        cmocka_unit_test(brushes_need_no_inductance),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
