#include "src/match/electric/operate.h"

#include "shared/constants.h"

#include <math.h>
#include <string.h>

enum { REFINEMENTS = 6, FINER_STARTS = 3 };

/* The least current whose accuracy is looked at. */
static const double least_a = 5e-3;
/* Changes beyond this after the last refinement are no answer. */
static const double acceptable = 5e-3;
/* No diode conducting for longer than this part of the period is called pulsed. */
static const double pause = 1e-3;

double sw_operate_cut_in_rpm(const sw_electric_option *option) {
    const sw_circuit *circuit = &option->circuit;
    return (circuit->load_v + circuit->topology->diodes_in_way * circuit->diode.threshold_v) /
           option->drive_v;
}

/* Relative change; a figure below `least` counts as if it were that large. */
static double change_of(double a, double b, double least) {
    const double size = fmax(fmax(fabs(a), fabs(b)), least);
    return size > 0.0 ? fabs(a - b) / size : 0.0;
}

/* Largest change among the figures that matter, for currents above what an ammeter shows. */
static double tally_change(const sw_circuit *circuit, const sw_tally *a, const sw_tally *b) {
    const double drop_v = fmax(circuit->diode.threshold_v, 0.1);
    double change = change_of(a->load_a / a->angle, b->load_a / b->angle, least_a);
    change = fmax(change,
                  change_of(a->emf_w / a->angle, b->emf_w / b->angle, least_a * circuit->drive_v));
    change = fmax(change, change_of(a->leg_a2 / a->angle, b->leg_a2 / b->angle, least_a * least_a));
    return fmax(change, change_of(a->diode_w / a->angle, b->diode_w / b->angle, least_a * drop_v));
}

/* Part of the EMF's power that the losses and the load do not account for. */
static double imbalance(const sw_circuit *circuit, const sw_tally *tally) {
    const double out_w = tally->rail_w + tally->diode_w + tally->leg_a2 * circuit->leg_ohm;
    return change_of(tally->emf_w, out_w, least_a * circuit->drive_v * tally->angle);
}

/* A first state for circuits with capacitors. Large ones need many periods to settle, and Newton
 * from afar may then wander; but the mean voltages hardly depend on their size. So begin with
 * capacitors that settle within a period or so, and enlarge them step by step, each steady state
 * starting the search for the next. */
static sw_status approach(const sw_circuit *circuit, const sw_circulation *circulation, int steps,
                          double first, double factor, sw_periodic *periodic, sw_error *error) {
    const double z_ohm = fmax(circuit->load_v > 0.0 ? 0.0 : circuit->load_ohm,
                              hypot(circuit->leg_ohm, circuit->leg_x_ohm));
    const double guess_v = circuit->load_v > 0.0 ? circuit->load_v : first * circuit->drive_v;
    sw_circuit small = *circuit;
    sw_tally tally;
    sw_status status = SW_OK;
    for (int c = 0; c < SW_PORT_LIMIT; c++) {
        periodic->state.cap_v[c] = circuit->topology->units > 0 ? 0.5 * guess_v : guess_v;
    }
    for (double part = first * 10.0 / (z_ohm * circuit->smooth_s); part < 1.0 && status == SW_OK;
         part *= factor) {
        small.smooth_s = part * circuit->smooth_s;
        status = sw_shoot(&small, circulation, steps, periodic, &tally, error);
        periodic->slope_warm = false;
    }
    return status;
}

