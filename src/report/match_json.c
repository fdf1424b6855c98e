#include "src/report/match_text.h"

#include "shared/constants.h"
#include "shared/json_write.h"
#include "src/report/claim_text.h"
#include "src/report/options_text.h"
#include "src/report/remark_text.h"
#include "src/report/seasons_text.h"
#include "src/report/stages_text.h"
#include "src/report/storm_text.h"
#include "src/report/sure_text.h"
#include "src/report/wheel_text.h"

#include <math.h>

static void add_value(cJSON *object, const char *key, double value, const char *unit) {
    sw_json_add_quantity(object, key, sw_quantity_of(value, NAN, unit));
}

static void add_energy(cJSON *object, const char *key, double value, const sw_spread *spread) {
    double u = spread != NULL ? spread->u : NAN;
    sw_json_add_quantity(object, key, sw_quantity_of(value, u, "kWh"));
}

static void add_drive(cJSON *object, const sw_choice *choice) {
    cJSON *drive = cJSON_AddObjectToObject(object, "drive");
    const sw_drive *it = &choice->drive;
    cJSON_AddStringToObject(drive, "kind", it->kind->name);
    add_value(drive, "wheel_diameter", it->wheel_mm, "mm");
    add_value(drive, "driver_diameter", it->driver_mm, "mm");
    sw_json_add_number(drive, "ratio", it->ratio);
    add_value(drive, "contact_force", it->kind->pressed ? it->contact_n : NAN, "N");
    sw_json_add_number(drive, "creep", it->creep);
    if (choice->gear.driver_teeth > 0) {
        cJSON_AddNumberToObject(drive, "driver_teeth", choice->gear.driver_teeth);
        cJSON_AddNumberToObject(drive, "wheel_teeth", choice->gear.wheel_teeth);
    }
    if (!it->kind->pressed)
        sw_json_add_unknown(drive, "contact_force", "nothing is pressed on in this drive");
    if (!isfinite(it->wheel_mm)) {
        sw_json_add_unknown(drive, "wheel_diameter", "the motor sits on the rotor's shaft");
        sw_json_add_unknown(drive, "driver_diameter", "the motor sits on the rotor's shaft");
    }
}

static void add_wiring(cJSON *object, const sw_electrical *electrical) {
    sw_json_add_text(object, "connection", sw_connection_name(electrical->wiring.connection));
    sw_json_add_text(object, "rectifier", sw_rectifier_name(electrical->wiring.rectifier));
    if (electrical->wiring.connection == SW_AS_IT_COMES)
        sw_json_add_unknown(object, "connection", "as it comes");
    if (electrical->wiring.rewind != 1)
        sw_json_add_number(object, "rewind", electrical->wiring.rewind);
    cJSON_AddNumberToObject(object, "machines", electrical->wiring.machines);
    if (isfinite(electrical->nominal_v))
        add_value(object, "battery", electrical->nominal_v, "V");
}

static void add_start_wind(cJSON *object, double start_wind, double u) {
    sw_json_add_quantity(object, "start_wind", sw_quantity_of(start_wind, u, "m/s"));
    if (!isfinite(start_wind))
        sw_json_add_unknown(object, "start_wind", "the rotor does not start by itself");
}

static void add_cut_in_wind(cJSON *object, double cut_in_wind, double u) {
    sw_json_add_quantity(object, "cut_in_wind", sw_quantity_of(cut_in_wind, u, "m/s"));
    if (!isfinite(cut_in_wind))
        sw_json_add_unknown(object, "cut_in_wind", "no wind of this site makes it charge");
}

static void add_spin_up(cJSON *recommended, const sw_spin_ups *spin_up) {
    cJSON *it = cJSON_AddObjectToObject(recommended, "spin_up");
    add_value(it, "inertia", spin_up->known ? spin_up->inertia_kg_m2 : NAN, "kg m2");
    if (!spin_up->known)
        sw_json_add_unknown(it, "inertia",
                            "neither the rotor's inertia nor its vanes' mass is known");
    cJSON_AddBoolToObject(it, "from_vanes", spin_up->known && spin_up->from_vanes);
    cJSON *list = cJSON_AddArrayToObject(it, "list");
    for (size_t i = 0; i < SW_SPIN_UPS && spin_up->known; i++) {
        const sw_spin_up *row = &spin_up->row[i];
        cJSON *item = cJSON_CreateObject();
        add_value(item, "wind", row->wind_m_s, "m/s");
        add_value(item, "time", row->seconds, "s");
        if (!isfinite(row->seconds))
            sw_json_add_unknown(item, "time",
                                row->starts ? "not worked out" : "does not start by itself");
        cJSON_AddItemToArray(list, item);
    }
}

