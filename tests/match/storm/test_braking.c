/* A rotor that runs away is stopped by its motor's wires: energy, time, heat. */
#include "tests/match/scene.h"

#include "shared/constants.h"
#include "src/match/storm/braking.h"

#include <math.h>

typedef struct bench {
    sw_rotor rotor;
    sw_motor motor;
    sw_plant plant;
    sw_brake brake;
} bench;

/* Straight on the shaft, nothing but rotor and winding: no bearing, no drag. */
static void set_up(const sw_units *units, bench *it) {
    it->rotor = scene_rotor(units, SCENE_DRUM);
    it->rotor.bearing_torque = sw_quantity_of(0, 0, "N m");
    it->motor = scene_motor(units, SCENE_RING);
    it->motor.drag_torque.constant = sw_quantity_unknown();
    it->motor.drag_torque.linear = sw_quantity_unknown();
    sw_drive drive = sw_drive_of(sw_drive_kind_of(SW_DRIVE_DIRECT), NULL, NAN, NAN);
    it->plant = sw_plant_of(&it->rotor, &it->motor, NULL, drive, 1.225);
    it->brake = sw_brake_of(&it->motor, SW_STAR);
}

static sw_brake_stop_request calm(const bench *it) {
    return (sw_brake_stop_request){.plant = &it->plant,
                                   .brake = &it->brake,
                                   .wind_m_s = 1e-4,
                                   .from_rad_s = 20,
                                   .crawl_rad_s = 2,
                                   .inertia_kg_m2 = 8,
                                   .copper_kg = 0.5,
                                   .grip_nm = INFINITY};
}

/* Without wind the rotor's energy is all there is: 1/2 x 8 x (20^2 - 2^2) = 1584 J to the copper.
 * The steps of a hundredth leave a ten-thousandth, the air about as much. */
static void energy_becomes_heat(void **state) {
    bench it;
    set_up(*state, &it);
    sw_brake_stop_request request = calm(&it);
    sw_brake_stop stop = sw_brake_stop_of(&request);
    double energy = 0.5 * 8 * (20 * 20 - stop.end_rad_s * stop.end_rad_s);
    assert_true(stop.stops);
    assert_close(stop.winding_j, energy, 2e-3 * energy);
    assert_close(stop.rise_k, stop.winding_j / (0.5 * 385), 1e-9);
    sw_rotor_free(&it.rotor);
}

/* Without inductance T = c w, so w falls as exp(-c t / J). */
static void resistive_short_decays_exponentially(void **state) {
    bench it;
    set_up(*state, &it);
    it.brake.phase_h = 0;
    sw_brake_stop_request request = calm(&it);
    sw_brake_stop stop = sw_brake_stop_of(&request);
    double c = sw_brake_nm(&it.brake, 1) / (1 / SW_RPM_PER_RAD_S);
    double expected = 8 / c * log(20 / stop.end_rad_s);
    assert_close(stop.seconds, expected, 3e-3 * expected);
    sw_rotor_free(&it.rotor);
}

static void a_strong_wind_wins(void **state) {
    bench it;
    set_up(*state, &it);
    sw_brake_stop_request request = calm(&it);
    request.wind_m_s = 40;
    request.from_rad_s = 60;
    sw_brake_stop stop = sw_brake_stop_of(&request);
    assert_false(stop.stops);
    assert_true(stop.end_rad_s > request.crawl_rad_s && stop.steady_k_min > 0);
    sw_rotor_free(&it.rotor);
}

/* What the wheel passes on bounds torque and heat. */
static void grip_bounds_the_brake(void **state) {
    bench it;
    set_up(*state, &it);
    sw_brake_stop_request request = calm(&it);
    sw_brake_stop free = sw_brake_stop_of(&request);
    request.grip_nm = 0.2;
    sw_brake_stop slipping = sw_brake_stop_of(&request);
    assert_true(slipping.seconds > free.seconds);
    /* J w / T of the constant torque, by hand: 8 x 18 / 0.2; the air helps a little */
    assert_close(slipping.seconds, 8 * 18 / 0.2, 0.2 * 8 * 18 / 0.2);
    sw_rotor_free(&it.rotor);
}

