/* From rest to near the running speed: against a rotor whose torque falls straight with its speed,
 * which is solved by hand, and the same machine stepped through time. */
#include "tests/match/scene.h"

#include "src/match/spin_up.h"

#include <math.h>

#define STEEPNESS 0.4
#define FREE_RATIO 2.0

typedef struct bench {
    sw_rotor rotor;
    sw_motor motor;
    sw_generator *generator;
    sw_plant plant;
} bench;

/* Ct = a (1 - lambda / free), so Cp = a lambda (1 - lambda / free). */
static void straight_rotor(const sw_units *units, sw_rotor *rotor) {
    char body[5000];
    int used = snprintf(body, sizeof body,
                        "\"document\":\"rotor\",\"version\":1,\"kind\":\"curve\",\"width\":\"2 m\","
                        "\"height\":\"1 m\",\"bearing_torque\":\"0.5 N m\",\"inertia\":\"6 kg "
                        "m2\",\"static_torque_coefficient\":%g,"
                        "\"curve\":{\"units\":{\"tip_speed_ratio\":\"1\",\"power_coefficient\":"
                        "\"1\"},\"list\":[",
                        STEEPNESS);
    for (int i = 1; i <= 40; i++) {
        double ratio = FREE_RATIO * i / 40;
        used += snprintf(body + used, sizeof body - (size_t)used,
                         "%s{\"tip_speed_ratio\":%.3f,\"power_coefficient\":%.9f}",
                         i == 1 ? "" : ",", ratio, STEEPNESS * ratio * (1 - ratio / FREE_RATIO));
    }
    snprintf(body + used, sizeof body - (size_t)used, "]}");
    *rotor = scene_rotor(units, body);
}

/* Straight on the shaft, into a battery of battery_v. */
static void set_up(const sw_units *units, double battery_v, bench *it) {
    sw_error error = {0};
    straight_rotor(units, &it->rotor);
    it->motor = scene_motor(units, SCENE_RING);
    sw_wiring wiring = sw_wiring_default(&it->motor);
    sw_load load = scene_load(units, SCENE_LOAD);
    sw_deliver_load seen = sw_load_electrical(&load);
    wiring.diode = load.diode;
    seen.battery_v = battery_v;
    assert_ok(sw_generator_new(&it->motor, &wiring, &seen, 6000, &it->generator, &error), &error);
    sw_drive drive = sw_drive_of(sw_drive_kind_of(SW_DRIVE_DIRECT), NULL, NAN, NAN);
    it->plant = sw_plant_of(&it->rotor, &it->motor, it->generator, drive, 1.2);
}

static void tear_down(bench *it) {
    sw_generator_free(it->generator);
    sw_rotor_free(&it->rotor);
}

/* Charging nothing: torque falls from T0 = 1/2 rho A R v^2 a - 0.5 - 0.02 (bearing and the motor's
 * constant drag) by s = 1/2 rho A R^2 v a / free + 0.0004 a radian per second, and the speed comes
 * to 0.95 of the last in ln(20) J / s. J is 6 + 0.5, the motor's on the same shaft. */
static void a_straight_torque_by_hand(void **state) {
    bench it;
    set_up(*state, 400, &it);
    it.motor.inertia = sw_quantity_of(0.5, NAN, "kg m2");
    double wind = 5;
    double slope = 0.5 * 1.2 * 2 * wind * STEEPNESS / FREE_RATIO + 0.0004;
    double expected = 6.5 * log(20) / slope;
    sw_spin_ups found = sw_spin_ups_of(&it.plant);
    assert_true(found.known && !found.from_vanes && found.row[0].starts);
    assert_close(found.inertia_kg_m2, 6.5, 1e-12);
    assert_close(found.row[0].wind_m_s, wind, 1e-12);
    /* quadrature to 1e-3; the curve between its forty points as much */
    assert_close(found.row[0].seconds, expected, 3e-3 * expected);
    /* slope and speed go with the wind, so the time goes with one over it, but for the drag */
    assert_close(found.row[1].seconds, expected * 5 / 8, 5e-3 * expected);
    tear_down(&it);
}

/* With a battery that clamps it: small steps in time come to the same. */
static void steps_in_time_agree(void **state) {
    bench it;
    set_up(*state, 3, &it);
    double wind = 8;
    double settled = sw_plant_settle(&it.plant, wind, 0).from_rest_rad_s;
    double cut_in = sw_drive_rotor_rad_s(&it.plant.drive, sw_generator_cut_in_rpm(it.generator));
    assert_true(cut_in > 0 && cut_in < SW_SPUN_UP * settled);
    double step_s = 1e-3;
    double seconds = 0;
    for (double w = 1e-9; w < SW_SPUN_UP * settled && seconds < 100; seconds += step_s)
        w += step_s / 6 *
             (sw_rotor_torque_nm(&it.rotor, 1.2, wind, w) - sw_plant_load_nm(&it.plant, w));
    double found = sw_spin_up_in(&it.plant, 6, wind).seconds;
    /* Euler's steps are off by half a step times the torque's slope: under a part in a thousand */
    assert_close(found, seconds, 4e-3 * seconds);
    tear_down(&it);
}

static void unknown_and_not_starting(void **state) {
    bench it;
    set_up(*state, 12, &it);
    assert_false(sw_spin_up_in(&it.plant, 6, 0.3).starts);
    assert_true(isnan(sw_spin_up_in(&it.plant, 6, 0.3).seconds));
    it.rotor.inertia = sw_quantity_unknown();
    assert_false(sw_spin_ups_of(&it.plant).known);
    it.rotor.vanes = 4;
    it.rotor.vane_mass_kg = 2;
    it.rotor.vane_arm_m = 0.5;
    sw_spin_ups found = sw_spin_ups_of(&it.plant);
    assert_true(found.known && found.from_vanes);
    assert_close(found.inertia_kg_m2, 4 * 2 * 0.25, 1e-12);
    tear_down(&it);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_straight_torque_by_hand),
        cmocka_unit_test(steps_in_time_agree),
        cmocka_unit_test(unknown_and_not_starting),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
