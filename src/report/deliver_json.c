#include "src/report/deliver_json.h"

#include "shared/json_write.h"
#include "src/match/deliver/deliver_figures.h"

#include <math.h>
#include <string.h>

const char *sw_conduction_name(sw_conduction conduction) {
    switch (conduction) {
    case SW_CONDUCTION_PULSED:
        return "pulsed";
    case SW_CONDUCTION_CONTINUOUS:
        return "continuous";
    case SW_CONDUCTION_NONE:
        break;
    }
    return "none";
}

static const char *load_name(sw_load_kind kind) {
    static const char *const names[] = {[SW_LOAD_BATTERY] = "battery",
                                        [SW_LOAD_RESISTOR] = "resistor",
                                        [SW_LOAD_CONVERTER] = "converter"};
    return names[kind];
}

/* How it is wired, and what hangs on it. */
static void add_wiring(cJSON *root, const sw_motor *motor, const sw_wiring *wiring,
                       const sw_deliver_load *load) {
    const sw_connection used =
        wiring->connection != SW_AS_IT_COMES ? wiring->connection : motor->connection;
    sw_json_add_text(root, "connection", sw_connection_name(used));
    sw_json_add_text(root, "rectifier", sw_rectifier_name(wiring->rectifier));
    sw_json_add_text(root, "diode", wiring->diode.name);
    sw_json_add_text(root, "load", load_name(load->kind));
    sw_json_add_number(root, "machines", wiring->machines);
    if (sw_connection_name(used) == NULL) {
        sw_json_add_unknown(root, "connection",
                            motor->phases == 3 && motor->kind == SW_MAGNET_AC
                                ? "as it comes: three equal readings cannot tell star from delta"
                                : "there is nothing to connect in star or delta");
    }
}

/* An uncertainty of rounding size says only that the figure does not depend on the readings. */
static void add_figure(cJSON *root, const sw_figure *figure, double value, double u) {
    if (strcmp(figure->unit, "1") == 0) {
        sw_json_add_number(root, figure->key, value);
    } else {
        sw_json_add_quantity(root, figure->key,
                             sw_quantity_of(value, u > 1e-9 * fabs(value) ? u : NAN, figure->unit));
    }
}

static const char *absent_reason(const sw_figure *figure, const sw_motor *motor,
                                 const sw_wiring *wiring, const sw_deliver_load *load) {
    if (strncmp(figure->key, "circulating", 11) == 0 &&
        sw_deliver_circulation_unknown(motor, wiring)) {
        return "third harmonics of the phases are not known, and drive current round the delta";
    }
    return sw_figure_absent(figure, wiring, load);
}

static void add_figures(cJSON *root, const sw_motor *motor, const sw_wiring *wiring,
                        const sw_deliver_load *load, const sw_deliver_answer *answer) {
    for (size_t f = 0; f < sw_figure_count; f++) {
        const sw_figure *figure = &sw_figures[f];
        const char *absent = absent_reason(figure, motor, wiring, load);
        const double value = sw_figure_value(figure, &answer->point);
        const double u = strcmp(figure->key, "speed") == 0 || strcmp(figure->key, "frequency") == 0
                             ? NAN
                             : sw_figure_value(figure, &answer->u);
        if (absent != NULL) {
            cJSON_AddNullToObject(root, figure->key);
            sw_json_add_unknown(root, figure->key, absent);
            continue;
        }
        add_figure(root, figure, value, u);
        if (!isfinite(value)) {
            sw_json_add_unknown(root, figure->key, "nothing flows");
        }
    }
}

static void add_guesses(cJSON *root, const sw_deliver_answer *answer) {
    cJSON *list = cJSON_AddArrayToObject(root, "guessed");
    for (size_t i = 0; i < answer->guesses; i++) {
        cJSON_AddItemToArray(list, cJSON_CreateString(answer->guess[i]));
    }
}

/* The rectifier as a part to be bought and cooled. */
static void add_heat(cJSON *root, const sw_diode_heat *heat) {
    cJSON *object = cJSON_AddObjectToObject(root, "diodes");
    sw_json_add_number(object, "count", heat->diodes);
    sw_json_add_quantity(object, "loss_of_all", sw_quantity_of(heat->block_w, NAN, "W"));
    sw_json_add_quantity(object, "loss_of_one", sw_quantity_of(heat->diode_w, NAN, "W"));
    sw_json_add_quantity(object, "mean_current", sw_quantity_of(heat->diode_mean_a, NAN, "A"));
    sw_json_add_quantity(object, "rated_current", sw_quantity_of(heat->rated_a, NAN, "A"));
    sw_json_add_quantity(object, "rated_inverse", sw_quantity_of(heat->rated_v, NAN, "V"));
    sw_json_add_quantity(object, "heat_sink", sw_quantity_of(heat->sink_k_w, NAN, "K/W"));
    cJSON_AddBoolToObject(object, "current_fine", heat->current_fine);
    cJSON_AddBoolToObject(object, "inverse_fine", heat->inverse_fine);
    if (!isfinite(heat->rated_a)) {
        sw_json_add_unknown(object, "rated_current", "not in the table of diodes");
    }
    if (!isfinite(heat->rated_v)) {
        sw_json_add_unknown(object, "rated_inverse", "not in the table of diodes");
    }
    if (!isfinite(heat->sink_k_w)) {
        sw_json_add_unknown(object, "heat_sink",
                            isnan(heat->sink_k_w) ? "the table of diodes does not say how they "
                                                    "pass on their heat"
                                                  : "there is nothing to cool");
    }
}

