/* The shorted winding and the storm. */
#include "tests/match/scene.h"

#include "shared/constants.h"
#include "src/match/storm/storm.h"

#include <math.h>

/* From the constant: 0.06 V/rpm rms line, 20 pole pairs; flux = sqrt2/sqrt3 x 0.06 x 30/pi / 20. */
static void flux_and_peak_by_hand(void **state) {
    sw_motor motor = scene_motor(*state, SCENE_RING);
    sw_brake brake = sw_brake_of(&motor, SW_STAR);
    double flux = sqrt(2.0 / 3.0) * 0.06 * 30 / M_PI / 20;
    double inductance = 3.5e-3 / 2;
    assert_close(brake.flux_wb, flux, 1e-12);
    assert_close(brake.peak_nm, 0.75 * 20 * flux * flux / inductance, 1e-12);
    assert_close(brake.peak_rpm, 2.2 / 3.5e-3 / 20 * 30 / M_PI, 1e-9);
    assert_close(brake.transient_a, 2 * flux / inductance, 1e-9);
}

static void torque_peaks_where_reactance_is_resistance(void **state) {
    sw_motor motor = scene_motor(*state, SCENE_RING);
    sw_brake brake = sw_brake_of(&motor, SW_STAR);
    assert_close(sw_brake_nm(&brake, brake.peak_rpm), brake.peak_nm, 1e-12);
    for (double part = 0.2; part < 5; part += 0.15)
        assert_true(sw_brake_nm(&brake, part * brake.peak_rpm) <= brake.peak_nm * (1 + 1e-12));
    assert_close(sw_brake_nm(&brake, 0), 0, 0);
}

/* At low speed the short is a resistance: T = 1.5 p flux^2 w p / R, and all power is heat. */
static void slow_short_is_resistive(void **state) {
    sw_motor motor = scene_motor(*state, SCENE_RING);
    sw_brake brake = sw_brake_of(&motor, SW_STAR);
    double rpm = brake.peak_rpm * 1e-3;
    double w = rpm * M_PI / 30;
    double volts = 0.06 * rpm; /* line, rms: 3 (V/sqrt3)^2 / (R/2) = 2 V^2 / R */
    assert_close(sw_brake_nm(&brake, rpm) * w, 2 * volts * volts / 2.2, 1e-5 * volts * volts);
    assert_close(sw_brake_heat_w(&brake, rpm), sw_brake_nm(&brake, rpm) * w, 1e-12);
}

/* Star and delta brake alike: the same copper and the same magnets. */
static void delta_brakes_like_star(void **state) {
    sw_motor motor = scene_motor(*state, SCENE_RING);
    sw_brake star = sw_brake_of(&motor, SW_STAR);
    sw_brake delta = sw_brake_of(&motor, SW_DELTA);
    for (double rpm = 20; rpm < 2000; rpm *= 1.7)
        assert_close(sw_brake_nm(&delta, rpm), sw_brake_nm(&star, rpm),
                     1e-9 * sw_brake_nm(&star, rpm));
    assert_close(sw_connection_factor(SW_STAR, SW_DELTA), 1 / sqrt(3.0), 1e-15);
    assert_close(sw_connection_factor(SW_DELTA, SW_STAR), sqrt(3.0), 1e-15);
    assert_close(sw_connection_factor(SW_AS_IT_COMES, SW_STAR), 1, 0);
}

static void unknown_inductance_has_no_peak(void **state) {
    sw_motor motor = scene_motor(*state, SCENE_RING);
    motor.winding_inductance = sw_quantity_unknown();
    sw_brake brake = sw_brake_of(&motor, SW_STAR);
    assert_true(brake.known && !brake.inductance_known && isinf(brake.peak_nm));
    motor.winding_resistance = sw_quantity_unknown();
    assert_false(sw_brake_of(&motor, SW_STAR).known);
}

static sw_storm storm_with(const sw_units *units, sw_plant *plant, sw_rotor *rotor, sw_motor *motor,
                           double wheel_mm) {
    static const sw_surface SURFACE = {{0.4, 0.8}, {0.1, 0.3}, {0.5, 1.5}, {0.01, 0.03}, {0, 0}};
    *rotor = scene_rotor(units, SCENE_DRUM);
    *motor = scene_motor(units, SCENE_RING);
    sw_drive drive = sw_drive_of(sw_drive_kind_of(SW_DRIVE_FRICTION), &SURFACE, 1900, wheel_mm);
    drive.contact_n = 50;
    *plant = sw_plant_of(rotor, motor, NULL, drive, 1.225);
    sw_storm_request request = {plant, SW_STAR, 35, 0.1};
    return sw_storm_of(&request);
}

static void storm_rows_rise(void **state) {
    sw_plant plant;
    sw_rotor rotor;
    sw_motor motor;
    sw_storm storm = storm_with(*state, &plant, &rotor, &motor, 100);
    assert_int_equal(storm.site_row, 3);
    for (size_t i = 1; i < SW_STORM_ROWS; i++) {
        assert_true(storm.row[i].rotor_rad_s > storm.row[i - 1].rotor_rad_s);
        assert_true(storm.row[i].ac_v > storm.row[i - 1].ac_v);
    }
    const sw_storm_row *worst = &storm.row[3];
    assert_close(worst->ac_v, 0.06 * worst->generator_rpm, 1e-9);
    assert_close(worst->dc_v, worst->ac_v * sqrt(2.0), 1e-6 * worst->dc_v);
    assert_close(worst->rim_m_s, worst->rotor_rad_s * 0.95, 1e-9);
    /* grip: 50 N x 0.1 at the rim of 0.95 m */
    assert_close(storm.grip_rotor_nm, 4.75, 1e-9);
    sw_rotor_free(&rotor);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(flux_and_peak_by_hand),
        cmocka_unit_test(torque_peaks_where_reactance_is_resistance),
        cmocka_unit_test(slow_short_is_resistive),
        cmocka_unit_test(delta_brakes_like_star),
        cmocka_unit_test(unknown_inductance_has_no_peak),
        cmocka_unit_test(storm_rows_rise),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
