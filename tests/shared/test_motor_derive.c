/* What follows from the motor record: the conversions against closed forms. */
#include "tests/support.h"

#include "shared/constants.h"
#include "shared/motor.h"

#include <math.h>
#include <string.h>

static sw_motor sine_motor(int phases, int pole_pairs, double volts_per_hertz) {
    sw_motor motor;
    sw_motor_init(&motor);
    motor.phases = phases;
    motor.pole_pairs.value = pole_pairs;
    motor.volts_per_hertz = sw_quantity_of(volts_per_hertz, 0.01 * volts_per_hertz, "V/Hz");
    sw_motor_derive(&motor);
    return motor;
}

/* Closed forms for pure sines: mean of |cos| 2/pi; of the larger of two 90 degrees apart
 * 2 sqrt2/pi; of three 120 degrees apart 3/pi (M. H. Rashid, Power Electronics, ch. 3). */
static void sines_follow_the_closed_forms(void **state) {
    (void)state;
    const double mean_of_peak[] = {NAN, 2 / M_PI, 2 * sqrt(2) / M_PI, 3 / M_PI};
    for (int phases = 1; phases <= 3; phases++) {
        sw_motor motor = sine_motor(phases, 12, 0.3);
        double constant = 0.3 * 12 / 60; /* V rms per rpm */
        double peak = sqrt(2) * constant;
        const sw_voltage_constants *found = &motor.constants;
        assert_close(motor.voltage_constant.value, constant, 1e-15);
        assert_close(motor.voltage_constant.u, 0.01 * constant, 1e-15);
        /* 1e-6: the grid of 7200 angles against the integral and the true crest. */
        double fine = 1e-6 * 1000 * peak;
        assert_close(found->peak_line_v_per_krpm.value, 1000 * peak, fine);
        assert_close(found->dc_bridge_smoothed_v_per_krpm.value, 1000 * peak, fine);
        assert_close(found->dc_bridge_v_per_krpm.value, 1000 * peak * mean_of_peak[phases], fine);
        assert_close(found->rpm_per_volt_peak.value, 1 / peak, 1e-6 / peak);
        assert_close(found->volt_second_per_radian_peak_line.value, peak * 30 / M_PI, fine);
        double star = phases == 3 ? sqrt(3) : 1;
        assert_close(found->flux_linkage_wb.value, sqrt(2) * 0.3 / star / (2 * M_PI), 1e-12);
        assert_close(found->flux_linkage_wb.u / found->flux_linkage_wb.value, 0.01, 1e-12);
    }
}

/* E_LL,peak = sqrt3 w_e psi, whatever the poles. */
static void flux_and_constant_agree_at_any_speed(void **state) {
    (void)state;
    for (int poles = 1; poles <= 56; poles += 5) {
        sw_motor motor = sine_motor(3, poles, 0.21);
        double speed_rad_s = 17.5;
        double volts = sqrt(3) * poles * speed_rad_s * motor.constants.flux_linkage_wb.value;
        assert_close(motor.constants.volt_second_per_radian_peak_line.value * speed_rad_s, volts,
                     1e-6 * volts);
    }
}

/* Phase waves subtracted point by point, 120 degrees apart, against the factors of the record. */
static void phase_harmonics_become_line_harmonics(void **state) {
    (void)state;
    enum { POINTS = 36000 }; /* unlike the grid inside, and three into it goes evenly */
    static const sw_harmonic LIST[] = {{1, 1, 0},      {3, 0.2, 25},  {5, 0.12, -70},
                                       {7, 0.06, 130}, {9, 0.05, 10}, {11, 0.04, 77},
                                       {13, 0.03, -5}, {2, 0.02, 45}};
    enum { COUNT = sizeof LIST / sizeof *LIST };
    static double phase[POINTS];
    for (size_t i = 0; i < POINTS; i++) {
        phase[i] = 0;
        for (size_t h = 0; h < COUNT; h++)
            phase[i] += LIST[h].relative * cos(LIST[h].order * 2 * M_PI * (double)i / POINTS +
                                               LIST[h].angle_deg * M_PI / 180);
    }
    double peak = 0;
    double mean = 0;
    for (size_t i = 0; i < POINTS; i++) {
        double a = phase[i];
        double b = phase[(i + 2 * POINTS / 3) % POINTS];
        double c = phase[(i + POINTS / 3) % POINTS];
        double bridge = fmax(fmax(fabs(a - b), fabs(b - c)), fabs(c - a));
        peak = fmax(peak, bridge);
        mean += bridge / POINTS;
    }
    sw_motor motor;
    sw_motor_init(&motor);
    motor.phases = 3;
    motor.pole_pairs.value = 1;
    motor.harmonics_of_phase = true;
    motor.harmonics = COUNT;
    memcpy(motor.harmonic, LIST, sizeof LIST);
    /* Fundamental of the phase 1 V peak at 1000 rpm, so of the line sqrt3. */
    motor.volts_per_hertz = sw_quantity_of(sqrt(3) / sqrt(2) * 60 / 1000, NAN, "V/Hz");
    sw_motor_derive(&motor);
    /* 2e-5: both grids miss a crest by less than 1e-5 of it. */
    assert_close(motor.constants.peak_line_v_per_krpm.value, peak, 2e-5 * peak);
    assert_close(motor.constants.dc_bridge_v_per_krpm.value, mean, 2e-5 * mean);
}

static void triplens_of_the_phase_never_reach_the_lines(void **state) {
    (void)state;
    sw_motor plain = sine_motor(3, 4, 0.5);
    sw_motor motor = plain;
    motor.harmonics_of_phase = true;
    motor.harmonics = 3;
    motor.harmonic[0] = (sw_harmonic){1, 1, 0};
    motor.harmonic[1] = (sw_harmonic){3, 0.3, 50};
    motor.harmonic[2] = (sw_harmonic){9, 0.1, -20};
    sw_motor_derive(&motor);
    assert_close(motor.constants.peak_line_v_per_krpm.value,
                 plain.constants.peak_line_v_per_krpm.value, 1e-9);
    assert_close(motor.constants.dc_bridge_v_per_krpm.value,
                 plain.constants.dc_bridge_v_per_krpm.value, 1e-9);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sines_follow_the_closed_forms),
        cmocka_unit_test(flux_and_constant_agree_at_any_speed),
        cmocka_unit_test(phase_harmonics_become_line_harmonics),
        cmocka_unit_test(triplens_of_the_phase_never_reach_the_lines),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