/* The steady state on a grid of `steps`, from a cold start. */
static sw_status start_cold(const sw_circuit *circuit, const sw_circulation *circulation, int steps,
                            sw_periodic *periodic, sw_tally *tally, sw_error *error) {
    static const struct {
        double first;
        double factor;
    } ways[] = {{1.0, 8.0}, {0.3, 3.0}, {0.1, 1.7}};
    const bool has_caps = sw_circuit_caps(circuit) > 0;
    const size_t tries = has_caps ? sizeof ways / sizeof ways[0] : 1;
    sw_status status = SW_NO_CONVERGENCE;
    for (size_t i = 0; i < tries && status == SW_NO_CONVERGENCE; i++) {
        memset(periodic, 0, sizeof *periodic);
        status = has_caps ? approach(circuit, circulation, steps, ways[i].first, ways[i].factor,
                                     periodic, error)
                          : SW_OK;
        if (status == SW_OK) {
            status = sw_shoot(circuit, circulation, steps, periodic, tally, error);
        }
    }
    return status;
}

static sw_status refine(const sw_electric_option *option, const sw_circuit *circuit,
                        const sw_circulation *circulation, sw_periodic *periodic, sw_tally *tally,
                        double *misfit, sw_error *error) {
    int steps = option->steps;
    sw_status status = SW_NO_CONVERGENCE;
    if (periodic->warm) {
        status = sw_shoot(circuit, circulation, steps, periodic, tally, error);
    }
    /* Small inductances and capacitors may swing faster than a coarse grid can follow. */
    for (int i = 0; i < FINER_STARTS && status == SW_NO_CONVERGENCE; i++) {
        steps = option->steps << (2 * i);
        status = start_cold(circuit, circulation, steps, periodic, tally, error);
    }
    for (int i = 0; status == SW_OK && i < REFINEMENTS; i++) {
        const sw_tally coarse = *tally;
        steps *= 2;
        status = sw_shoot(circuit, circulation, steps, periodic, tally, error);
        *misfit = fmax(tally_change(circuit, &coarse, tally), imbalance(circuit, tally));
        if (*misfit < option->settled) {
            break;
        }
    }
    if (status == SW_OK && !(*misfit < acceptable)) {
        return sw_fail(error, SW_NO_CONVERGENCE,
                       "the %s was solved only to %.1f %%, wanted %.1f %%", circuit->topology->name,
                       100.0 * *misfit, 100.0 * acceptable);
    }
    return status;
}

/* Below cut-in nothing flows: one run through a period for the voltages. */
static sw_status run_idle(const sw_electric_option *option, const sw_circuit *circuit,
                          const sw_circulation *circulation, sw_tally *tally, sw_error *error) {
    sw_electric_state state;
    memset(&state, 0, sizeof state);
    for (int c = 0; c < sw_circuit_caps(circuit); c++) {
        state.cap_v[c] = circuit->topology->units > 0 ? 0.5 * circuit->load_v : 0.0;
    }
    const sw_stretch stretch = {0.0, 2.0 * M_PI / circuit->turn->parts,
                                option->steps / circuit->turn->parts};
    sw_tally_start(tally);
    if (!sw_march(circuit, &stretch, circulation, &state, tally)) {
        return sw_fail(error, SW_NO_CONVERGENCE, "the idle %s could not be followed",
                       circuit->topology->name);
    }
    return SW_OK;
}

static sw_conduction conduction_of(const sw_tally *tally) {
    if (tally->leg_peak_a <= 0.0) {
        return SW_CONDUCTION_NONE;
    }
    return tally->idle > pause * tally->angle ? SW_CONDUCTION_PULSED : SW_CONDUCTION_CONTINUOUS;
}