static void add_heat(cJSON *recommended, const sw_match *match) {
    static const char *const KEYS[] = {"shed_least", "shed", "shed_most"};
    const sw_winding_heat *heat = &match->search.heat;
    const double shed_w[] = {heat->low_w, heat->middle_w, heat->high_w};
    cJSON *it = cJSON_AddObjectToObject(recommended, "winding_heat");
    sw_json_add_quantity(it, "heat", sw_quantity_of(match->best.working_heat_w, NAN, "W"));
    sw_json_add_quantity(it, "winding_temperature",
                         sw_quantity_of(heat->winding_degc, NAN, "degC"));
    for (int i = 0; i < 3; i++) {
        sw_json_add_quantity(it, KEYS[i], sw_quantity_of(heat->known ? shed_w[i] : NAN, NAN, "W"));
        if (!heat->known)
            sw_json_add_unknown(it, KEYS[i], "the motor's size or weight is not known");
    }
    cJSON_AddBoolToObject(it, "by_weight", heat->by_weight);
}

static void add_recommended(cJSON *root, const sw_match *match) {
    if (!match->recommended) {
        cJSON_AddNullToObject(root, "recommended");
        sw_json_add_unknown(root, "recommended",
                            match->missing.count > 0 ? "a reading is missing, see reasons"
                                                     : "nothing to recommend, see reasons");
        return;
    }
    cJSON *it = cJSON_AddObjectToObject(root, "recommended");
    add_drive(it, &match->best);
    add_wiring(it, &match->search.electrical[match->best.electrical]);
    add_start_wind(it, match->curve.start_wind, match->full ? match->sure.start_wind_u : NAN);
    add_cut_in_wind(it, match->curve.cut_in_wind, match->full ? match->sure.cut_in_wind_u : NAN);
    add_energy(it, "annual_energy", match->started_kwh,
               match->full ? &match->sure.started_kwh : NULL);
    add_energy(it, "annual_energy_running", match->running_kwh,
               match->full ? &match->sure.running_kwh : NULL);
    add_energy(it, "annual_energy_usable", match->usable_kwh, NULL);
    add_energy(it, "annual_energy_rotor_best", match->potential_kwh, NULL);
    add_energy(it, "annual_energy_betz", match->betz_kwh, NULL);
    if (!match->full)
        return;
    add_energy(it, "annual_energy_loss_free", match->budget.loss_free_kwh, NULL);
    cJSON *range = cJSON_AddObjectToObject(it, "annual_energy_range");
    add_energy(range, "low", match->sure.started_kwh.low, NULL);
    add_energy(range, "high", match->sure.started_kwh.high, NULL);
    sw_json_add_number(it, "best_ratio", match->search.best_ratio);
    add_heat(it, match);
    add_spin_up(it, &match->spin_up);
    sw_seasons_add_json(it, &match->seasons);
    sw_stages_add_json(it, &match->stages);
    if (match->wheel.pressed)
        cJSON_AddItemToObject(it, "wheel", sw_wheel_to_json(match));
    sw_options_add_json(it, match);
    cJSON_AddItemToObject(it, "storm", sw_storm_to_json(match));
}

static const char *alternative_name(sw_alternative_kind kind) {
    static const char *const NAMES[] = {"smaller_wheel", "larger_wheel", "drive",         "wiring",
                                        "battery",       "machines",     "if_you_open_it"};
    return NAMES[kind];
}

static void add_alternatives(cJSON *root, const sw_match *match) {
    cJSON *list = cJSON_AddArrayToObject(root, "alternatives");
    for (size_t i = 0; i < match->alternatives; i++) {
        const sw_choice *choice = &match->alternative[i].choice;
        cJSON *it = cJSON_CreateObject();
        cJSON_AddStringToObject(it, "why", alternative_name(match->alternative[i].kind));
        add_drive(it, choice);
        add_wiring(it, &match->search.electrical[choice->electrical]);
        add_start_wind(it, choice->start_wind, NAN);
        add_cut_in_wind(it, choice->cut_in_wind, NAN);
        add_energy(it, "annual_energy", choice->started_kwh, NULL);
        add_energy(it, "annual_energy_running", choice->running_kwh, NULL);
        cJSON_AddItemToArray(list, it);
    }
}

