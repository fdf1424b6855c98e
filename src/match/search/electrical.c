/* The list is kept short where it multiplies. Everything at hand is combined: voltages that the
 * builder said are possible, machines up to the number at hand, reachable connections and
 * rectifiers. What would need the motor opened, and what another battery would bring, is looked at
 * with one machine only, as an outlook. */
#include "src/match/search/electrical.h"

#include <math.h>
#include <stdio.h>

/* Beyond so many times cut-in a machine on a battery is deep in its own reactance or resistance;
 * the table keeps its last power from there. */
static const double TABLE_SPAN = 40;

/* Batteries that are usual, for the outlook. */
static const double USUAL_V[] = {12, 24, 48};

/* Coils wound anew with so many times the turns of a wire that fills the same slots. */
static const double TURNS[] = {0.5, 0.7, 1.4, 2};

typedef struct rewiring_row {
    sw_rewiring rewiring;
    sw_connection connection;
    double rewind;
    bool reachable;
} rewiring_row;

enum { REWIRING_LIMIT = 3 + (int)(sizeof TURNS / sizeof *TURNS) };

typedef struct option_list {
    const sw_search_request *request;
    sw_electrical *item;
    size_t count;
    bool full; /* more than there is room for */
} option_list;

/* What an option is besides its coils and rectifier. */
typedef struct around {
    double nominal_v; /* NaN = no battery */
    bool offered;
    int machines;
} around;

static void add_electrical(option_list *list, around with, rewiring_row row,
                           sw_rectifier rectifier) {
    const sw_load *load = list->request->load;
    list->full = list->full || list->count == SW_ELECTRICAL_LIMIT;
    if (list->full)
        return;
    sw_electrical *it = &list->item[list->count++];
    *it = (sw_electrical){.rewiring = row.rewiring,
                          .reachable = row.reachable && with.offered,
                          .other_battery = !with.offered,
                          .nominal_v = with.nominal_v,
                          .tell_voltage = !with.offered || list->request->voltages > 0,
                          .load = isnan(with.nominal_v) ? *load
                                                        : sw_load_of_nominal(load, with.nominal_v)};
    it->wiring = sw_wiring_default(list->request->motor);
    it->wiring.connection = row.connection;
    it->wiring.rewind = row.rewind;
    it->wiring.rectifier = rectifier;
    it->wiring.diode = load->diode;
    it->wiring.machines = with.machines;
}

/* One phase can be doubled, or heat a resistor as it is; three go through their bridge; brushes
 * need one blocking diode. */
static void add_rectifiers(option_list *list, around with, rewiring_row row) {
    const sw_motor *motor = list->request->motor;
    if (motor->kind == SW_BRUSHED) {
        add_electrical(list, with, row, SW_RECTIFIER_BLOCKING_DIODE);
        return;
    }
    add_electrical(list, with, row, SW_RECTIFIER_BRIDGE);
    if (motor->phases == 1)
        add_electrical(list, with, row, SW_RECTIFIER_DOUBLER);
    if (motor->phases == 1 && list->request->load->kind == SW_LOAD_RESISTOR)
        add_electrical(list, with, row, SW_RECTIFIER_NONE);
}

/* What could be made of the coils; the connection as it came is first. */
static size_t list_rewirings(const sw_motor *motor, rewiring_row row[REWIRING_LIMIT]) {
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
    for (size_t i = 0; i < sizeof TURNS / sizeof *TURNS; i++)
        row[count++] = (rewiring_row){SW_REWIRING_WOUND, motor->connection, TURNS[i],
                                      motor->can_rewire == SW_REWIRE_REWIND};
    return count;
}

/* One voltage with so many machines; beyond the first of both only what needs no opening. */
static void add_around(option_list *list, around with, bool first) {
    rewiring_row row[REWIRING_LIMIT];
    size_t rows = list_rewirings(list->request->motor, row);
    for (size_t i = 0; i < rows; i++) {
        bool wound = row[i].rewiring == SW_REWIRING_WOUND;
        if (wound && sw_load_tracks(list->request->load) && !row[i].reachable)
            continue; /* a window of voltages does what other turns would */
        bool wanted = first ? row[i].reachable || list->request->outlook
                            : row[i].reachable && !wound && with.offered;
        if (wanted || (!with.offered && i == 0))
            add_rectifiers(list, with, row[i]);
    }
}

static bool is_offered(const sw_search_request *request, double nominal_v) {
    for (size_t i = 0; i < request->voltages; i++)
        if (fabs(request->voltage[i] - nominal_v) < 1e-6)
            return true;
    return request->voltages == 0 && fabs(sw_load_nominal_v(request->load) - nominal_v) < 1e-6;
}

sw_status sw_electrical_list(const sw_search_request *request,
                             sw_electrical electrical[SW_ELECTRICAL_LIMIT], size_t *count,
                             sw_error *error) {
    option_list list = {request, electrical, 0, false};
    bool battery = request->load->kind == SW_LOAD_BATTERY;
    int most = request->machines > 1 ? request->machines : 1;
    size_t voltages = battery && request->voltages > 0 ? request->voltages : 1;
    for (size_t i = 0; i < voltages; i++)
        for (int machines = 1; machines <= most; machines++) {
            double own_v = battery ? sw_load_nominal_v(request->load) : NAN;
            double nominal_v = battery && request->voltages > 0 ? request->voltage[i] : own_v;
            add_around(&list, (around){nominal_v, true, machines}, i == 0 && machines == 1);
        }
    for (size_t i = 0; battery && request->outlook && i < sizeof USUAL_V / sizeof *USUAL_V; i++)
        if (!is_offered(request, USUAL_V[i]))
            add_around(&list, (around){USUAL_V[i], false, 1}, false);
    *count = list.count;
    return list.full ? sw_fail(error, SW_UNSUPPORTED,
                               "more than %d ways to wire it: name fewer voltages or machines",
                               (int)SW_ELECTRICAL_LIMIT)
                     : SW_OK;
}

void sw_electrical_tabulate(const sw_motor *motor, double top_rpm, bool exact,
                            sw_electrical *electrical) {
    sw_error error = {0};
    double cut_in_rpm = 0;
    sw_deliver_load seen = sw_load_electrical(&electrical->load);
    sw_generator_free(electrical->generator);
    electrical->generator = NULL;
    sw_status status = sw_deliver_cut_in(motor, &electrical->wiring, &seen, &cut_in_rpm, &error);
    if (status == SW_OK && cut_in_rpm > 0 && electrical->load.kind != SW_LOAD_RESISTOR)
        top_rpm = fmin(top_rpm, TABLE_SPAN * cut_in_rpm);
    const sw_load *load = &electrical->load;
    bool tracks = sw_load_tracks(load);
    if (status == SW_OK && tracks)
        status =
            sw_generator_tracking(motor, &electrical->wiring, &seen, load->window_low_v,
                                  load->window_high_v, top_rpm, &electrical->generator, &error);
    else if (status == SW_OK)
        status = (exact ? sw_generator_new : sw_generator_sketch)(
            motor, &electrical->wiring, &seen, top_rpm, &electrical->generator, &error);
    electrical->exact = exact || tracks; /* of a converter's voltages there are sketches only */
    if (status != SW_OK)
        snprintf(electrical->why_not, sizeof electrical->why_not, "%.190s", error.message);
}
