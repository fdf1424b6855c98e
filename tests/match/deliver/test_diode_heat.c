/* Heat and ratings of the rectifier's diodes. */
#include "src/match/deliver/diode_heat.h"

#include "tests/support.h"

#include <math.h>

static sw_motor three_phases(void) {
    sw_motor motor;
    sw_motor_init(&motor);
    motor.kind = SW_MAGNET_AC;
    motor.phases = 3;
    return motor;
}

static void counts(void **state) {
    (void)state;
    sw_motor motor = three_phases();
    assert_int_equal(sw_diode_count(&motor, SW_RECTIFIER_BRIDGE), 6);
    assert_int_equal(sw_diode_count(&motor, SW_RECTIFIER_HALF_WAVE), 3);
    assert_int_equal(sw_diode_count(&motor, SW_RECTIFIER_NONE), 0);
    motor.phases = 2;
    assert_int_equal(sw_diode_count(&motor, SW_RECTIFIER_BRIDGE), 8);
    motor.phases = 1;
    assert_int_equal(sw_diode_count(&motor, SW_RECTIFIER_BRIDGE), 4);
    assert_int_equal(sw_diode_count(&motor, SW_RECTIFIER_DOUBLER), 2);
    motor.kind = SW_BRUSHED;
    assert_int_equal(sw_diode_count(&motor, SW_RECTIFIER_BLOCKING_DIODE), 1);
}

/* Two machines, 40 A and 60 W together: each block 30 W, a diode 5 W and 20/3 A. Junction at 125
 * degC in air of 40 degC: 85 K = 30 W x sink + 5 W x 2 K/W, so 2.5 K/W. */
static void sink_by_hand(void **state) {
    (void)state;
    const sw_motor motor = three_phases();
    sw_wiring wiring = sw_wiring_default(&motor);
    wiring.machines = 2;
    const sw_operating_point point = {.dc_current_a = 40.0, .diode_loss_w = 60.0};
    const sw_diode_rating rating = {35.0, 600.0, 2.0, 150.0};
    sw_diode_heat heat = sw_diode_heat_of(&motor, &wiring, &point, 250.0, &rating, 40.0);
    assert_close(heat.diode_w, 5.0, 1e-12);
    assert_close(heat.diode_mean_a, 20.0 / 3.0, 1e-12);
    assert_close(heat.sink_k_w, 2.5, 1e-12);
    assert_true(heat.current_fine && heat.inverse_fine);
    heat = sw_diode_heat_of(&motor, &wiring, &point, 301.0, &rating, 40.0);
    assert_false(heat.inverse_fine);
    const sw_diode_rating small = {9.0, 600.0, 2.0, 150.0};
    assert_false(sw_diode_heat_of(&motor, &wiring, &point, 10.0, &small, 40.0).current_fine);
}

/* What is not known is not called too small. */
static void unknown_ratings(void **state) {
    (void)state;
    const sw_motor motor = three_phases();
    const sw_wiring wiring = sw_wiring_default(&motor);
    const sw_operating_point point = {.dc_current_a = 40.0, .diode_loss_w = 60.0};
    const sw_diode_rating unknown = {NAN, NAN, NAN, NAN};
    const sw_diode_heat heat = sw_diode_heat_of(&motor, &wiring, &point, 250.0, &unknown, 40.0);
    assert_true(heat.current_fine && heat.inverse_fine);
    assert_true(isnan(heat.sink_k_w));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(counts),
        cmocka_unit_test(sink_by_hand),
        cmocka_unit_test(unknown_ratings),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