static void add_power_curve(cJSON *root, const sw_match *match) {
    static const char *const KEYS[] = {"wind", "rotor_speed", "generator_speed", "dc_power"};
    static const char *const UNITS[] = {"m/s", "rpm", "rpm", "W"};
    cJSON *curve = cJSON_AddObjectToObject(root, "power_curve");
    cJSON *units = cJSON_AddObjectToObject(curve, "units");
    cJSON *column[4];
    for (size_t i = 0; i < 4; i++) {
        cJSON_AddStringToObject(units, KEYS[i], UNITS[i]);
        column[i] = cJSON_AddArrayToObject(curve, KEYS[i]);
    }
    for (size_t i = 0; i < match->curve.count; i++) {
        const sw_power_point *point = &match->curve.point[i];
        double value[4] = {point->wind_m_s, point->running_rad_s * SW_RPM_PER_RAD_S,
                           sw_plant_generator_rpm(&match->plant, point->running_rad_s),
                           point->running_w};
        for (size_t j = 0; j < 4; j++)
            cJSON_AddItemToArray(column[j], sw_json_number(value[j]));
    }
}

static void add_build_sheet(cJSON *root, const sw_match_request *request, const sw_match *match) {
    const sw_build_sheet *sheet = &match->sheet;
    const sw_press *press = &match->best.press;
    sw_text text = {0};
    cJSON *it = cJSON_AddObjectToObject(root, "build_sheet");
    add_value(it, "stop_wind", sheet->stop_wind, "m/s");
    sw_json_add_number(it, "ratio_tolerance", sheet->ratio_off);
    add_value(it, "open_dc_voltage", sheet->lost_dc_v, "V");
    add_value(it, "diode_peak_inverse", sheet->diode_inverse_v, "V");
    add_value(it, "diode_current", sheet->diode_current_a, "A");
    add_value(it, "storm_current", sheet->storm_dc_a, "A");
    add_value(it, "heat_sink", sheet->sink_k_w, "K/W");
    add_value(it, "fuse", sheet->fuse_a, "A");
    add_value(it, "cable_area", sheet->cable_mm2, "mm2");
    if (isfinite(sheet->own_mm2)) {
        add_value(it, "stated_cable_area", sheet->own_mm2, "mm2");
        cJSON_AddBoolToObject(it, "stated_cable_too_thin", sheet->own_thin);
    }
    add_value(it, "dump_power", sheet->dump_w, "W");
    add_value(it, "dump_resistance", sheet->dump_ohm, "ohm");
    if (match->plant.drive.kind->pressed) {
        add_value(it, "spring_force", press->mean_n, "N");
        add_value(it, "spring_scale", press->scale_kg, "kg");
        add_value(it, "spring_rate", 1000 * press->spring_n_mm, "N/m");
    }
    if (!isfinite(sheet->sink_k_w))
        sw_json_add_unknown(it, "heat_sink", "none needed");
    if (!isfinite(sheet->fuse_a))
        sw_json_add_unknown(it, "fuse", "the current is beyond the usual fuses");
    if (!isfinite(sheet->cable_mm2))
        sw_json_add_unknown(it, "cable_area", "the current is beyond the table of cables");
    if (!isfinite(sheet->dump_ohm)) {
        sw_json_add_unknown(it, "dump_power", "no battery, or no power in a working wind");
        sw_json_add_unknown(it, "dump_resistance", "no battery, or no power in a working wind");
    }
    sw_build_sheet_text(request, match, false, &text);
    cJSON_AddStringToObject(it, "text", sw_text_string(&text));
    sw_text_free(&text);
}

