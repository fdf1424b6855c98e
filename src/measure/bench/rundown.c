#include "src/measure/bench/rundown.h"

#include "shared/constants.h"
#include "shared/uncertainty.h"
#include "src/measure/bench/rundown_parts.h"

#include <math.h>
#include <stdlib.h>

/* What the method itself may be off: the integrals, the angle's smoothing. Relative. */
static const double OWN_ERROR = 2e-3;
/* Of an inertia that was given without its uncertainty (a documented guess). */
static const double INERTIA_U = 0.05;
/* A slowing that is known no better than this (k = 2, relative) says nothing. */
static const double VAGUE = 0.5;
/* Cycles; a record whose angle is left further off than this is no free run-down. */
static const double MISFIT_MOST = 0.02;

static sw_status fit_terms(const sw_cycles *cycles, int pole_pairs, sw_rundown *rundown,
                           double *residual, sw_error *error) {
    sw_retardation how = {{true, true, true}, pole_pairs, true};
    sw_retardation_fit fit;
    const sw_coasting *part = &rundown->part;
    sw_status status =
        sw_retardation_run(cycles, part->from, part->to, &how, &fit, residual, error);
    if (status != SW_OK)
        return status;
    rundown->rms_cycles = fit.rms_cycles;
    rundown->own_error = OWN_ERROR;
    rundown->turns = (double)(part->to - part->from) / fmax(1, pole_pairs);
    sw_rundown_choose_terms(&fit, rundown);
    return SW_OK;
}

