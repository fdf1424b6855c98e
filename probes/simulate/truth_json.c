#include "probes/simulate/faults.h"
#include "probes/simulate/writer.h"

#include "shared/json_write.h"

#include <math.h>

static void add(cJSON *object, const char *key, double value, const char *unit) {
    if (isnan(value))
        cJSON_AddNullToObject(object, key);
    else
        sw_json_add_quantity(object, key, sw_quantity_of(value, NAN, unit));
}

static const char *kind_name(const sw_sim_motor *motor) {
    switch (motor->kind) {
    case SW_SIM_BRUSHED:
        return "brushed";
    case SW_SIM_NO_MAGNETS:
        return "none";
    case SW_SIM_MAGNET_AC:
    default:
        return "magnet-ac";
    }
}

static void add_harmonics(cJSON *object, const char *key, const sw_sim_harmonic *list,
                          size_t count) {
    cJSON *array = cJSON_AddArrayToObject(object, key);
    for (size_t i = 0; i < count; i++) {
        cJSON *item = cJSON_CreateObject();
        cJSON_AddNumberToObject(item, "order", list[i].order);
        sw_json_add_number(item, "relative", list[i].relative);
        sw_json_add_number(item, "angle_deg", list[i].angle_deg);
        cJSON_AddItemToArray(array, item);
    }
}

static void add_list(cJSON *object, const char *key, const double *values, int count) {
    cJSON *array = cJSON_AddArrayToObject(object, key);
    for (int i = 0; i < count; i++)
        cJSON_AddItemToArray(array, sw_json_number(values[i]));
}

static void add_electrical(cJSON *root, const sw_sim_truth *truth) {
    const sw_sim_motor *motor = &truth->spec.motor;
    bool turns_ac = motor->kind != SW_SIM_BRUSHED;
    add(root, "volts_per_hertz", turns_ac ? truth->volts_per_hertz : NAN, "V/Hz");
    add(root, "voltage_constant", truth->volts_per_rpm, "V/rpm");
    add(root, "flux_linkage_wb", turns_ac ? truth->flux_linkage_wb : NAN, "Wb");
    add(root, "peak_line_v_per_krpm", turns_ac ? truth->peak_line_v_per_krpm : NAN, "V/krpm");
    add(root, "winding_resistance", motor->resistance_ohm, "ohm");
    add(root, "winding_inductance", motor->inductance_h * 1000, "mH");
    add_list(root, "line_volts_per_hertz", truth->line_volts_per_hertz,
             turns_ac ? motor->phases : 0);
    add_list(root, "channel_volts_per_hertz", truth->channel_volts_per_hertz,
             turns_ac ? truth->spec.front.channels : 0);
    add_harmonics(root, "harmonics", truth->line, truth->harmonics);
    add_harmonics(root, "phase_harmonics", truth->phase, truth->harmonics);
    sw_json_add_number(root, "winding_factor", truth->winding_factor);
    cJSON_AddNumberToObject(root, "ripple_per_turn", truth->ripple_per_turn);
}

static void add_mechanical(cJSON *root, const sw_sim_motor *motor) {
    cJSON *drag = cJSON_AddObjectToObject(root, "drag_torque");
    add(drag, "constant", motor->drag_constant_nm, "N m");
    add(drag, "linear", motor->drag_linear, "N m s/rad");
    add(drag, "quadratic", motor->drag_quadratic, "N m s2/rad2");
    add(root, "cogging_torque", motor->cogging_nm, "N m");
    add(root, "inertia", motor->inertia_kgm2, "kg m2");
}

static void add_spin(cJSON *root, const sw_sim_truth *truth) {
    cJSON *spin = cJSON_AddObjectToObject(root, "spin");
    add(spin, "speed", truth->hold_speed_rpm, "rpm");
    add(spin, "hold_from", truth->hold_from_s, "s");
    add(spin, "hold_to", truth->hold_to_s, "s");
    add(spin, "coast_from", truth->coast_from_s, "s");
    cJSON_AddStringToObject(spin, "coast",
                            truth->spec.spin.coast == SW_SIM_COAST_NO     ? "no"
                            : truth->spec.spin.coast == SW_SIM_COAST_FREE ? "free"
                                                                          : "with-drill");
    sw_json_add_number(spin, "turns", truth->turns);
    add(spin, "top_speed", truth->top_speed_rpm, "rpm");
    cJSON *track = cJSON_AddObjectToObject(spin, "track");
    add(track, "step", truth->track_step_s, "s");
    cJSON_AddStringToObject(track, "unit", "rpm");
    add_list(track, "list", truth->track_rpm, (int)truth->track);
}

static void add_input(cJSON *root, const sw_sim_truth *truth) {
    const sw_sim_front *front = &truth->spec.front;
    cJSON *input = cJSON_AddObjectToObject(root, "input");
    add(input, "volts_per_unit", front->scope ? 1 : front->volts_per_unit, "V");
    add(input, "load_resistance", front->load_ohm > 0 ? front->load_ohm : NAN, "ohm");
    add(input, "low_cut", front->low_cut_hz, "Hz");
    add(input, "clock_error", front->clock_error, "1");
    add(input, "linear_limit", front->linear_limit, "1");
    add(input, "rate", front->rate_hz, "Hz");
    cJSON_AddNumberToObject(input, "channels", front->channels);
    cJSON_AddNumberToObject(input, "bits", front->bits);
    cJSON_AddNumberToObject(input, "tach_marks", front->tach_marks);
    sw_json_add_number(input, "noise", front->noise);
    sw_json_add_number(input, "hum", front->hum);
    cJSON_AddNumberToObject(input, "clipped", (double)truth->clipped);
    sw_json_add_number(input, "clamped_share", truth->clamped_share);
}

cJSON *sw_sim_truth_to_json(const sw_sim_truth *truth) {
    const sw_sim_motor *motor = &truth->spec.motor;
    cJSON *root = sw_json_document("simulation-truth");
    cJSON_AddStringToObject(root, "family", motor->family);
    cJSON_AddNumberToObject(root, "seed", (double)truth->spec.seed);
    cJSON_AddStringToObject(root, "kind", kind_name(motor));
    cJSON_AddNumberToObject(root, "phases", motor->phases);
    cJSON_AddNumberToObject(root, "pole_pairs", motor->pole_pairs);
    cJSON_AddNumberToObject(root, "slots", motor->slots);
    if (motor->phases == 3)
        cJSON_AddStringToObject(root, "connection", motor->delta ? "delta" : "star");
    else
        cJSON_AddNullToObject(root, "connection");
    cJSON_AddNumberToObject(root, "symmetry", truth->symmetry);
    sw_json_add_number(root, "pattern", truth->pattern);
    if (motor->fault != SW_SIM_FAULT_NONE)
        cJSON_AddStringToObject(root, "fault", SW_SIM_FAULT_WORDS[motor->fault]);
    if (motor->weak_magnet > 0) {
        cJSON *weak = cJSON_AddObjectToObject(root, "weak_magnet");
        cJSON_AddNumberToObject(weak, "pole", motor->weak_magnet);
        sw_json_add_number(weak, "strength", motor->weak_strength);
    }
    add_electrical(root, truth);
    add_mechanical(root, motor);
    add_spin(root, truth);
    add_input(root, truth);
    return root;
}
