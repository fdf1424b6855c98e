/* Two makers of the same table: the exact tabulation of a motor, and points of a caller's own
 * (Steffen's spline, GSL, which does not overshoot at the knee where current begins). Torque is
 * given without drag, because drag does not scale with the motor constant. */
#include "src/match/generator.h"

#include "src/match/deliver_table.h"

#include <gsl/gsl_spline.h>
#include <math.h>
#include <stdlib.h>

struct sw_generator {
    sw_deliver_table *table; /* of a motor; NULL: points */
    const sw_motor *motor;   /* borrowed */
    int machines;
    sw_load_kind load;
    sw_rectifier rectifier;
    gsl_spline *spline[SW_GENERATOR_COLUMNS]; /* of points */
    double cut_in_rpm;
    double first_rpm; /* nothing flows below */
    double top_rpm;
};

void sw_generator_free(sw_generator *generator) {
    if (generator == NULL)
        return;
    sw_deliver_table_free(generator->table);
    for (size_t i = 0; i < SW_GENERATOR_COLUMNS; i++)
        gsl_spline_free(generator->spline[i]);
    free(generator);
}

static sw_generator *generator_new(sw_error *error) {
    sw_generator *made = calloc(1, sizeof *made);
    if (made == NULL)
        (void)sw_fail(error, SW_MEMORY, "not enough memory for a table of the generator");
    return made;
}

sw_status sw_generator_from_points(const double *speed_rpm,
                                   const double *const column[SW_GENERATOR_COLUMNS], size_t count,
                                   double cut_in_rpm, sw_generator **generator, sw_error *error) {
    sw_generator *made = generator_new(error);
    if (made == NULL)
        return SW_MEMORY;
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

sw_status sw_generator_new(const sw_motor *motor, const sw_wiring *wiring,
                           const sw_deliver_load *load, double top_rpm, sw_generator **generator,
                           sw_error *error) {
    sw_generator *made = generator_new(error);
    if (made == NULL)
        return SW_MEMORY;
    sw_status status = sw_deliver_table_new(motor, wiring, load, top_rpm, &made->table, error);
    if (status != SW_OK) {
        sw_generator_free(made);
        return status;
    }
    made->motor = motor;
    made->machines = wiring->machines < 1 ? 1 : wiring->machines;
    made->load = load->kind;
    made->rectifier = wiring->rectifier;
    made->cut_in_rpm = sw_deliver_table_cut_in_rpm(made->table);
    made->top_rpm = sw_deliver_table_max_rpm(made->table);
    *generator = made;
    return SW_OK;
}

double sw_generator_cut_in_rpm(const sw_generator *generator) {
    return generator->cut_in_rpm;
}

double sw_generator_top_rpm(const sw_generator *generator) {
    return generator->top_rpm;
}

/* Columns that the balance does not need. */
static double rare_column(const sw_generator *generator, sw_generator_column column,
                          double speed_rpm) {
    sw_operating_point point;
    sw_deliver_table_at(generator->table, speed_rpm, &point);
    switch (column) {
    case SW_GENERATOR_DC_POWER:
        return point.ac_power_w;
    case SW_GENERATOR_STORED:
        return generator->load == SW_LOAD_BATTERY
                   ? point.battery_power_w
                   : point.dc_power_w + point.ac_power_w - point.resistance_loss_w;
    case SW_GENERATOR_COPPER:
        return point.copper_loss_w;
    case SW_GENERATOR_DIODE:
        return point.diode_loss_w;
    case SW_GENERATOR_DC_AMPS:
        return point.dc_current_a;
    default:
        return point.phase_current_rms_a;
    }
}

static double tabulated(const sw_generator *generator, sw_generator_column column,
                        double speed_rpm) {
    if (column == SW_GENERATOR_TORQUE)
        return sw_deliver_table_torque_nm(generator->table, speed_rpm) -
               generator->machines * sw_motor_drag_nm(generator->motor, speed_rpm);
    if (column == SW_GENERATOR_DC_POWER && generator->rectifier != SW_RECTIFIER_NONE)
        return sw_deliver_table_dc_power_w(generator->table, speed_rpm);
    return rare_column(generator, column, speed_rpm);
}

double sw_generator_at(const sw_generator *generator, sw_generator_column column,
                       double speed_rpm) {
    if (speed_rpm <= generator->first_rpm)
        return 0;
    double at_rpm = fmin(speed_rpm, generator->top_rpm);
    double value = generator->table != NULL
                       ? tabulated(generator, column, at_rpm)
                       : gsl_spline_eval(generator->spline[column], at_rpm, NULL);
    return column == SW_GENERATOR_TORQUE ? value * at_rpm / speed_rpm : value;
}
