#include "src/report/rank_text.h"

#include "shared/constants.h"
#include "shared/json_write.h"

#include <math.h>
#include <stdio.h>

enum { REASON_ROOM = 600 };

static void add_value(cJSON *object, const char *key, double value, const char *unit) {
    sw_json_add_quantity(object, key, sw_quantity_of(value, NAN, unit));
}

static void add_recommended(cJSON *it, const sw_rank_row *row) {
    const sw_drive *drive = &row->choice.drive;
    add_value(it, "annual_energy", row->started_kwh, "kWh");
    add_value(it, "annual_energy_running", row->running_kwh, "kWh");
    add_value(it, "annual_energy_cautious", row->cautious_started_kwh, "kWh");
    add_value(it, "start_wind", row->start_wind, "m/s");
    add_value(it, "cut_in_wind", row->cut_in_wind, "m/s");
    add_value(it, "power_light_wind", row->light_w, "W");
    add_value(it, "power_strong_wind", row->strong_w, "W");
    cJSON_AddStringToObject(it, "drive", drive->kind->name);
    add_value(it, "wheel_diameter", drive->wheel_mm, "mm");
    sw_json_add_number(it, "ratio", drive->ratio);
    sw_json_add_text(it, "connection", sw_connection_name(row->electrical.wiring.connection));
    sw_json_add_text(it, "rectifier", sw_rectifier_name(row->electrical.wiring.rectifier));
    if (row->electrical.wiring.connection == SW_AS_IT_COMES)
        sw_json_add_unknown(it, "connection", "as it comes");
    if (!isfinite(row->start_wind))
        sw_json_add_unknown(it, "start_wind", "the rotor does not start by itself");
    if (!isfinite(drive->wheel_mm))
        sw_json_add_unknown(it, "wheel_diameter", "the motor sits on the rotor's shaft");
}

static void add_storm(cJSON *it, const sw_vane_storm *vane) {
    cJSON *storm = cJSON_AddObjectToObject(it, "storm");
    add_value(storm, "wind", vane->wind_m_s, "m/s");
    add_value(storm, "rotor_speed", vane->rotor_rad_s * SW_RPM_PER_RAD_S, "rpm");
    add_value(storm, "parked_wind_force", vane->parked_n, "N");
    add_value(storm, "vane_wind_force", vane->wind_n, "N");
    add_value(storm, "vane_pull", vane->pull_n, "N");
    if (!isfinite(vane->wind_n))
        sw_json_add_unknown(storm, "vane_wind_force", "size and drag of a vane are not known");
    if (!isfinite(vane->pull_n))
        sw_json_add_unknown(storm, "vane_pull", "mass or arm of a vane is not known");
}

cJSON *sw_rank_to_json(const sw_rank_request *request, const sw_rank_names *names,
                       const sw_rank_row *rows) {
    cJSON *list = cJSON_CreateArray();
    for (size_t i = 0; i < request->motors * request->rotors; i++) {
        const sw_rank_row *row = &rows[i];
        char reason[REASON_ROOM];
        cJSON *it = cJSON_CreateObject();
        if (row->failed)
            snprintf(reason, sizeof reason, "%s", row->error.message);
        else
            sw_rank_reason(false, &row->reason, reason, sizeof reason);
        cJSON_AddStringToObject(it, "motor", sw_rank_motor(request, names, row));
        cJSON_AddStringToObject(it, "file", names->motor[row->motor]);
        cJSON_AddStringToObject(it, "rotor", sw_rank_rotor(request, names, row));
        cJSON_AddStringToObject(it, "verdict", sw_verdict_name(row->verdict));
        cJSON_AddStringToObject(it, "reason", reason);
        if (row->recommended)
            add_recommended(it, row);
        else
            cJSON_AddNullToObject(it, "annual_energy");
        if (!row->recommended)
            sw_json_add_unknown(it, "annual_energy",
                                row->failed ? "this motor could not be judged, see reason"
                                            : "nothing can be recommended");
        if (!row->failed)
            add_storm(it, &row->vane);
        cJSON_AddItemToArray(list, it);
    }
    return list;
}
