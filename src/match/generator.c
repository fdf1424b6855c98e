/* Speeds are spaced evenly in the logarithm from just below cut-in, where the knee of the diodes
 * bends the curves, to the top; below cut-in everything is zero. Steffen's spline (GSL) keeps the
 * interpolation from overshooting at the knee. Torque is tabulated without drag, because drag does
 * not scale with the motor constant. */
#include "src/match/generator.h"

#include <gsl/gsl_spline.h>
#include <math.h>
#include <stdlib.h>

enum { POINTS = 112 };

static const double PI = 3.14159265358979323846;

/* Diodes leak a little below the cut-in speed of the open-circuit wave. */
static const double BELOW_CUT_IN = 0.9;

struct sw_generator {
    gsl_spline *spline[SW_GENERATOR_COLUMNS];
    double cut_in_rpm;
    double first_rpm;
    double top_rpm;
};

void sw_generator_free(sw_generator *generator) {
    if (generator == NULL)
        return;
    for (size_t i = 0; i < SW_GENERATOR_COLUMNS; i++)
        gsl_spline_free(generator->spline[i]);
    free(generator);
}

sw_status sw_generator_from_points(const double *speed_rpm,
                                   const double *const column[SW_GENERATOR_COLUMNS], size_t count,
                                   double cut_in_rpm, sw_generator **generator, sw_error *error) {
    sw_generator *made = calloc(1, sizeof *made);
    if (made == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for a table of the generator");
    for (size_t i = 0; i < SW_GENERATOR_COLUMNS; i++) {
        made->spline[i] = gsl_spline_alloc(gsl_interp_steffen, count);
        if (made->spline[i] == NULL) {
            sw_generator_free(made);
            return sw_fail(error, SW_MEMORY, "not enough memory for a table of the generator");
        }
        gsl_spline_init(made->spline[i], speed_rpm, column[i], count);
    }
    made->cut_in_rpm = cut_in_rpm;
    made->first_rpm = speed_rpm[0];
    made->top_rpm = speed_rpm[count - 1];
    *generator = made;
    return SW_OK;
}

typedef struct point_table {
    size_t count;
    double speed_rpm[POINTS];
    double column[SW_GENERATOR_COLUMNS][POINTS];
} point_table;

static void take(point_table *table, const sw_operating_point *point, const sw_deliver_load *load) {
    size_t at = table->count++;
    double speed_rad_s = point->speed_rpm * PI / 30;
    bool battery = load->kind == SW_LOAD_BATTERY;
    double power = point->dc_power_w > 0 ? point->dc_power_w : point->ac_power_w;
    table->speed_rpm[at] = point->speed_rpm;
    table->column[SW_GENERATOR_TORQUE][at] =
        (point->shaft_power_w - point->drag_loss_w) / speed_rad_s;
    table->column[SW_GENERATOR_DC_POWER][at] = power;
    table->column[SW_GENERATOR_STORED][at] =
        battery ? point->battery_power_w : power - point->resistance_loss_w;
    table->column[SW_GENERATOR_COPPER][at] = point->copper_loss_w;
    table->column[SW_GENERATOR_DIODE][at] = point->diode_loss_w;
    table->column[SW_GENERATOR_DC_AMPS][at] = point->dc_current_a;
    table->column[SW_GENERATOR_WINDING_AMPS][at] = point->phase_current_rms_a;
}

/* The first point: nothing flows. */
static void take_nothing(point_table *table, double speed_rpm) {
    for (size_t i = 0; i < SW_GENERATOR_COLUMNS; i++)
        table->column[i][0] = 0;
    table->speed_rpm[0] = speed_rpm;
    table->count = 1;
}

static sw_status fill(const sw_motor *motor, const sw_wiring *wiring, const sw_deliver_load *load,
                      double first_rpm, double top_rpm, point_table *table, sw_error *error) {
    double growth = pow(top_rpm / first_rpm, 1.0 / (POINTS - 1));
    double speed_rpm = first_rpm;
    take_nothing(table, first_rpm);
    for (int i = 1; i < POINTS; i++) {
        sw_operating_point point;
        speed_rpm *= growth;
        sw_status status = sw_deliver(motor, wiring, load, speed_rpm, &point, error);
        if (status == SW_NO_CONVERGENCE && i + 1 < POINTS)
            continue; /* the spline bridges a single speed; the next point must come */
        if (status != SW_OK)
            return status;
        take(table, &point, load);
    }
    if (table->count < POINTS * 3 / 4)
        return sw_fail(error, SW_NO_CONVERGENCE,
                       "the generator's current could not be worked out at %d of %d speeds",
                       POINTS - (int)table->count, (int)POINTS);
    return SW_OK;
}

sw_status sw_generator_new(const sw_motor *motor, const sw_wiring *wiring,
                           const sw_deliver_load *load, double top_rpm, sw_generator **generator,
                           sw_error *error) {
    point_table table;
    const double *column[SW_GENERATOR_COLUMNS];
    double cut_in_rpm = 0;
    sw_status status = sw_deliver_cut_in(motor, wiring, load, &cut_in_rpm, error);
    if (status != SW_OK)
        return status;
    double first_rpm = cut_in_rpm > 0 ? BELOW_CUT_IN * cut_in_rpm : 1e-3 * top_rpm;
    if (top_rpm < 3 * first_rpm)
        top_rpm = 3 * first_rpm;
    status = fill(motor, wiring, load, first_rpm, top_rpm, &table, error);
    if (status != SW_OK)
        return status;
    for (size_t i = 0; i < SW_GENERATOR_COLUMNS; i++)
        column[i] = table.column[i];
    return sw_generator_from_points(table.speed_rpm, column, table.count, cut_in_rpm, generator,
                                    error);
}

double sw_generator_cut_in_rpm(const sw_generator *generator) {
    return generator->cut_in_rpm;
}

double sw_generator_top_rpm(const sw_generator *generator) {
    return generator->top_rpm;
}

double sw_generator_at(const sw_generator *generator, sw_generator_column column,
                       double speed_rpm) {
    if (speed_rpm <= generator->first_rpm)
        return 0;
    if (speed_rpm <= generator->top_rpm)
        return gsl_spline_eval(generator->spline[column], speed_rpm, NULL);
    double last = gsl_spline_eval(generator->spline[column], generator->top_rpm, NULL);
    return column == SW_GENERATOR_TORQUE ? last * generator->top_rpm / speed_rpm : last;
}
