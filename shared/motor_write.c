#include "shared/json_write.h"
#include "shared/motor_parts.h"

#include <math.h>
#include <string.h>

static void add_pole_pairs(cJSON *root, const sw_pole_pairs *poles) {
    cJSON *object = cJSON_AddObjectToObject(root, "pole_pairs");
    if (poles->value > 0)
        cJSON_AddNumberToObject(object, "value", poles->value);
    else
        cJSON_AddNullToObject(object, "value");
    sw_json_add_number(object, "probability", poles->probability);
    cJSON *candidates = cJSON_AddArrayToObject(object, "candidates");
    for (size_t i = 0; i < poles->candidates; i++) {
        cJSON *row = cJSON_CreateObject();
        cJSON_AddNumberToObject(row, "value", poles->candidate[i].pole_pairs);
        sw_json_add_number(row, "probability", poles->candidate[i].probability);
        cJSON_AddItemToArray(candidates, row);
    }
    cJSON *evidence = cJSON_AddArrayToObject(object, "evidence");
    for (size_t i = 0; i < poles->evidences; i++)
        cJSON_AddItemToArray(evidence, cJSON_CreateString(poles->evidence[i]));
    if (poles->againsts == 0)
        return;
    cJSON *against = cJSON_AddArrayToObject(object, "against");
    for (size_t i = 0; i < poles->againsts; i++)
        cJSON_AddItemToArray(against, cJSON_CreateString(poles->against[i]));
}

static void add_constants(cJSON *root, const sw_voltage_constants *constants) {
    cJSON *object = cJSON_AddObjectToObject(root, "voltage_constants");
    sw_json_add_quantity(object, "peak_line_v_per_krpm", constants->peak_line_v_per_krpm);
    sw_json_add_quantity(object, "dc_bridge_v_per_krpm", constants->dc_bridge_v_per_krpm);
    sw_json_add_quantity(object, "dc_bridge_smoothed_v_per_krpm",
                         constants->dc_bridge_smoothed_v_per_krpm);
    sw_json_add_quantity(object, "rpm_per_volt_peak", constants->rpm_per_volt_peak);
    sw_json_add_quantity(object, "volt_second_per_radian_peak_line",
                         constants->volt_second_per_radian_peak_line);
    sw_json_add_quantity(object, "flux_linkage_wb", constants->flux_linkage_wb);
}

static void add_harmonics(cJSON *root, const sw_motor *motor) {
    if (motor->harmonics == 0) {
        cJSON_AddNullToObject(root, "harmonics");
        return;
    }
    cJSON *object = cJSON_AddObjectToObject(root, "harmonics");
    cJSON_AddStringToObject(object, "of", motor->harmonics_of_phase ? "phase" : "line");
    cJSON *list = cJSON_AddArrayToObject(object, "list");
    for (size_t i = 0; i < motor->harmonics; i++) {
        cJSON *row = cJSON_CreateObject();
        cJSON_AddNumberToObject(row, "order", motor->harmonic[i].order);
        sw_json_add_number(row, "relative", motor->harmonic[i].relative);
        sw_json_add_number(row, "angle_deg", motor->harmonic[i].angle_deg);
        cJSON_AddItemToArray(list, row);
    }
}

static void add_wave(cJSON *root, const sw_motor *motor) {
    cJSON *object = cJSON_AddObjectToObject(root, "wave");
    sw_json_add_number(object, "form_factor", motor->form_factor.value);
    sw_json_add_number(object, "crest_factor", motor->crest_factor.value);
    sw_json_add_number(object, "distortion", motor->distortion.value);
}

/* Only where it was asked for. */
static void add_budget(cJSON *root, const sw_shares *budget) {
    if (budget->lines == 0)
        return;
    cJSON *object = cJSON_AddObjectToObject(root, "budget");
    cJSON_AddStringToObject(object, "of", "volts_per_hertz");
    cJSON *units = cJSON_AddObjectToObject(object, "units");
    cJSON_AddStringToObject(units, "relative_u", "1");
    cJSON_AddStringToObject(units, "share", "1");
    cJSON *list = cJSON_AddArrayToObject(object, "list");
    for (size_t i = 0; i < budget->lines; i++) {
        cJSON *row = cJSON_CreateObject();
        cJSON_AddStringToObject(row, "from", budget->line[i].from);
        sw_json_add_number(row, "relative_u", budget->line[i].u);
        sw_json_add_number(row, "share", budget->line[i].share);
        cJSON_AddItemToArray(list, row);
    }
}

