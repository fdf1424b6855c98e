#include "src/match/electrical.h"

#include <math.h>
#include <stdio.h>

/* Beyond so many times cut-in a machine on a battery is deep in its own reactance or resistance;
 * the table keeps its last power from there. */
static const double TABLE_SPAN = 40;

typedef struct rewiring_row {
    sw_rewiring rewiring;
    sw_connection connection;
    double rewind;
    bool reachable;
} rewiring_row;

static void add_electrical(const sw_motor *motor, const sw_load *load, rewiring_row row,
                           sw_rectifier rectifier, sw_electrical *list, size_t *count) {
    if (*count == SW_ELECTRICAL_LIMIT)
        return;
    sw_electrical *it = &list[(*count)++];
    *it = (sw_electrical){.rewiring = row.rewiring, .reachable = row.reachable};
    it->wiring = sw_wiring_default(motor);
    it->wiring.connection = row.connection;
    it->wiring.rewind = row.rewind;
    it->wiring.rectifier = rectifier;
    it->wiring.diode = load->diode;
}

/* One phase can be doubled, or heat a resistor as it is; three go through their bridge; brushes
 * need one blocking diode. */
static void add_rectifiers(const sw_motor *motor, const sw_load *load, rewiring_row row,
                           sw_electrical *list, size_t *count) {
    if (motor->kind == SW_BRUSHED) {
        add_electrical(motor, load, row, SW_RECTIFIER_BLOCKING_DIODE, list, count);
        return;
    }
    add_electrical(motor, load, row, SW_RECTIFIER_BRIDGE, list, count);
    if (motor->phases == 1)
        add_electrical(motor, load, row, SW_RECTIFIER_DOUBLER, list, count);
    if (motor->phases == 1 && load->kind == SW_LOAD_RESISTOR)
        add_electrical(motor, load, row, SW_RECTIFIER_NONE, list, count);
}

/* What could be made of the coils; the connection as it came is first. */
static size_t list_rewirings(const sw_motor *motor, rewiring_row row[4]) {
    size_t count = 0;
    bool reachable = motor->can_rewire != SW_REWIRE_NO;
    row[count++] = (rewiring_row){SW_REWIRING_NONE, motor->connection, 1, true};
    if (motor->kind == SW_BRUSHED)
        return count;
    if (motor->phases == 3 && motor->connection == SW_STAR)
        row[count++] = (rewiring_row){SW_REWIRING_DELTA, SW_DELTA, 1, reachable};
    if (motor->phases == 3 && motor->connection == SW_DELTA)
        row[count++] = (rewiring_row){SW_REWIRING_STAR, SW_STAR, 1, reachable};
    if (motor->coil_groups > 1)
        row[count++] = (rewiring_row){SW_REWIRING_PARALLEL, motor->connection,
                                      1.0 / motor->coil_groups, reachable};
    return count;
}

size_t sw_electrical_list(const sw_motor *motor, const sw_load *load,
                          sw_electrical electrical[SW_ELECTRICAL_LIMIT]) {
    rewiring_row row[4];
    size_t rows = list_rewirings(motor, row);
    size_t count = 0;
    for (size_t i = 0; i < rows; i++)
        add_rectifiers(motor, load, row[i], electrical, &count);
    return count;
}

void sw_electrical_tabulate(const sw_motor *motor, const sw_load *load, double top_rpm,
                            sw_electrical *electrical) {
    sw_error error = {0};
    double cut_in_rpm = 0;
    sw_deliver_load seen = sw_load_electrical(load);
    sw_status status = sw_deliver_cut_in(motor, &electrical->wiring, &seen, &cut_in_rpm, &error);
    if (status == SW_OK && cut_in_rpm > 0 && load->kind != SW_LOAD_RESISTOR)
        top_rpm = fmin(top_rpm, TABLE_SPAN * cut_in_rpm);
    if (status == SW_OK)
        status = sw_generator_new(motor, &electrical->wiring, &seen, top_rpm,
                                  &electrical->generator, &error);
    if (status != SW_OK)
        snprintf(electrical->why_not, sizeof electrical->why_not, "%.190s", error.message);
}
