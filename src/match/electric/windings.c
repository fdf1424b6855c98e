/* What the record says about terminals, turned into windings. */
#include "src/match/electric/option.h"

#include "shared/constants.h"

#include <math.h>
#include <string.h>

/* Temperature coefficient of copper at 20 degC (IEC 60028). */

/* Harmonics below this part of the fundamental are left out: they cost time and show nowhere. */
static const double least_harmonic = 5e-4;

static sw_status need(sw_error *error, const char *key, const char *hint) {
    return sw_fail(error, SW_MISSING_KEY,
                   "the motor's %s is not known, and without it there is no telling what it "
                   "delivers: %s",
                   key, hint);
}

static sw_status check_wiring(const sw_wiring *wiring, sw_error *error) {
    if (!(wiring->rewind > 0.0) || !(wiring->magnet_factor > 0.0) || wiring->machines < 1) {
        return sw_fail(error, SW_VALUE,
                       "rewinding factor, magnet factor and number of machines must be above "
                       "zero, found %g, %g and %d",
                       wiring->rewind, wiring->magnet_factor, wiring->machines);
    }
    if (!(wiring->winding_degc > -200.0 && wiring->winding_degc < 400.0)) {
        return sw_fail(error, SW_VALUE, "winding temperature %g degC, expected -200 to 400",
                       wiring->winding_degc);
    }
    const sw_diode *d = &wiring->diode;
    const bool fine = d->rs_ohm >= 0.0 && d->is_a >= 0.0 &&
                      (d->is_a > 0.0 ? d->n > 0.0 && isfinite(d->n) : d->drop_v >= 0.0);
    if (!fine || !isfinite(d->rs_ohm) || !isfinite(d->is_a) || !isfinite(d->drop_v)) {
        return sw_fail(error, SW_VALUE,
                       "diode: is, rs and drop must not be negative and n must be above zero, "
                       "found is %g, n %g, rs %g, drop %g",
                       d->is_a, d->n, d->rs_ohm, d->drop_v);
    }
    return SW_OK;
}

/* What the record must hold; *volts gets the voltage constant. */
static sw_status check_motor(const sw_motor *motor, double *volts, sw_error *error) {
    const bool brushed = motor->kind == SW_BRUSHED;
    if (motor->kind == SW_NO_GENERATOR) {
        return sw_fail(error, SW_UNSUPPORTED,
                       "this motor has no magnets: nothing comes out of it as it stands");
    }
    if (!brushed && motor->pole_pairs.value <= 0) {
        return need(error, "pole_pairs", "count them, or measure with a known speed");
    }
    *volts = motor->voltage_constant.value;
    if (!brushed && isnan(*volts)) {
        *volts = motor->volts_per_hertz.value * motor->pole_pairs.value / 60.0;
    }
    if (isnan(*volts)) {
        return need(error, "voltage_constant", "measure volts at a known speed");
    }
    if (!sw_quantity_known(motor->winding_resistance)) {
        return need(error, "winding_resistance", "a multimeter between two of its wires tells");
    }
    if (!brushed && (motor->phases < 1 || motor->phases > 3)) {
        return need(error, "phases", "one, two or three");
    }
    return SW_OK;
}

sw_status sw_terminals_of(const sw_motor *motor, const sw_wiring *wiring, sw_terminals *terminals,
                          sw_error *error) {
    double volts = 0.0;
    sw_status status = check_wiring(wiring, error);
    if (status == SW_OK) {
        status = check_motor(motor, &volts, error);
    }
    if (status != SW_OK) {
        return status;
    }
    const double square = wiring->rewind * wiring->rewind;
    const double warm = 1.0 + SW_COPPER_PER_K * (wiring->winding_degc - 20.0);
    terminals->volts_per_rpm = volts * wiring->magnet_factor * wiring->rewind;
    terminals->ohm = motor->winding_resistance.value * square * warm;
    terminals->henry = sw_quantity_known(motor->winding_inductance)
                           ? motor->winding_inductance.value * 1e-3 * square
                           : 0.0;
    terminals->hertz_per_rpm = motor->kind == SW_BRUSHED ? 0.0 : motor->pole_pairs.value / 60.0;
    if (!(terminals->volts_per_rpm > 0.0) || !(terminals->ohm >= 0.0) ||
        !(terminals->henry >= 0.0)) {
        return sw_fail(error, SW_VALUE,
                       "voltage_constant must be above zero and winding values not negative, "
                       "found %g V/rpm, %g ohm, %g H",
                       terminals->volts_per_rpm, terminals->ohm, terminals->henry);
    }
    if (terminals->ohm == 0.0 && terminals->henry == 0.0) {
        return sw_fail(error, SW_VALUE,
                       "winding_resistance is 0 ohm and there is no inductance either: the "
                       "current would be without limit");
    }
    return SW_OK;
}