static void add_stretch(cJSON *root, const sw_motor *motor) {
    if (isnan(motor->stretch_from_s)) {
        cJSON_AddNullToObject(root, "stretch");
        return;
    }
    cJSON *object = cJSON_AddObjectToObject(root, "stretch");
    sw_json_add_number(object, "from_s", motor->stretch_from_s);
    sw_json_add_number(object, "to_s", motor->stretch_to_s);
}

static void add_drag(cJSON *root, const sw_drag *drag) {
    if (!sw_quantity_known(drag->constant) && !sw_quantity_known(drag->linear) &&
        !sw_quantity_known(drag->quadratic)) {
        cJSON_AddNullToObject(root, "drag_torque");
        return;
    }
    cJSON *object = cJSON_AddObjectToObject(root, "drag_torque");
    sw_json_add_quantity(object, "constant", drag->constant);
    sw_json_add_quantity(object, "linear", drag->linear);
    sw_json_add_quantity(object, "quadratic", drag->quadratic);
    if (!sw_quantity_known(drag->middle_torque))
        return;
    sw_json_add_quantity(object, "middle_speed", drag->middle_speed);
    sw_json_add_quantity(object, "middle_torque", drag->middle_torque);
}

static void add_count(cJSON *root, const char *key, int count) {
    if (count > 0)
        cJSON_AddNumberToObject(root, key, count);
    else
        cJSON_AddNullToObject(root, key);
}

static void add_star_point(cJSON *root, sw_answer answer) {
    if (answer == SW_NOT_SAID)
        cJSON_AddNullToObject(root, "star_point");
    else
        cJSON_AddBoolToObject(root, "star_point", answer == SW_YES);
}

static void add_warnings(cJSON *root, const sw_motor *motor) {
    cJSON *list = cJSON_AddArrayToObject(root, "warnings");
    for (size_t i = 0; i < motor->warnings; i++) {
        cJSON *row = cJSON_CreateObject();
        cJSON_AddStringToObject(row, "code", sw_warning_name(motor->warning[i].code));
        cJSON_AddStringToObject(row, "message", motor->warning[i].message);
        cJSON_AddItemToArray(list, row);
    }
}

typedef struct reason_row {
    const char *key;
    const char *reason;
} reason_row;

/* Why a key is null, when it is. */
static const reason_row REASONS[] = {
    {"phases", "one channel cannot tell; record two or three wires, or say how many wires"},
    {"phase_angle", "needs two or three channels"},
    {"balance", "needs two or three channels"},
    {"leads", "not said"},
    {"slots", "not said"},
    {"star_point", "not said"},
    {"connection", "three equal readings cannot tell star from delta"},
    {"electrical_frequency", "no recording of a turning motor"},
    {"stretch", "no recording of a turning motor"},
    {"speed", "needs the pole pairs or a speed"},
    {"volts_per_hertz", "needs volts, calibrated and not cut off, together with hertz"},
    {"voltage_constant",
     "needs the pole pairs or a speed, and volts that are calibrated and not cut off"},
    {"harmonics", "no recording of a turning motor"},
    {"magnet_ring", "needs the pole pairs and three turns of the shaft"},
    {"commutator_ripple", "no ripple that stands out, or the speed is not known"},
    {"winding_resistance", "not measured: a multimeter between two wires, leads shorted first"},
    {"winding_inductance", "not measured: a loaded run or an inductance meter"},
    {"drag_torque", "not measured: a run-down with a free shaft"},
    {"cogging_torque", "not measured: a weight on a lever"},
    {"inertia", "not measured"},
    {"copper_mass", "not weighed"},
    {"magnet_kind", "not said"},
    {"diameter", "not said"},
    {"length", "not said"},
    {"mass", "not weighed"},
    {"temperature", "not measured"},
    {"brush_drop", "not measured"},
    {"coil_groups", "not counted"},
};

