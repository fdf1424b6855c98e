#include "src/match/load/load.h"

#include "shared/json_read.h"
#include "src/match/parts/reference.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/* 12 V lead battery of about 100 Ah: rest EMF when three quarters full, charging limit, and its
 * resistance with clamps and fuse; from memory, common practice. */
static const double LEAD_REST_V = 12.6;
static const double LEAD_FULL_V = 14.4;
static const double LEAD_OHM = 0.015;

/* Silicon bridge block of some 35 A, per diode: 0.73 V at 1 A, 0.95 V at 17 A, below the data
 * sheets' largest 1.1 V at 17.5 A. The row "silicon" of reference/diodes.json says the same. */
static const sw_diode SILICON = {"silicon", 1.6e-7, 1.8, 0.005, 0};

static const char *const KINDS[] = {"battery", "resistor", "converter", NULL};

static const char *const KEYS[] = {"document",
                                   "version",
                                   "name",
                                   "note",
                                   "kind",
                                   "voltage",
                                   "resistance",
                                   "full_voltage",
                                   "max_current",
                                   "when_full",
                                   "battery",
                                   "capacity",
                                   "possible_voltages",
                                   "input_voltage",
                                   "input_window",
                                   "input_max_voltage",
                                   "efficiency",
                                   "diode",
                                   "cable_length",
                                   "cable_area",
                                   "cable_side",
                                   "standby_power",
                                   "guessed",
                                   NULL};

sw_load sw_load_default(void) {
    return (sw_load){
        .name = "12 V lead battery",
        .kind = SW_LOAD_BATTERY,
        .voltage = {LEAD_REST_V, 0.3, "V"},
        .resistance = {LEAD_OHM, 0.01, "ohm"},
        .full_voltage = {LEAD_FULL_V, 0.2, "V"},
        .max_current = {NAN, NAN, NULL},
        .when_full = SW_WHEN_FULL_DISCONNECT,
        .input_max_v = INFINITY,
        .efficiency = 1,
        .diode = SILICON,
        .battery_ah = NAN,
        .voltage_guessed = true,
        .resistance_guessed = true,
        .diode_guessed = true,
    };
}

static sw_status plain(const sw_node *node, const char *key, const char *unit, double low,
                       double high, double *out, sw_error *error) {
    sw_quantity quantity = sw_quantity_unknown();
    sw_status status = sw_node_quantity_in(node, key, unit, low, high, &quantity, error);
    if (status == SW_OK && sw_quantity_known(quantity))
        *out = quantity.value;
    return status;
}

/* Blocks in series: 12, 24 or 48 V of a kind whose block has its own nominal voltage. */
static double blocks_of(const sw_battery_kind *kind, double voltage) {
    if (isnan(voltage))
        return 1;
    double blocks = round(voltage / kind->nominal_v);
    return blocks < 1 ? 1 : blocks;
}

static sw_status from_kind(const sw_node *node, const char *reference_dir, double stated_v,
                           sw_load *load, sw_error *error) {
    const char *name = NULL;
    sw_battery_kind kind;
    sw_error inner;
    sw_status status = sw_node_text(node, "battery", &name, error);
    if (status != SW_OK || name == NULL)
        return status;
    status = sw_battery_find(reference_dir, name, &kind, &inner);
    if (status != SW_OK)
        return sw_node_fail(node, "battery", error, status, "%s", inner.message);
    double blocks = blocks_of(&kind, stated_v);
    double size = isnan(load->battery_ah) ? 100 : load->battery_ah;
    load->voltage = sw_quantity_of(blocks * kind.rest_v, blocks * 0.3, "V");
    load->full_voltage = sw_quantity_of(blocks * kind.full_v, blocks * 0.2, "V");
    /* Typical resistances scatter by a factor of two: u is half the value. */
    double ohm = blocks * kind.ohm_ah / size;
    load->resistance = sw_quantity_of(ohm, ohm / 2, "ohm");
    if (!isnan(load->battery_ah))
        load->max_current = sw_quantity_of(kind.charge_per_hour * size, NAN, "A");
    load->voltage_guessed = isnan(stated_v);
    return SW_OK;
}

/* The default values belong to 12 V; another stated voltage scales what was not stated. */
static void scale_defaults(sw_load *load, double stated_v) {
    double blocks = fmax(1, round(stated_v / LEAD_REST_V));
    load->voltage = sw_quantity_of(stated_v, NAN, "V");
    load->full_voltage = sw_quantity_of(blocks * LEAD_FULL_V, blocks * 0.2, "V");
    load->resistance = sw_quantity_of(blocks * LEAD_OHM, blocks * LEAD_OHM / 2, "ohm");
    load->voltage_guessed = false;
}

