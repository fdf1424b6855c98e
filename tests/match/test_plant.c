/* The coupled machine: energy adds up, more wind turns faster where it must, start and storm. */
#include "tests/match/scene.h"

#include "shared/constants.h"
#include "src/match/plant.h"
#include "src/match/year/power_curve.h"

#include <math.h>

typedef struct bench {
    sw_rotor rotor;
    sw_motor motor;
    sw_load load;
    sw_wiring wiring;
    sw_generator *generator;
    sw_surface surface;
    sw_plant plant;
} bench;

static void set_up(const sw_units *units, const char *rotor, double wheel_mm, bench *it) {
    sw_error error = {0};
    it->rotor = scene_rotor(units, rotor);
    it->motor = scene_motor(units, SCENE_RING);
    it->load = scene_load(units, SCENE_LOAD);
    it->wiring = sw_wiring_default(&it->motor);
    it->wiring.diode = it->load.diode;
    it->surface = (sw_surface){{0.4, 0.8}, {0.1, 0.3}, {0.5, 1.5}, {0.01, 0.03}, {0, 0}};
    sw_deliver_load seen = sw_load_electrical(&it->load);
    assert_ok(sw_generator_new(&it->motor, &it->wiring, &seen, 6000, &it->generator, &error),
              &error);
    sw_drive drive = sw_drive_of(sw_drive_kind_of(SW_DRIVE_FRICTION), &it->surface, 1900, wheel_mm);
    drive.contact_n = 40;
    it->plant = sw_plant_of(&it->rotor, &it->motor, it->generator, drive, 1.225);
}

static void tear_down(bench *it) {
    sw_generator_free(it->generator);
    sw_rotor_free(&it->rotor);
}

/* What the rotor gives = what the load gets + every loss, at every running point. */
static void energy_budget(void **state) {
    bench it;
    set_up(*state, SCENE_DRUM, 120, &it);
    for (double wind = 5; wind < 20; wind += 1.5) {
        double w = sw_plant_settle(&it.plant, wind, 0).running_rad_s;
        double rotor_w = w * sw_rotor_torque_nm(&it.rotor, 1.225, wind, w);
        double rpm = sw_plant_generator_rpm(&it.plant, w);
        sw_operating_point point;
        sw_error error = {0};
        sw_deliver_load seen = sw_load_electrical(&it.load);
        assert_ok(sw_deliver(&it.motor, &it.wiring, &seen, rpm, &point, &error), &error);
        double shaft_rad_s = w * it.plant.drive.ratio;
        double creep_w = it.plant.drive.creep * shaft_rad_s * point.shaft_torque_nm;
        double rolling_w = shaft_rad_s * sw_drive_rolling_nm(&it.plant.drive, 0);
        double bearing_w = w * it.rotor.bearing_torque.value;
        double spent = point.battery_power_w + point.resistance_loss_w + point.copper_loss_w +
                       point.diode_loss_w + point.drag_loss_w + creep_w + rolling_w + bearing_w;
        assert_true(rotor_w > 1);
        /* the table between its exact points is held to a part in a thousand */
        assert_close(spent, rotor_w, 2e-3 * rotor_w);
    }
    tear_down(&it);
}

/* At constant load speed rises with wind where 2 Ct >= lambda Ct'. */
static void more_wind_turns_faster(void **state) {
    bench it;
    set_up(*state, SCENE_DRUM, 150, &it);
    double last = 0;
    for (double wind = 4; wind < 25; wind += 0.25) {
        double w = sw_plant_settle(&it.plant, wind, 0).running_rad_s;
        double lambda = w * it.rotor.radius_m / wind;
        double step = 1e-4;
        double torque = sw_rotor_torque_coefficient(&it.rotor, lambda, wind);
        double slope =
            (sw_rotor_torque_coefficient(&it.rotor, lambda + step, wind) - torque) / step;
        if (w > 0 && 2 * torque >= lambda * slope)
            assert_true(w > last);
        last = w;
    }
    assert_true(last > 1);
    tear_down(&it);
}

/* Without any drag and load the rotor runs away at its no-load tip-speed ratio. */
static void runs_away_at_no_load(void **state) {
    bench it;
    set_up(*state, SCENE_DRUM, 150, &it);
    it.plant.drive.contact_n = 0;
    it.motor.drag_torque.constant = sw_quantity_unknown();
    it.motor.drag_torque.linear = sw_quantity_unknown();
    it.motor.drag_torque.quadratic = sw_quantity_unknown();
    it.rotor.bearing_torque.value = 0;
    double w = sw_plant_settle_idle(&it.plant, 20).running_rad_s;
    assert_close(w * it.rotor.radius_m / 20, sw_rotor_no_load(&it.rotor, 20), 1e-6);
    tear_down(&it);
}

