/* Torque is given without drag, because drag does not scale with the motor constant. */
#include "src/match/deliver/generator.h"

#include "src/match/deliver/deliver_table.h"
#include "src/match/deliver/deliver_window.h"

#include <math.h>
#include <stdlib.h>

enum { STAGES = 6 };

struct sw_generator {
    sw_generator *stage[STAGES]; /* of one that tracks: then there is no table */
    sw_deliver_table *table;
    const sw_motor *motor; /* borrowed */
    int machines;
    sw_load_kind load;
    sw_rectifier rectifier;
    double cut_in_rpm;
    double top_rpm;
};

void sw_generator_free(sw_generator *generator) {
    if (generator == NULL)
        return;
    for (size_t i = 0; i < STAGES; i++)
        sw_generator_free(generator->stage[i]);
    sw_deliver_table_free(generator->table);
    free(generator);
}

static sw_generator *generator_new(sw_error *error) {
    sw_generator *made = calloc(1, sizeof *made);
    if (made == NULL)
        (void)sw_fail(error, SW_MEMORY, "not enough memory for a table of the generator");
    return made;
}

typedef sw_status (*table_maker)(const sw_motor *, const sw_wiring *, const sw_deliver_load *,
                                 double, sw_deliver_table **, sw_error *);

static sw_status generator_by(table_maker make, const sw_motor *motor, const sw_wiring *wiring,
                              const sw_deliver_load *load, double top_rpm, sw_generator **generator,
                              sw_error *error) {
    sw_generator *made = generator_new(error);
    if (made == NULL)
        return SW_MEMORY;
    sw_status status = make(motor, wiring, load, top_rpm, &made->table, error);
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

sw_status sw_generator_new(const sw_motor *motor, const sw_wiring *wiring,
                           const sw_deliver_load *load, double top_rpm, sw_generator **generator,
                           sw_error *error) {
    return generator_by(sw_deliver_table_new, motor, wiring, load, top_rpm, generator, error);
}

sw_status sw_generator_sketch(const sw_motor *motor, const sw_wiring *wiring,
                              const sw_deliver_load *load, double top_rpm, sw_generator **generator,
                              sw_error *error) {
    return generator_by(sw_deliver_table_sketch, motor, wiring, load, top_rpm, generator, error);
}

sw_status sw_generator_tracking(const sw_motor *motor, const sw_wiring *wiring,
                                const sw_deliver_load *load, double low_v, double high_v,
                                double top_rpm, sw_generator **generator, sw_error *error) {
    sw_generator *made = generator_new(error);
    if (made == NULL)
        return SW_MEMORY;
    sw_status status = SW_OK;
    for (int i = 0; i < STAGES && status == SW_OK; i++) {
        sw_deliver_load held = sw_deliver_lowest(load);
        held.battery_v = low_v * pow(high_v / low_v, (double)i / (STAGES - 1));
        status = sw_generator_sketch(motor, wiring, &held, top_rpm, &made->stage[i], error);
    }
    if (status != SW_OK) {
        sw_generator_free(made);
        return status;
    }
    made->motor = motor;
    made->cut_in_rpm = made->stage[0]->cut_in_rpm;
    made->top_rpm = made->stage[0]->top_rpm;
    *generator = made;
    return SW_OK;
}

size_t sw_generator_stages(const sw_generator *generator) {
    return generator->stage[0] != NULL ? STAGES : 1;
}

double sw_generator_cut_in_rpm(const sw_generator *generator) {
    return generator->cut_in_rpm;
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

double sw_generator_at_stage(const sw_generator *generator, sw_generator_column column,
                             double speed_rpm, double stage) {
    if (generator->stage[0] == NULL)
        return sw_generator_at(generator, column, speed_rpm);
    double at = fmin(fmax(stage, 0), STAGES - 1);
    size_t low = (size_t)fmin(floor(at), STAGES - 2);
    double value = sw_generator_at(generator->stage[low], column, speed_rpm);
    double part = at - (double)low;
    if (part > 0)
        value += part * (sw_generator_at(generator->stage[low + 1], column, speed_rpm) - value);
    return value;
}

double sw_generator_at(const sw_generator *generator, sw_generator_column column,
                       double speed_rpm) {
    if (generator->stage[0] != NULL)
        return sw_generator_at(generator->stage[0], column, speed_rpm);
    if (speed_rpm <= 0)
        return 0;
    double at_rpm = fmin(speed_rpm, generator->top_rpm);
    double value = tabulated(generator, column, at_rpm);
    return column == SW_GENERATOR_TORQUE ? value * at_rpm / speed_rpm : value;
}