/* [12, 24, 48]: nominal volts of batteries that could be used. */
static sw_status read_possible(const sw_node *node, sw_load *load, sw_error *error) {
    double *list = NULL;
    size_t count = 0;
    if (!sw_node_has(node, "possible_voltages"))
        return SW_OK;
    sw_status status = sw_node_numbers(node, "possible_voltages", &list, &count, error);
    if (status != SW_OK)
        return status;
    bool good = count >= 1 && count <= SW_LOAD_VOLTAGE_LIMIT;
    for (size_t i = 0; good && i < count; i++) {
        good = list[i] >= 2 && list[i] <= 200;
        load->possible_v[load->voltages++] = list[i];
    }
    free(list);
    if (!good)
        return sw_node_fail(node, "possible_voltages", error, SW_VALUE,
                            "expected up to %d voltages of 2 to 200 V, for example [12, 24, 48]",
                            (int)SW_LOAD_VOLTAGE_LIMIT);
    return SW_OK;
}

static sw_status read_battery(const sw_node *node, const char *reference_dir, sw_load *load,
                              sw_error *error) {
    static const char *const WHEN[] = {"dump", "disconnect", NULL};
    sw_quantity stated = sw_quantity_unknown();
    int when = (int)load->when_full;
    sw_status status = sw_node_quantity_in(node, "voltage", "V", 1, 1000, &stated, error);
    if (status == SW_OK)
        status = plain(node, "capacity", "Ah", 0.05, 1e5, &load->battery_ah, error);
    if (status == SW_OK && sw_node_has(node, "battery"))
        status = from_kind(node, reference_dir, stated.value, load, error);
    else if (status == SW_OK && sw_quantity_known(stated))
        scale_defaults(load, stated.value);
    if (status == SW_OK)
        status =
            sw_node_quantity_in(node, "full_voltage", "V", 1, 1000, &load->full_voltage, error);
    if (status == SW_OK)
        status = sw_node_quantity_in(node, "resistance", "ohm", 0, 100, &load->resistance, error);
    if (status == SW_OK)
        status = sw_node_word(node, "when_full", WHEN, &when, error);
    if (status == SW_OK)
        status = read_possible(node, load, error);
    load->when_full = (sw_when_full)when;
    load->resistance_guessed = !sw_node_has(node, "resistance");
    if (status == SW_OK && load->full_voltage.value < load->voltage.value)
        return sw_node_fail(node, "full_voltage", error, SW_VALUE,
                            "found %.4g V, below the battery's rest voltage of %.4g V",
                            load->full_voltage.value, load->voltage.value);
    return status;
}

static sw_status read_resistor(const sw_node *node, const char *reference_dir, sw_load *load,
                               sw_error *error) {
    (void)reference_dir;
    load->voltage = sw_quantity_unknown();
    load->full_voltage = sw_quantity_unknown();
    load->voltage_guessed = false;
    load->resistance_guessed = false;
    sw_status status = sw_node_need(node, "resistance", "\"10 ohm\"", error);
    if (status == SW_OK)
        status =
            sw_node_quantity_in(node, "resistance", "ohm", 1e-3, 1e7, &load->resistance, error);
    return status;
}

/* {"low": "20 V", "high": "60 V"} or [20, 60] in volts. */
static sw_status read_window(const sw_node *node, sw_load *load, sw_error *error) {
    double *range = NULL;
    size_t count = 0;
    sw_status status = sw_node_numbers(node, "input_window", &range, &count, error);
    if (status != SW_OK)
        return status;
    bool good = count == 2 && range[0] >= 1 && range[1] > range[0] && range[1] <= 2000;
    if (good) {
        load->window_low_v = range[0];
        load->window_high_v = range[1];
    }
    free(range);
    if (!good)
        return sw_node_fail(node, "input_window", error, SW_VALUE,
                            "expected [lowest, highest] in volts, for example [20, 60]");
    return SW_OK;
}

static sw_status read_converter(const sw_node *node, const char *reference_dir, sw_load *load,
                                sw_error *error) {
    sw_quantity fixed = sw_quantity_unknown();
    (void)reference_dir;
    load->resistance = sw_quantity_unknown();
    load->full_voltage = sw_quantity_unknown();
    load->voltage_guessed = false;
    load->resistance_guessed = false;
    load->efficiency = 0.92; /* common practice, no source */
    sw_status status = sw_node_quantity_in(node, "input_voltage", "V", 1, 2000, &fixed, error);
    load->window_low_v = load->window_high_v = fixed.value;
    if (status == SW_OK && sw_node_has(node, "input_window"))
        status = read_window(node, load, error);
    if (status == SW_OK && isnan(load->window_low_v))
        return sw_node_need(node, "input_voltage", "\"24 V\", or \"input_window\": [20, 60]",
                            error);
    load->voltage = sw_quantity_of((load->window_low_v + load->window_high_v) / 2, NAN, "V");
    if (status == SW_OK)
        status = plain(node, "input_max_voltage", "V", 1, 5000, &load->input_max_v, error);
    if (status == SW_OK)
        status = sw_node_number(node, "efficiency", 0.1, 1, &load->efficiency, error);
    if (status == SW_OK && load->input_max_v < load->window_high_v)
        return sw_node_fail(node, "input_max_voltage", error, SW_VALUE,
                            "found %.4g V, below the top of the input window, %.4g V",
                            load->input_max_v, load->window_high_v);
    return status;
}