cJSON *sw_deliver_json(const sw_motor *motor, const sw_wiring *wiring, const sw_deliver_load *load,
                       const sw_deliver_answer *answer, const sw_diode_heat *heat) {
    cJSON *root = cJSON_CreateObject();
    add_wiring(root, motor, wiring, load);
    add_figures(root, motor, wiring, load, answer);
    sw_json_add_text(root, "conduction", sw_conduction_name(answer->point.conduction));
    sw_json_add_quantity(root, "cut_in_speed",
                         sw_quantity_of(answer->cut_in_rpm, answer->cut_in_u_rpm, "rpm"));
    if (wiring->rectifier != SW_RECTIFIER_NONE) {
        sw_json_add_quantity(root, "open_circuit_voltage",
                             sw_quantity_of(answer->open_v, NAN, "V"));
    }
    if (heat != NULL) {
        add_heat(root, heat);
    }
    sw_json_add_number(root, "solver_error", answer->point.residual);
    add_guesses(root, answer);
    return root;
}

static void add_units(cJSON *root, const sw_wiring *wiring, const sw_deliver_load *load) {
    cJSON *units = cJSON_AddObjectToObject(root, "units");
    for (size_t f = 0; f < sw_figure_count; f++) {
        if (sw_figure_absent(&sw_figures[f], wiring, load) == NULL) {
            cJSON_AddStringToObject(units, sw_figures[f].key, sw_figures[f].unit);
        }
    }
    cJSON_AddStringToObject(units, "best_voltage", "V");
    cJSON_AddStringToObject(units, "best_voltage_power", "W");
    cJSON_AddStringToObject(units, "best_resistor", "ohm");
    cJSON_AddStringToObject(units, "best_resistor_power", "W");
}

static cJSON *row_json(const sw_wiring *wiring, const sw_deliver_load *load,
                       const sw_sweep_row *row) {
    cJSON *object = cJSON_CreateObject();
    for (size_t f = 0; f < sw_figure_count; f++) {
        if (sw_figure_absent(&sw_figures[f], wiring, load) == NULL) {
            sw_json_add_number(object, sw_figures[f].key,
                               sw_figure_value(&sw_figures[f], &row->point));
        }
    }
    sw_json_add_text(object, "conduction", sw_conduction_name(row->point.conduction));
    sw_json_add_number(object, "best_voltage", row->best_voltage_v);
    sw_json_add_number(object, "best_voltage_power", row->best_voltage_w);
    sw_json_add_number(object, "best_resistor", row->best_resistor_ohm);
    sw_json_add_number(object, "best_resistor_power", row->best_resistor_w);
    return object;
}

/* Efficiency by speed (rows) and constant voltage (columns). */
static void add_map(cJSON *root, const sw_sweep *sweep) {
    cJSON *map = cJSON_AddObjectToObject(root, "efficiency_map");
    cJSON *units = cJSON_AddObjectToObject(map, "units");
    cJSON_AddStringToObject(units, "voltage", "V");
    cJSON_AddStringToObject(units, "speed", "rpm");
    cJSON_AddStringToObject(units, "efficiency", "1");
    cJSON *voltage = cJSON_AddArrayToObject(map, "voltage");
    cJSON *speed = cJSON_AddArrayToObject(map, "speed");
    cJSON *efficiency = cJSON_AddArrayToObject(map, "efficiency");
    for (int i = 0; i < SW_SWEEP_LEVELS; i++) {
        cJSON_AddItemToArray(voltage, sw_json_number(sweep->level_v[i]));
    }
    for (size_t r = 0; r < sweep->rows; r++) {
        cJSON *line = cJSON_CreateArray();
        cJSON_AddItemToArray(speed, sw_json_number(sweep->row[r].point.speed_rpm));
        for (int i = 0; i < SW_SWEEP_LEVELS; i++) {
            cJSON_AddItemToArray(line, sw_json_number(sweep->row[r].efficiency[i]));
        }
        cJSON_AddItemToArray(efficiency, line);
    }
}

cJSON *sw_sweep_json(const sw_motor *motor, const sw_wiring *wiring, const sw_deliver_load *load,
                     const sw_sweep *sweep) {
    cJSON *root = cJSON_CreateObject();
    add_wiring(root, motor, wiring, load);
    sw_json_add_quantity(root, "cut_in_speed", sw_quantity_of(sweep->cut_in_rpm, NAN, "rpm"));
    add_units(root, wiring, load);
    cJSON *list = cJSON_AddArrayToObject(root, "list");
    for (size_t r = 0; r < sweep->rows; r++) {
        cJSON_AddItemToArray(list, row_json(wiring, load, &sweep->row[r]));
    }
    if (sweep->mapped) {
        add_map(root, sweep);
    }
    return root;
}