/* Factor (re, im) by which a line wave of this order is larger than the phase wave:
 * 1 - exp(-j order 120 degrees). Zero for multiples of three. */
static void line_factor(int order, double *re, double *im) {
    const double angle = -2.0 * M_PI * order / 3.0;
    *re = 1.0 - cos(angle);
    *im = -sin(angle);
}

/* One harmonic of the first winding as amplitude re + j im, relative to the recorded
 * fundamental; false when it cannot be told from the record. */
static bool winding_harmonic(const sw_motor *motor, bool from_star_lines,
                             const sw_harmonic *harmonic, double *re, double *im) {
    const double angle = harmonic->angle_deg * M_PI / 180.0;
    *re = harmonic->relative * cos(angle);
    *im = harmonic->relative * sin(angle);
    if (!from_star_lines || motor->harmonics_of_phase) {
        return true;
    }
    double fr = 0.0;
    double fi = 0.0;
    line_factor(harmonic->order, &fr, &fi);
    const double size2 = fr * fr + fi * fi;
    if (size2 < 1e-9) {
        return false;
    }
    const double r = (*re * fr + *im * fi) / size2;
    *im = (*im * fr - *re * fi) / size2;
    *re = r;
    return true;
}

/* Add an order to all windings, each later by the angle between phases. */
static void add_order(sw_windings *w, int order, double re, double im, double phase_angle) {
    if (w->emf.orders == SW_ORDER_LIMIT) {
        return;
    }
    const int h = w->emf.orders++;
    w->emf.order[h] = order;
    for (int k = 0; k < w->count; k++) {
        const double c = cos(order * k * phase_angle);
        const double s = -sin(order * k * phase_angle);
        w->emf.re[k][h] = re * c - im * s;
        w->emf.im[k][h] = re * s + im * c;
    }
}

/* All orders, the amplitude of the winding's fundamental being `peak_v`. Orders must rise. */
static void add_orders(const sw_motor *motor, bool from_star_lines, double peak_v,
                       double phase_angle, sw_windings *w) {
    /* Where time begins does not matter, so the recorded fundamental stays cos(x). */
    const sw_harmonic first = {1, 1.0, 0.0};
    double re = 1.0;
    double im = 0.0;
    (void)winding_harmonic(motor, from_star_lines, &first, &re, &im);
    const double size = hypot(re, im);
    add_order(w, 1, peak_v * re / size, peak_v * im / size, phase_angle);
    for (int order = 2; order <= 64; order++) {
        for (size_t i = 0; i < motor->harmonics; i++) {
            const sw_harmonic *h = &motor->harmonic[i];
            if (h->order != order || !(h->relative >= least_harmonic) ||
                !winding_harmonic(motor, from_star_lines, h, &re, &im)) {
                continue;
            }
            add_order(w, order, peak_v * re / size, peak_v * im / size, phase_angle);
        }
    }
}

sw_status sw_windings_of(const sw_motor *motor, const sw_wiring *wiring,
                         const sw_terminals *terminals, sw_windings *windings, sw_error *error) {
    memset(windings, 0, sizeof *windings);
    windings->count = motor->phases;
    windings->impedance_share = 1.0;
    double rms_v = terminals->volts_per_rpm;
    double phase_angle = 2.0 * M_PI / 3.0;
    bool from_star_lines = false;
    if (motor->phases == 2) {
        phase_angle = M_PI / 180.0 *
                      (sw_quantity_known(motor->phase_angle) ? motor->phase_angle.value : 90.0);
    }
    if (motor->phases == 3) {
        const sw_connection used =
            wiring->connection != SW_AS_IT_COMES ? wiring->connection : motor->connection;
        const sw_connection measured =
            motor->connection != SW_AS_IT_COMES ? motor->connection : used;
        windings->delta = used == SW_DELTA;
        from_star_lines = measured != SW_DELTA;
        windings->impedance_share = measured == SW_DELTA ? 1.5 : 0.5;
        rms_v *= measured == SW_DELTA ? 1.0 : 1.0 / sqrt(3.0);
    }
    if (!isfinite(phase_angle)) {
        return sw_fail(error, SW_VALUE, "phase_angle is not a number");
    }
    add_orders(motor, from_star_lines, sqrt(2.0) * rms_v, phase_angle, windings);
    return SW_OK;
}