sw_status sw_rundown_fit(const sw_cycles *cycles, int pole_pairs, sw_rundown *rundown,
                         sw_error *error) {
    *rundown = (sw_rundown){0};
    sw_status status = sw_coasting_find(cycles, pole_pairs, &rundown->part, error);
    const sw_coasting *part = &rundown->part;
    if (status != SW_OK || part->to == part->from)
        return status;
    size_t count = part->to - part->from + 1;
    double *residual = calloc(count, sizeof *residual);
    if (residual == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for the run-down");
    rundown->from_s = cycles->cycle[part->from].start_s;
    rundown->to_s = cycles->cycle[part->to - 1].start_s + cycles->cycle[part->to - 1].length_s;
    status = fit_terms(cycles, pole_pairs, rundown, residual, error);
    if (status == SW_OK)
        rundown->stray_order = sw_rundown_gear_line(cycles, part, residual, pole_pairs);
    free(residual);
    return status;
}

static double polynomial(const double *term, double x) {
    return term[0] + x * (term[1] + x * term[2]);
}

sw_quantity sw_rundown_slowing(const sw_rundown *rundown, double frequency_hz) {
    const double power[SW_DRAG_TERMS] = {1, frequency_hz, frequency_hz * frequency_hz};
    double variance = 0;
    for (size_t k = 0; k < SW_DRAG_TERMS; k++)
        for (size_t l = 0; l < SW_DRAG_TERMS; l++)
            variance += power[k] * power[l] * rundown->covariance[k][l];
    double value = polynomial(rundown->term, frequency_hz);
    double choice = value - polynomial(rundown->full, frequency_hz);
    double own = rundown->own_error * value;
    return sw_quantity_of(value, sqrt(fmax(0, variance) + choice * choice + own * own), "Hz/s");
}

/* ---- into the record ---- */

static double relative_u(sw_quantity inertia) {
    return sw_quantity_u_or(inertia, INERTIA_U) / inertia.value;
}

static double middle_of(const sw_rundown *rundown) {
    return (rundown->part.from_hz + rundown->part.to_hz) / 2;
}

/* No term can be less than nothing or more than all of the drag: how far it may be off then, taken
 * as k = 2. */
static double physical_u(const sw_rundown *rundown, size_t k, double per_term) {
    double middle_hz = middle_of(rundown);
    sw_quantity slowing = sw_rundown_slowing(rundown, middle_hz);
    double most = (slowing.value + 2 * slowing.u) / pow(middle_hz, (double)k);
    double value = rundown->term[k];
    return rundown->falling ? HUGE_VAL : per_term * fmax(value, most - value) / 2;
}

static sw_quantity torque_term(const sw_rundown *rundown, size_t k, double per_term,
                               sw_quantity inertia, const char *unit) {
    double value = per_term * rundown->term[k];
    double choice = rundown->full[k] - rundown->term[k];
    double middle_hz = middle_of(rundown);
    /* What the fit cannot see may bend any one of them. */
    double bent = rundown->own_error * sw_rundown_slowing(rundown, middle_hz).value /
                  pow(middle_hz, (double)k);
    double own = per_term * sqrt(pow(rundown->full_u[k], 2) + choice * choice + bent * bent);
    own = fmin(own, physical_u(rundown, k, per_term));
    return sw_quantity_of(value, hypot(own, value * relative_u(inertia)), unit);
}

static void tell_torque(const sw_rundown *rundown, sw_motor *motor) {
    double turn = 2 * M_PI / motor->pole_pairs.value;
    double inertia = motor->inertia.value;
    sw_drag *drag = &motor->drag_torque;
    drag->constant = torque_term(rundown, 0, inertia * turn, motor->inertia, "N m");
    drag->linear = torque_term(rundown, 1, inertia, motor->inertia, "N m s/rad");
    drag->quadratic = torque_term(rundown, 2, inertia / turn, motor->inertia, "N m s2/rad2");
    double middle_hz = middle_of(rundown);
    sw_quantity slowing = sw_rundown_slowing(rundown, middle_hz);
    double torque = inertia * turn * slowing.value;
    drag->middle_speed = sw_quantity_of(60 * middle_hz / motor->pole_pairs.value, NAN, "rpm");
    drag->middle_torque = sw_quantity_of(
        torque, torque * hypot(slowing.u / slowing.value, relative_u(motor->inertia)), "N m");
}

/* One sentence on the drill is enough: what was said of it before is taken back. */
static void warn_of_drill(const sw_rundown *rundown, sw_coast coast, sw_motor *motor) {
    bool abrupt = sw_motor_warned(motor, SW_WARN_DRILL_ATTACHED);
    sw_motor_unwarn(motor, SW_WARN_DRILL_ATTACHED);
    if (coast == SW_COAST_WITH_DRILL)
        sw_motor_warn(motor, SW_WARN_DRILL_ATTACHED,
                      "the drill braked this run-down with its own gears: it says nothing of the "
                      "motor's drag; free the shaft (a string pulled off, a hub flicked by hand)");
    else if (coast == SW_COAST_FREE)
        sw_motor_warn(motor, SW_WARN_DRILL_ATTACHED,
                      "during the run-down something turned along that does not lock to the shaft "
                      "(%.2f a turn, or %d more), as a drill's gears do: drag is not told",
                      rundown->stray_order, motor->pole_pairs.value);
    else
        sw_motor_warn(motor, SW_WARN_DRILL_ATTACHED,
                      "the shaft runs down from %.1f to %.1f s, %s: drag is not told; say --coast "
                      "free if nothing was coupled, or --coast with-drill",
                      rundown->from_s, rundown->to_s,
                      abrupt ? "as fast as a drill brakes that is let go and still on"
                             : "perhaps with the drill still on");
}

static bool is_vague(const sw_rundown *rundown) {
    sw_quantity slowing = sw_rundown_slowing(rundown, middle_of(rundown));
    return !(2 * slowing.u < VAGUE * slowing.value);
}

void sw_rundown_tell(const sw_rundown *rundown, sw_coast coast, sw_motor *motor) {
    bool found = rundown->part.to > rundown->part.from;
    if (!found && coast == SW_COAST_FREE)
        sw_motor_warn(motor, SW_WARN_TOO_SHORT,
                      "no run-down of ten electrical cycles over which the speed falls by a "
                      "seventh: start it faster, or add a disc to the shaft");
    if (!found)
        return;
    bool abrupt = sw_motor_warned(motor, SW_WARN_DRILL_ATTACHED);
    sw_motor_unwarn(motor, SW_WARN_DRILL_ATTACHED); /* said better here */
    if (coast != SW_COAST_FREE || rundown->stray_order > 0) {
        warn_of_drill(rundown, coast, motor);
        return;
    }
    if (abrupt)
        sw_motor_warn(motor, SW_WARN_DRAG_DOUBTFUL,
                      "the shaft stops as fast as a drill that is let go. It counts as free "
                      "because that was said; if the drill was still on, the drag is the drill's. "
                      "A heavy disc on the shaft makes the run-down long enough to tell");
    if (rundown->rms_cycles > MISFIT_MOST)
        sw_motor_warn(motor, SW_WARN_NOISY,
                      "the run-down from %.1f to %.1f s does not slow as drag makes a free shaft "
                      "slow (the angle is %.2f of a cycle off): something touched it, or it was "
                      "still driven; drag is not told",
                      rundown->from_s, rundown->to_s, rundown->rms_cycles);
    else if (is_vague(rundown))
        sw_motor_warn(motor, SW_WARN_TOO_SHORT,
                      "the run-down from %.1f to %.1f s is too short (%.1f turns) to tell the drag "
                      "to a half: start it faster, or add a disc to the shaft",
                      rundown->from_s, rundown->to_s, rundown->turns);
    else if (motor->pole_pairs.value == 0)
        sw_motor_warn(motor, SW_WARN_SPEED_DOUBTFUL,
                      "the run-down gives drag only once the pole pairs are known");
    else if (sw_quantity_known(motor->inertia))
        tell_torque(rundown, motor);
}

/* ---- inertia from two run-downs ---- */

/* disc, slowing alone, slowing with the disc */
static double added_disc(const double *x, const void *user) {
    (void)user;
    return x[0] * x[2] / (x[1] - x[2]);
}

sw_status sw_rundown_inertia(const sw_rundown *alone, const sw_rundown *with_disc,
                             sw_quantity disc_kgm2, sw_quantity *inertia, sw_error *error) {
    double low = fmax(alone->part.to_hz, with_disc->part.to_hz);
    double high = fmin(alone->part.from_hz, with_disc->part.from_hz);
    if (!(low < high))
        return sw_fail(error, SW_MISMATCH,
                       "the two run-downs have no speed in common (%.3g to %.3g Hz and %.3g to "
                       "%.3g Hz); start both equally fast",
                       alone->part.from_hz, alone->part.to_hz, with_disc->part.from_hz,
                       with_disc->part.to_hz);
    sw_quantity r1 = sw_rundown_slowing(alone, (low + high) / 2);
    sw_quantity r2 = sw_rundown_slowing(with_disc, (low + high) / 2);
    if (!(r1.value - r2.value > 2 * hypot(r1.u, r2.u)) || r2.value <= 0)
        return sw_fail(error, SW_VALUE,
                       "with the disc the shaft slows by %.3g Hz/s, without it by %.3g: no clear "
                       "difference; take a heavier or larger disc",
                       r2.value, r1.value);
    const sw_input inputs[] = {
        {"added disc", disc_kgm2.value, isfinite(disc_kgm2.u) ? disc_kgm2.u : 0, INFINITY},
        {"run-down alone", r1.value, r1.u, INFINITY},
        {"run-down with the disc", r2.value, r2.u, INFINITY},
    };
    sw_propagated result;
    sw_status status = sw_propagate(added_disc, NULL, inputs, 3, NULL, &result, error);
    if (status == SW_OK)
        *inertia = sw_quantity_of(result.value, result.u, "kg m2");
    return status;
}