static sw_status read_diode(const sw_node *node, const char *reference_dir, sw_load *load,
                            sw_error *error) {
    const cJSON *item = cJSON_GetObjectItemCaseSensitive(node->json, "diode");
    sw_error inner;
    if (item == NULL || cJSON_IsNull(item))
        return SW_OK;
    load->diode_guessed = false;
    char *text = cJSON_IsString(item) ? NULL : cJSON_PrintUnformatted(item);
    sw_status status =
        sw_diode_find(text != NULL ? text : item->valuestring, reference_dir, &load->diode, &inner);
    cJSON_free(text);
    if (status != SW_OK)
        return sw_node_fail(node, "diode", error, status, "%s", inner.message);
    return SW_OK;
}

static sw_status read_cable(const sw_node *node, const char *reference_dir, sw_load *load,
                            sw_error *error) {
    static const char *const SIDES[] = {"dc", "ac", NULL};
    int side = 0;
    sw_status status = plain(node, "cable_length", "m", 0, 10000, &load->cable_length_m, error);
    if (status == SW_OK)
        status = plain(node, "cable_area", "mm2", 0.03, 1000, &load->cable_area_mm2, error);
    if (status == SW_OK)
        status = sw_node_word(node, "cable_side", SIDES, &side, error);
    load->cable_on_ac_side = side == 1;
    if (status == SW_OK && load->cable_length_m > 0 && load->cable_area_mm2 <= 0)
        return sw_node_need(node, "cable_area", "\"2.5 mm2\" or \"14 AWG\"", error);
    if (status == SW_OK && load->cable_area_mm2 > 0)
        status = sw_cable_resistance(reference_dir, load->cable_area_mm2, &load->cable_ohm_per_km,
                                     error);
    return status;
}

static sw_status read_common(const sw_node *node, const char *reference_dir, sw_load *load,
                             sw_error *error) {
    const char *name = NULL;
    sw_status status = sw_node_text(node, "name", &name, error);
    snprintf(load->name, sizeof load->name, "%s", name != NULL ? name : KINDS[load->kind]);
    if (status == SW_OK)
        status =
            sw_node_quantity_in(node, "max_current", "A", 0.01, 1e5, &load->max_current, error);
    if (status == SW_OK)
        status = plain(node, "standby_power", "W", 0, 1e5, &load->standby_w, error);
    if (status == SW_OK)
        status = read_diode(node, reference_dir, load, error);
    if (status == SW_OK)
        status = read_cable(node, reference_dir, load, error);
    return status;
}

sw_status sw_load_parse(const cJSON *root, const char *file, const char *reference_dir,
                        const sw_units *units, sw_load *load, sw_error *error) {
    static sw_status (*const READERS[])(const sw_node *, const char *, sw_load *, sw_error *) = {
        [SW_LOAD_BATTERY] = read_battery,
        [SW_LOAD_RESISTOR] = read_resistor,
        [SW_LOAD_CONVERTER] = read_converter,
    };
    sw_node node = sw_node_top(root, file, units);
    int kind = 0;
    *load = sw_load_default();
    sw_status status = sw_node_expect_document(&node, "load", error);
    if (status == SW_OK)
        status = sw_node_allow(&node, KEYS, error);
    if (status == SW_OK)
        status = sw_node_need(&node, "kind", "\"battery\"", error);
    if (status == SW_OK)
        status = sw_node_word(&node, "kind", KINDS, &kind, error);
    load->kind = (sw_load_kind)kind;
    if (status == SW_OK)
        status = READERS[kind](&node, reference_dir, load, error);
    if (status == SW_OK)
        status = read_common(&node, reference_dir, load, error);
    return status;
}

sw_status sw_load_read(const char *path, const char *reference_dir, const sw_units *units,
                       sw_load *load, sw_error *error) {
    cJSON *root = NULL;
    *load = sw_load_default();
    sw_status status = sw_json_read(path, &root, error);
    if (status == SW_OK)
        status = sw_load_parse(root, path, reference_dir, units, load, error);
    cJSON_Delete(root);
    return status;
}

bool sw_load_tracks(const sw_load *load) {
    return load->kind == SW_LOAD_CONVERTER && load->window_high_v > load->window_low_v;
}

sw_deliver_load sw_load_electrical(const sw_load *load) {
    double ohm_one_way = load->cable_ohm_per_km * load->cable_length_m / 1000;
    sw_deliver_load out = {.kind = load->kind, .standby_w = load->standby_w};
    if (load->kind == SW_LOAD_RESISTOR) {
        out.resistor_ohm = load->resistance.value;
    } else {
        out.battery_v = load->voltage.value;
        out.battery_ohm = load->kind == SW_LOAD_BATTERY ? load->resistance.value : 0;
        if (sw_load_tracks(load)) {
            out.window_low_v = load->window_low_v;
            out.window_high_v = load->window_high_v;
        }
    }
    if (load->cable_on_ac_side)
        out.cable_ac_ohm = ohm_one_way; /* each line is one conductor */
    else
        out.cable_dc_ohm = 2 * ohm_one_way; /* there and back */
    return out;
}
