/* A converter that seeks its volts within a window. */
#include "tests/match/scene.h"

#include "src/match/deliver/deliver.h"
#include "src/match/deliver/deliver_window.h"

/* A brushed motor behind a diode without drop is a straight line: E = k n, I = (E - V) / R, and
 * V I is largest at V = E/2, with E^2 / 4R. */
static const double CONSTANT = 0.03;
static const double WINDING_OHM = 0.9;

static sw_deliver_load window(double low_v, double high_v) {
    return (sw_deliver_load){.kind = SW_LOAD_CONVERTER,
                             .battery_v = 0.5 * (low_v + high_v),
                             .window_low_v = low_v,
                             .window_high_v = high_v};
}

static sw_operating_point at(const sw_motor *motor, const sw_deliver_load *load, double rpm) {
    sw_operating_point point;
    sw_error error;
    sw_wiring wiring = sw_wiring_default(motor);
    wiring.rectifier = SW_RECTIFIER_BLOCKING_DIODE;
    wiring.diode = (sw_diode){.name = "ideal"};
    assert_ok(sw_deliver(motor, &wiring, load, rpm, &point, &error), &error);
    return point;
}

static void half_the_open_volts_give_most(void **state) {
    sw_motor motor = scene_motor(*state, SCENE_BRUSHED);
    sw_deliver_load load = window(5, 60);
    for (double rpm = 400; rpm < 3500; rpm *= 1.7) {
        double emf_v = CONSTANT * rpm;
        sw_operating_point point = at(&motor, &load, rpm);
        /* a hundredth of the volts, of which the power's top moves by a ten-thousandth */
        assert_close(point.dc_voltage_v, emf_v / 2, 0.012 * emf_v);
        assert_close(point.dc_power_w, emf_v * emf_v / 4 / WINDING_OHM,
                     2e-3 * emf_v * emf_v / 4 / WINDING_OHM);
    }
}

/* Below: no power. Just above the lower end: held there. Far above: clipped at the upper end. */
static void the_window_ends(void **state) {
    sw_motor motor = scene_motor(*state, SCENE_BRUSHED);
    sw_deliver_load load = window(20, 40);
    double cut_in_rpm = 0;
    sw_error error;
    sw_wiring wiring = sw_wiring_default(&motor);
    wiring.rectifier = SW_RECTIFIER_BLOCKING_DIODE;
    wiring.diode = (sw_diode){.name = "ideal"};
    assert_ok(sw_deliver_cut_in(&motor, &wiring, &load, &cut_in_rpm, &error), &error);
    assert_close(cut_in_rpm, 20 / CONSTANT, 1e-6 * cut_in_rpm);
    assert_close(at(&motor, &load, 0.99 * cut_in_rpm).dc_power_w, 0, 1e-9);
    assert_close(at(&motor, &load, 1.2 * cut_in_rpm).dc_voltage_v, 20, 0.3);
    assert_close(at(&motor, &load, 4000).dc_voltage_v, 40, 0.4);
    assert_close(at(&motor, &load, 0).dc_power_w, 0, 1e-9);
}

/* No held voltage of the window gives more, through a bridge with reactance as well. */
static void no_held_voltage_gives_more(void **state) {
    sw_motor motor = scene_motor(*state, SCENE_RING);
    sw_wiring wiring = sw_wiring_default(&motor);
    sw_deliver_load load = window(10, 60);
    sw_error error;
    for (double rpm = 250; rpm < 2000; rpm *= 2) {
        sw_operating_point best;
        assert_ok(sw_deliver(&motor, &wiring, &load, rpm, &best, &error), &error);
        for (double volts = 10; volts <= 60; volts += 5) {
            sw_deliver_load held = sw_deliver_lowest(&load);
            sw_operating_point point;
            held.battery_v = volts;
            assert_ok(sw_deliver(&motor, &wiring, &held, rpm, &point, &error), &error);
            /* a thousandth: two solutions' residuals */
            assert_true(point.dc_power_w <= best.dc_power_w * 1.001 + 1e-6);
        }
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(half_the_open_volts_give_most),
        cmocka_unit_test(the_window_ends),
        cmocka_unit_test(no_held_voltage_gives_more),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