static void add_budget(cJSON *root, const sw_budget *budget) {
    static const char *const KEYS[SW_LOSS_COUNT] = {[SW_LOSS_TOO_LIGHT] = "wind_too_light",
                                                    [SW_LOSS_OFF_BEST] = "rotor_off_best",
                                                    [SW_LOSS_BEARINGS] = "bearings",
                                                    [SW_LOSS_DRIVE] = "drive",
                                                    [SW_LOSS_DRAG] = "drag",
                                                    [SW_LOSS_COPPER] = "copper",
                                                    [SW_LOSS_DIODES] = "diodes",
                                                    [SW_LOSS_AFTER] = "after_rails"};
    cJSON *it = cJSON_AddObjectToObject(root, "energy_budget");
    add_energy(it, "rotor_best", budget->best_kwh, NULL);
    for (size_t i = 0; i < SW_LOSS_COUNT; i++)
        add_energy(it, KEYS[i], budget->loss_kwh[i], NULL);
    add_energy(it, "usable", budget->usable_kwh, NULL);
}

static void add_outlook(cJSON *root, const sw_outlook *outlook) {
    cJSON *it = cJSON_AddObjectToObject(root, "other_mean_winds");
    cJSON *units = cJSON_AddObjectToObject(it, "units");
    cJSON_AddStringToObject(units, "mean_wind", "m/s");
    cJSON_AddStringToObject(units, "annual_energy", "kWh");
    cJSON_AddStringToObject(units, "annual_energy_running", "kWh");
    cJSON *list = cJSON_AddArrayToObject(it, "list");
    for (size_t i = 0; i < SW_OUTLOOK_ROWS; i++) {
        cJSON *row = cJSON_CreateObject();
        sw_json_add_number(row, "mean_wind", outlook->row[i].mean_wind);
        sw_json_add_number(row, "annual_energy", outlook->row[i].started_kwh);
        sw_json_add_number(row, "annual_energy_running", outlook->row[i].running_kwh);
        cJSON_AddStringToObject(row, "verdict", sw_verdict_name(outlook->row[i].verdict));
        cJSON_AddItemToArray(list, row);
    }
    add_value(it, "worth_from", outlook->turns_at, "m/s");
    if (!isfinite(outlook->turns_at))
        sw_json_add_unknown(it, "worth_from", "the verdict does not change between 1 and 12 m/s");
}

static void add_name(cJSON *root, const char *key, const char *name) {
    sw_json_add_text(root, key, name);
    if (*name == '\0')
        sw_json_add_unknown(root, key, "its document has no name");
}

static void add_null(cJSON *root, const char *key, const char *reason) {
    cJSON_AddNullToObject(root, key);
    sw_json_add_unknown(root, key, reason);
}

cJSON *sw_match_to_json(const sw_match_request *request, const sw_match *match) {
    cJSON *root = sw_json_document("match");
    add_name(root, "motor", request->motor->name);
    add_name(root, "rotor", request->rotor->name);
    add_name(root, "site", request->site->name);
    cJSON_AddStringToObject(root, "verdict", sw_verdict_name(match->verdict));
    add_value(root, "air_density", request->site->density, "kg/m3");
    cJSON_AddItemToObject(root, "pole_pairs",
                          request->motor->pole_pairs.value > 0
                              ? sw_json_number(request->motor->pole_pairs.value)
                              : cJSON_CreateNull());
    if (request->motor->pole_pairs.value <= 0)
        sw_json_add_unknown(root, "pole_pairs", "the motor's record does not know them");
    if (request->rotor->note[0] != '\0')
        cJSON_AddStringToObject(root, "rotor_note", request->rotor->note);
    if (request->site->note[0] != '\0')
        cJSON_AddStringToObject(root, "site_note", request->site->note);
    sw_remarks_add_json(root, "reasons", &match->reasons);
    sw_remarks_add_json(root, "missing", &match->missing);
    sw_remarks_add_json(root, "guessed", &match->guessed);
    add_value(root, "charging_speed", match->cut_in_rpm, "rpm");
    if (!isfinite(match->cut_in_rpm))
        sw_json_add_unknown(root, "charging_speed", "the volts per turn are not known, or none");
    if (match->claim_checked)
        cJSON_AddItemToObject(root, "claim", sw_claim_to_json(&match->claim));
    add_recommended(root, match);
    add_alternatives(root, match);
    if (match->full) {
        add_power_curve(root, match);
        sw_sure_add_json(root, &match->sure);
        add_budget(root, &match->budget);
        add_outlook(root, &match->outlook);
        add_build_sheet(root, request, match);
    } else {
        add_null(root, "power_curve", "nothing is recommended");
        add_null(root, "build_sheet", "nothing is recommended");
    }
    sw_remarks_add_json(root, "cautions", &match->cautions);
    return root;
}