/* A loaded run that was not believed is no missing one. */
static const char *reason_of(const sw_motor *motor, const reason_row *row) {
    if (strcmp(row->key, "winding_inductance") == 0 &&
        sw_motor_warned(motor, SW_WARN_LOAD_DOUBTFUL))
        return "the loaded run contradicts the multimeter's ohms: most likely a wrong resistor "
               "value or wrong wires";
    return row->reason;
}

static void explain_nulls(cJSON *root, const sw_motor *motor) {
    for (size_t i = 0; i < sizeof REASONS / sizeof *REASONS; i++)
        if (cJSON_IsNull(cJSON_GetObjectItemCaseSensitive(root, REASONS[i].key)))
            sw_json_add_unknown(root, REASONS[i].key, reason_of(motor, &REASONS[i]));
}

cJSON *sw_motor_to_json(const sw_motor *motor) {
    cJSON *root = sw_json_document("motor");
    sw_json_add_text(root, "name", motor->name);
    sw_json_add_text(root, "note", motor->note);
    cJSON_AddStringToObject(root, "kind", sw_motor_kind_name(motor->kind));
    add_count(root, "phases", motor->phases);
    sw_json_add_quantity(root, "phase_angle", motor->phase_angle);
    sw_json_add_number(root, "balance", motor->balance.value);
    add_count(root, "leads", motor->leads);
    add_count(root, "slots", motor->slots);
    add_star_point(root, motor->star_point);
    sw_json_add_text(root, "connection", sw_connection_name(motor->connection));
    sw_json_add_quantity(root, "electrical_frequency", motor->electrical_frequency);
    add_stretch(root, motor);
    sw_json_add_quantity(root, "speed", motor->speed);
    sw_json_add_quantity(root, "volts_per_hertz", motor->volts_per_hertz);
    add_pole_pairs(root, &motor->pole_pairs);
    sw_json_add_quantity(root, "voltage_constant", motor->voltage_constant);
    add_constants(root, &motor->constants);
    add_harmonics(root, motor);
    add_wave(root, motor);
    sw_magnet_ring_write(root, &motor->magnet_ring);
    if (motor->kind == SW_BRUSHED)
        add_count(root, "commutator_ripple", motor->commutator_ripple);
    add_budget(root, &motor->budget);
    sw_json_add_quantity(root, "winding_resistance", motor->winding_resistance);
    sw_json_add_quantity(root, "winding_inductance", motor->winding_inductance);
    add_drag(root, &motor->drag_torque);
    sw_json_add_quantity(root, "cogging_torque", motor->cogging_torque);
    sw_json_add_quantity(root, "inertia", motor->inertia);
    sw_json_add_quantity(root, "copper_mass", motor->copper_mass);
    sw_json_add_text(root, "magnet_kind", sw_magnet_kind_name(motor->magnet_kind));
    sw_json_add_quantity(root, "diameter", motor->diameter);
    sw_json_add_quantity(root, "length", motor->length);
    sw_json_add_quantity(root, "mass", motor->mass);
    sw_json_add_quantity(root, "temperature", motor->temperature);
    sw_json_add_quantity(root, "brush_drop", motor->brush_drop);
    add_count(root, "coil_groups", motor->coil_groups);
    cJSON_AddStringToObject(root, "can_rewire", sw_rewire_name(motor->can_rewire));
    cJSON *limits = cJSON_AddObjectToObject(root, "limits");
    sw_json_add_quantity(limits, "speed", motor->limit_speed);
    sw_json_add_quantity(limits, "current", motor->limit_current);
    sw_json_add_quantity(limits, "nameplate_power", motor->nameplate_power);
    sw_json_add_quantity(limits, "winding_temperature", motor->limit_temperature);
    sw_sources_write(root, &motor->sources);
    add_warnings(root, motor);
    explain_nulls(root, motor);
    return root;
}
