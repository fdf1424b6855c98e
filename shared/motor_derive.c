/* The conversions that follow from the line-to-line fundamental and the harmonics.
 *
 * With the line wave w(x) = cos x + sum r_n cos(n x + a_n) of unit fundamental (x the electrical
 * angle), every "per speed" constant is sqrt(2) x voltage constant x a functional of w:
 *   peak                 max |w|
 *   bridge, no capacitor mean of max |w_k| over the machine's lines: three 120 degrees apart for
 *                        three phases, two 90 degrees apart with one bridge each for two, one
 *                        for one
 *   bridge and capacitor the peak (ideal diodes, no load)
 * For pure sines these give sqrt2, 3 sqrt2/pi = 1.3505 and 2 sqrt2/pi = 0.9003 per volt rms
 * (M. H. Rashid, Power Electronics, ch. 3). They are taken on a grid of GRID angles, whose error
 * in a peak is below (13 pi / GRID)^2 / 2 = 1e-5 for the thirteenth harmonic.
 *
 * Flux linkage, peak, equivalent star phase: sqrt2 V_LL / (sqrt3 2 pi f) for three phases, and
 * sqrt2 V / (2 pi f) of a winding for one and two.
 */
#include "shared/constants.h"
#include "shared/motor.h"

#include <math.h>
#include <stddef.h>

enum { GRID = 7200, LINES_MOST = 3 };

typedef struct wave_factors {
    double peak;        /* over the fundamental's amplitude */
    double bridge_mean; /* the same */
} wave_factors;

/* Angle of a line harmonic where the list is of the phase: e(x) - e(x - 120 deg) turns harmonic
 * n by +30 (n = 3m + 1) or -30 degrees (n = 3m + 2), the fundamental by +30. */
static double line_angle_deg(const sw_harmonic *harmonic) {
    double turn = harmonic->order % 3 == 1 ? 30 : -30;
    return harmonic->angle_deg + turn - 30.0 * harmonic->order;
}

static double line_wave(const sw_motor *motor, double x) {
    double sum = cos(x);
    bool convert = motor->harmonics_of_phase && motor->phases == 3;
    for (size_t i = 0; i < motor->harmonics; i++) {
        const sw_harmonic *harmonic = &motor->harmonic[i];
        if (harmonic->order < 2 || (convert && harmonic->order % 3 == 0))
            continue;
        double angle_deg = convert ? line_angle_deg(harmonic) : harmonic->angle_deg;
        sum += harmonic->relative * cos(harmonic->order * x + angle_deg * M_PI / 180);
    }
    return sum;
}

static wave_factors factors_of(const sw_motor *motor) {
    static const int SHIFT_OF_PHASES[] = {0, 0, GRID / 4, GRID / 3};
    int lines = motor->phases >= 1 && motor->phases <= LINES_MOST ? motor->phases : 1;
    int shift = SHIFT_OF_PHASES[lines];
    double wave[GRID];
    wave_factors factors = {0, 0};
    for (int i = 0; i < GRID; i++)
        wave[i] = fabs(line_wave(motor, 2 * M_PI * i / GRID));
    for (int i = 0; i < GRID; i++) {
        double most = 0;
        for (int k = 0; k < lines; k++)
            most = fmax(most, wave[(i + k * shift) % GRID]);
        factors.peak = fmax(factors.peak, most);
        factors.bridge_mean += most / GRID;
    }
    return factors;
}

static double relative_u(sw_quantity quantity) {
    return isnan(quantity.u) ? NAN : quantity.u / fabs(quantity.value);
}

static sw_quantity scaled(double value, double relative, const char *unit) {
    return sw_quantity_of(value, isnan(relative) ? NAN : fabs(value) * relative, unit);
}

/* Electrical cycles per second and rpm: p/60, or measured together. */
static double hertz_per_rpm(const sw_motor *motor) {
    if (motor->pole_pairs.value > 0)
        return motor->pole_pairs.value / 60.0;
    bool both = sw_quantity_known(motor->speed) && sw_quantity_known(motor->electrical_frequency);
    if (both && motor->speed.value > 0)
        return motor->electrical_frequency.value / motor->speed.value;
    return NAN;
}

static void link_constants(sw_motor *motor) {
    double per_rpm = hertz_per_rpm(motor);
    if (isnan(per_rpm))
        return;
    sw_quantity *per_hertz = &motor->volts_per_hertz;
    if (sw_quantity_known(*per_hertz))
        motor->voltage_constant =
            scaled(per_hertz->value * per_rpm, relative_u(*per_hertz), "V/rpm");
    else if (sw_quantity_known(motor->voltage_constant))
        *per_hertz = scaled(motor->voltage_constant.value / per_rpm,
                            relative_u(motor->voltage_constant), "V/Hz");
}

static void derive_flux(sw_motor *motor) {
    if (!sw_quantity_known(motor->volts_per_hertz))
        return;
    double per_winding = motor->phases == 3 ? sqrt(3) : 1;
    double flux = sqrt(2) * motor->volts_per_hertz.value / (per_winding * 2 * M_PI);
    motor->constants.flux_linkage_wb = scaled(flux, relative_u(motor->volts_per_hertz), "Wb");
}

void sw_motor_derive(sw_motor *motor) {
    bool brushed = motor->kind == SW_BRUSHED;
    if (motor->kind == SW_NO_GENERATOR)
        return;
    if (!brushed) {
        link_constants(motor);
        derive_flux(motor);
    }
    if (!sw_quantity_known(motor->voltage_constant) || motor->voltage_constant.value <= 0)
        return;
    wave_factors factors = {1, 1};
    double amplitude = motor->voltage_constant.value;
    if (!brushed) {
        factors = factors_of(motor);
        amplitude *= sqrt(2);
    }
    double relative = relative_u(motor->voltage_constant);
    double peak = amplitude * factors.peak; /* V per rpm */
    sw_voltage_constants *constants = &motor->constants;
    constants->peak_line_v_per_krpm = scaled(1000 * peak, relative, "V/krpm");
    constants->dc_bridge_v_per_krpm =
        scaled(1000 * amplitude * factors.bridge_mean, relative, "V/krpm");
    constants->dc_bridge_smoothed_v_per_krpm = scaled(1000 * peak, relative, "V/krpm");
    constants->rpm_per_volt_peak = scaled(1 / peak, relative, "rpm/V");
    constants->volt_second_per_radian_peak_line =
        scaled(peak * 60 / (2 * M_PI), relative, "V s/rad");
}