/* Electrical figures from the sums, of all machines. */
static void fill_point(const sw_electric_option *option, const sw_circuit *circuit,
                       const sw_circulation *circulation, const sw_tally *tally, double speed_rpm,
                       sw_operating_point *point) {
    const double n = option->machines;
    const double leg_a2 = tally->leg_a2 / tally->angle;
    const double around_a2 = circulation->rms_a * circulation->rms_a;
    const double around_w = circulation->delta ? 3.0 * option->winding_ohm * around_a2 : 0.0;
    const double mean_a2 = leg_a2 / circuit->topology->legs;
    const double load_a2 = tally->load_a2 / tally->angle;
    point->dc_current_a = n * tally->load_a / tally->angle;
    point->dc_voltage_v = tally->rail_v / tally->angle;
    point->dc_power_w = n * tally->rail_w / tally->angle;
    point->copper_loss_w = n * (leg_a2 * option->copper_ohm + around_w);
    point->circulating_loss_w = n * around_w;
    point->diode_loss_w = n * tally->diode_w / tally->angle;
    point->cable_ac_loss_w = n * leg_a2 * option->line_ohm;
    point->load_square_a2 = n * n * load_a2;
    point->phase_current_rms_a = sqrt(circulation->delta ? mean_a2 / 3.0 + around_a2 : mean_a2);
    point->phase_current_peak_a = tally->winding_peak_a;
    point->circulating_current_rms_a = circulation->rms_a;
    point->diode_peak_inverse_v = tally->reverse_v;
    point->dc_ripple_v = tally->rail_high_v - tally->rail_low_v;
    const double emf_w = tally->emf_w / tally->angle + around_w;
    const double apparent = circuit->topology->windings * option->winding_emf_v * speed_rpm *
                            point->phase_current_rms_a;
    point->power_factor = apparent > 0.0 ? emf_w / apparent : NAN;
    point->torque_ripple_nm =
        n * (tally->emf_high_w - tally->emf_low_w) / (speed_rpm / SW_RPM_PER_RAD_S);
    point->conduction = conduction_of(tally);
}

sw_status sw_operate(const sw_electric_option *option, double speed_rpm, sw_periodic *periodic,
                     sw_operating_point *point, double *emf_w, sw_error *error) {
    sw_circuit circuit;
    sw_circulation circulation;
    sw_tally tally;
    double misfit = 0.0;
    sw_option_at(option, speed_rpm, &circuit, &circulation);
    sw_status status = SW_OK;
    if (speed_rpm <= sw_operate_cut_in_rpm(option)) {
        status = run_idle(option, &circuit, &circulation, &tally, error);
    } else {
        status = refine(option, &circuit, &circulation, periodic, &tally, &misfit, error);
    }
    if (status != SW_OK) {
        periodic->warm = false;
        return status;
    }
    memset(point, 0, sizeof *point);
    point->speed_rpm = speed_rpm;
    point->frequency_hz = option->hertz_per_rpm * speed_rpm;
    fill_point(option, &circuit, &circulation, &tally, speed_rpm, point);
    point->residual = fmax(misfit, periodic->misfit);
    *emf_w = option->machines * tally.emf_w / tally.angle + point->circulating_loss_w;
    return SW_OK;
}

void sw_operate_shaft(const sw_motor *motor, const sw_wiring *wiring, const sw_deliver_load *load,
                      double emf_w, sw_operating_point *point) {
    const double omega = point->speed_rpm / SW_RPM_PER_RAD_S;
    const double drag_nm = wiring->machines * sw_motor_drag_nm(motor, point->speed_rpm);
    point->resistance_loss_w = point->cable_ac_loss_w;
    if (load->kind != SW_LOAD_RESISTOR) {
        const double inner_ohm = load->kind == SW_LOAD_BATTERY ? load->battery_ohm : 0.0;
        point->resistance_loss_w += point->load_square_a2 * (inner_ohm + load->cable_dc_ohm);
        point->standby_w = load->standby_w;
        point->battery_power_w = load->battery_v * point->dc_current_a - load->standby_w;
    }
    point->drag_loss_w = drag_nm * omega;
    point->shaft_power_w = emf_w + point->drag_loss_w;
    point->shaft_torque_nm = (omega > 0.0 ? emf_w / omega : 0.0) + drag_nm;
    const double got_w = load->kind != SW_LOAD_RESISTOR           ? point->battery_power_w
                         : wiring->rectifier == SW_RECTIFIER_NONE ? point->ac_power_w
                                                                  : point->dc_power_w;
    point->efficiency = point->shaft_power_w > 0.0 ? got_w / point->shaft_power_w : NAN;
}