/* w L = R: the resistor that brings the peak to a speed does bring it there. */
static void resistor_moves_the_peak(void **state) {
    bench it;
    set_up(*state, &it);
    double ohm = sw_brake_resistor_ohm(&it.brake, 900);
    sw_brake through = sw_brake_through(&it.brake, ohm);
    assert_close(through.peak_rpm, 900, 1e-9 * 900);
    assert_close(sw_brake_nm(&through, 900), it.brake.peak_nm, 1e-9);
    assert_close(sw_brake_resistor_ohm(&it.brake, 1), 0, 0);
    sw_rotor_free(&it.rotor);
}

static void inertia_and_copper_are_stated_or_guessed(void **state) {
    bench it;
    bool guessed = false;
    set_up(*state, &it);
    double frame = sw_rotor_inertia_or_guess(&it.rotor, &guessed);
    assert_true(guessed && frame > 1 && frame < 100);
    it.rotor.vanes = 3;
    it.rotor.vane_mass_kg = 2;
    it.rotor.vane_arm_m = 0.7;
    /* 3 x 2 kg x 0.7^2 */
    assert_close(sw_rotor_inertia_or_guess(&it.rotor, &guessed), 2.94, 1e-12);
    assert_true(guessed);
    it.rotor.inertia = sw_quantity_of(5, 0.5, "kg m2");
    assert_close(sw_rotor_inertia_or_guess(&it.rotor, &guessed), 5, 0);
    assert_false(guessed);
    assert_close(sw_motor_copper_or_guess(&it.motor, 3, &guessed), 0.36, 1e-12);
    assert_true(guessed);
    it.motor.copper_mass = sw_quantity_of(0.5, 0.1, "kg");
    assert_close(sw_motor_copper_or_guess(&it.motor, 3, &guessed), 0.5, 0);
    assert_false(guessed);
    sw_rotor_free(&it.rotor);
}

/* 0.03 V/rpm is 0.2865 V s/rad: T = k^2 w / R, at 100 rpm and 0.9 ohm 0.955 N m. */
static void brushed_short_is_resistive(void **state) {
    sw_motor motor = scene_motor(*state, SCENE_BRUSHED);
    sw_brake brake = sw_brake_of(&motor, SW_AS_IT_COMES);
    assert_true(brake.known);
    assert_close(sw_brake_nm(&brake, 100), 0.955, 5e-4);
    /* E^2 / R = 3^2 / 0.9 */
    assert_close(sw_brake_heat_w(&brake, 100), 10, 1e-9);
}

/* A motor whose peak lies far below the runaway speed: the short fails where both succeed. */
static void resistor_first_stops_what_the_short_does_not(void **state) {
    bench it;
    set_up(*state, &it);
    it.motor.voltage_constant = sw_quantity_of(3, 0.01, "V/rpm");
    it.motor.winding_inductance = sw_quantity_of(60, 1, "mH");
    it.motor.winding_resistance = sw_quantity_of(2.2, 0.01, "ohm");
    sw_storm_request request = {&it.plant, SW_STAR, 22, 0.1};
    sw_storm storm = sw_storm_of(&request);
    sw_braking braking = sw_braking_of(&storm, &it.plant, 3);
    assert_true(braking.known);
    assert_false(braking.row[storm.site_row].stops);
    assert_true(braking.resistor_helps);
    assert_true(braking.resistor_ohm > 1 && braking.both_s > 0 && braking.both_rise_k > 0);
    sw_rotor_free(&it.rotor);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(energy_becomes_heat),
        cmocka_unit_test(resistive_short_decays_exponentially),
        cmocka_unit_test(a_strong_wind_wins),
        cmocka_unit_test(grip_bounds_the_brake),
        cmocka_unit_test(resistor_moves_the_peak),
        cmocka_unit_test(inertia_and_copper_are_stated_or_guessed),
        cmocka_unit_test(brushed_short_is_resistive),
        cmocka_unit_test(resistor_first_stops_what_the_short_does_not),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