/* Start: 1/2 rho A R v^2 Ct = ratio (cogging + drag + N f) + bearings */
static void start_wind_by_hand(void **state) {
    bench it;
    set_up(*state, SCENE_DRUM, 100, &it);
    double held = 19 * (0.03 + 0.02 + 40 * 1e-3) + 0.2;
    double per_v2 = sw_rotor_start_torque_nm(&it.rotor, 1.225, 1);
    assert_close(sw_plant_static_nm(&it.plant), held, 1e-9);
    assert_close(sw_plant_start_wind(&it.plant), sqrt(held / per_v2), 1e-6);
    tear_down(&it);
}

static void curve_holds_start_and_cut_in(void **state) {
    bench it;
    sw_power_curve curve;
    set_up(*state, SCENE_DRUM, 120, &it);
    sw_power_curve_make(&it.plant, 20, 0.25, 0, &curve);
    bool start = false;
    for (size_t i = 0; i < curve.count; i++) {
        const sw_power_point *point = &curve.point[i];
        start = start || fabs(point->wind_m_s - curve.start_wind) < 1e-5 * curve.start_wind;
        if (point->wind_m_s < curve.start_wind)
            assert_close(point->started_rad_s, 0, 0);
        if (point->wind_m_s > curve.cut_in_wind * 1.001)
            assert_true(point->running_w > 0);
        if (i > 0)
            assert_true(point->wind_m_s >= curve.point[i - 1].wind_m_s);
    }
    assert_true(start);
    /* just below cut-in the motor turns slower than its cut-in speed, just above faster */
    for (int side = -1; side <= 1; side += 2) {
        double w =
            sw_plant_settle(&it.plant, curve.cut_in_wind * (1 + side * 1e-3), 0).running_rad_s;
        double rpm = sw_plant_generator_rpm(&it.plant, w);
        assert_int_equal(rpm > sw_generator_cut_in_rpm(it.generator), side > 0);
    }
    tear_down(&it);
}

/* A lift rotor has torque humps: what starts from rest may crawl where a running one does not. */
static void lift_rotor_may_crawl(void **state) {
    bench it;
    set_up(*state, SCENE_LIFT, 300, &it);
    bool differ = false;
    for (double wind = 3; wind < 20; wind += 0.5) {
        sw_balance balance = sw_plant_settle(&it.plant, wind, 0);
        assert_true(balance.running_rad_s >= balance.from_rest_rad_s);
        differ = differ || balance.running_rad_s > 1.5 * balance.from_rest_rad_s;
    }
    assert_true(differ);
    tear_down(&it);
}

/* Voltage constant and drag rescale the table: 5 % more volts, 5 % lower cut-in speed. */
static void constant_rescales_the_table(void **state) {
    bench it;
    sw_power_curve usual;
    sw_power_curve stronger;
    set_up(*state, SCENE_DRUM, 120, &it);
    sw_power_curve_make(&it.plant, 20, 0.5, 0, &usual);
    it.plant.constant_factor = 1.05;
    sw_power_curve_make(&it.plant, 20, 0.5, 0, &stronger);
    assert_true(stronger.cut_in_wind < usual.cut_in_wind);
    double rpm = sw_generator_cut_in_rpm(it.generator) / 1.05 * 1.3;
    double w = sw_drive_rotor_rad_s(&it.plant.drive, rpm);
    double power = sw_plant_at(&it.plant, SW_GENERATOR_TORQUE, w) * rpm * M_PI / 30;
    double same =
        sw_generator_at(it.generator, SW_GENERATOR_TORQUE, rpm * 1.05) * rpm * 1.05 * M_PI / 30;
    assert_close(power, same, 1e-9 * same);
    tear_down(&it);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(energy_budget),
        cmocka_unit_test(more_wind_turns_faster),
        cmocka_unit_test(runs_away_at_no_load),
        cmocka_unit_test(start_wind_by_hand),
        cmocka_unit_test(curve_holds_start_and_cut_in),
        cmocka_unit_test(lift_rotor_may_crawl),
        cmocka_unit_test(constant_rescales_the_table),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
