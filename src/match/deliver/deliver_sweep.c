#include "src/match/deliver/deliver_sweep.h"

#include "src/match/deliver/deliver_window.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_min.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { GRID = 9, STEPS = 12 };

/* One load that is varied at one speed. */
typedef struct trial {
    const sw_motor *motor;
    const sw_wiring *wiring;
    sw_deliver_load load;
    double speed_rpm;
    bool resistor; /* varied: the resistor's logarithm; else the voltage */
    sw_status status;
    sw_error *error;
} trial;

static double power_w(trial *t, double x, sw_operating_point *point) {
    sw_operating_point here;
    if (t->resistor) {
        t->load.kind = SW_LOAD_RESISTOR;
        t->load.resistor_ohm = exp(x);
    } else {
        t->load.kind = SW_LOAD_CONVERTER;
        t->load.battery_v = x;
    }
    const sw_status status =
        sw_deliver(t->motor, t->wiring, &t->load, t->speed_rpm, &here, t->error);
    if (status != SW_OK) {
        t->status = status;
        return 0.0;
    }
    if (point != NULL) {
        *point = here;
    }
    return t->wiring->rectifier == SW_RECTIFIER_NONE ? here.ac_power_w : here.dc_power_w;
}

static double minus_power_w(double x, void *data) {
    return -power_w(data, x, NULL);
}

/* Largest power for x in (low, high): the best of a grid, refined by Brent's method (1973). */
static double best(trial *t, double low, double high, double *best_w) {
    double at[GRID];
    double w[GRID];
    int top = 0;
    for (int i = 0; i < GRID; i++) {
        at[i] = low + (high - low) * (i + 0.5) / GRID;
        w[i] = power_w(t, at[i], NULL);
        top = w[i] > w[top] ? i : top;
    }
    *best_w = w[top];
    if (top == 0 || top == GRID - 1 || t->status != SW_OK) {
        return at[top];
    }
    gsl_min_fminimizer *search = gsl_min_fminimizer_alloc(gsl_min_fminimizer_brent);
    if (search == NULL) {
        t->status = sw_fail(t->error, SW_MEMORY, "out of memory for a search");
        return at[top];
    }
    gsl_function function = {minus_power_w, t};
    double found = at[top];
    if (gsl_min_fminimizer_set_with_values(search, &function, at[top], -w[top], at[top - 1],
                                           -w[top - 1], at[top + 1], -w[top + 1]) == GSL_SUCCESS) {
        for (int i = 0; i < STEPS && gsl_min_fminimizer_iterate(search) == GSL_SUCCESS; i++) {
            if (gsl_min_fminimizer_x_upper(search) - gsl_min_fminimizer_x_lower(search) <
                1e-3 * (high - low)) {
                break;
            }
        }
        found = gsl_min_fminimizer_x_minimum(search);
        *best_w = -gsl_min_fminimizer_f_minimum(search);
    }
    gsl_min_fminimizer_free(search);
    return found;
}

static sw_status fill_best(trial *t, sw_sweep_row *row) {
    double volts = 0.0;
    const double around_ohm = fmax(t->motor->winding_resistance.value, 1e-3);
    t->resistor = true;
    row->best_resistor_ohm =
        exp(best(t, log(0.1 * around_ohm), log(300.0 * around_ohm), &row->best_resistor_w));
    const bool steady = t->wiring->rectifier != SW_RECTIFIER_NONE;
    if (t->status == SW_OK && steady) {
        t->resistor = false;
        t->status =
            sw_deliver_open_volts(t->motor, t->wiring, &t->load, t->speed_rpm, &volts, t->error);
    }
    if (t->status == SW_OK && steady && volts > 1.0) {
        row->best_voltage_v = best(t, 0.05 * volts, volts, &row->best_voltage_w);
    }
    return t->status;
}

/* Voltages for the map: evenly up to what the fastest speed gives without load. */
static sw_status choose_levels(const trial *t, double last_rpm, sw_sweep *sweep) {
    double volts = 0.0;
    const sw_status status =
        sw_deliver_open_volts(t->motor, t->wiring, &t->load, last_rpm, &volts, t->error);
    for (int i = 0; i < SW_SWEEP_LEVELS; i++) {
        sweep->level_v[i] = volts * (i + 1) / (SW_SWEEP_LEVELS + 1);
    }
    return status;
}

static sw_status fill_map(trial *t, const sw_sweep *sweep, sw_sweep_row *row) {
    t->resistor = false;
    for (int i = 0; i < SW_SWEEP_LEVELS && t->status == SW_OK; i++) {
        sw_operating_point point;
        memset(&point, 0, sizeof point);
        (void)power_w(t, sweep->level_v[i], &point);
        row->efficiency[i] = point.dc_current_a > 0.0 ? point.efficiency : NAN;
    }
    return t->status;
}

static sw_status run_row(trial *t, const sw_deliver_load *load, const sw_sweep *sweep,
                         sw_sweep_row *row) {
    t->load = sw_deliver_lowest(load);
    row->best_voltage_v = NAN;
    row->best_voltage_w = NAN;
    row->best_resistor_ohm = NAN;
    row->best_resistor_w = NAN;
    t->status = sw_deliver(t->motor, t->wiring, load, t->speed_rpm, &row->point, t->error);
    if (t->status == SW_OK && t->speed_rpm > 0.0) {
        t->status = fill_best(t, row);
    }
    if (t->status == SW_OK && sweep->mapped && t->speed_rpm > 0.0) {
        t->status = fill_map(t, sweep, row);
    }
    return t->status;
}

sw_status sw_sweep_run(const sw_motor *motor, const sw_wiring *wiring, const sw_deliver_load *load,
                       double first_rpm, double last_rpm, double step_rpm, bool with_map,
                       sw_sweep *sweep, sw_error *error) {
    memset(sweep, 0, sizeof *sweep);
    if (!(first_rpm >= 0.0) || !(last_rpm >= first_rpm) || !(step_rpm > 0.0) ||
        (last_rpm - first_rpm) / step_rpm > SW_SWEEP_LIMIT - 2) {
        return sw_fail(error, SW_VALUE,
                       "sweep from %g to %g rpm by %g: expected rising speeds, a step above zero "
                       "and fewer than %d rows",
                       first_rpm, last_rpm, step_rpm, SW_SWEEP_LIMIT);
    }
    const size_t rows = (size_t)floor((last_rpm - first_rpm) / step_rpm + 1e-9) + 1;
    sweep->row = calloc(rows, sizeof *sweep->row);
    if (sweep->row == NULL) {
        return sw_fail(error, SW_MEMORY, "out of memory for a sweep");
    }
    trial t = {.motor = motor, .wiring = wiring, .load = sw_deliver_lowest(load), .error = error};
    sw_status status = sw_deliver_cut_in(motor, wiring, load, &sweep->cut_in_rpm, error);
    sweep->mapped = with_map && wiring->rectifier != SW_RECTIFIER_NONE;
    if (status == SW_OK && sweep->mapped) {
        status = choose_levels(&t, last_rpm, sweep);
    }
    for (size_t i = 0; status == SW_OK && i < rows; i++) {
        t.speed_rpm = first_rpm + (double)i * step_rpm;
        status = run_row(&t, load, sweep, &sweep->row[i]);
        sweep->rows++;
    }
    if (status != SW_OK) {
        sw_sweep_free(sweep);
    }
    return status;
}

void sw_sweep_free(sw_sweep *sweep) {
    free(sweep->row);
    memset(sweep, 0, sizeof *sweep);
}
