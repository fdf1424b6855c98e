/* Reading a motor document, the program's own or one written by hand. */
#include "shared/json_read.h"
#include "shared/motor.h"
#include "shared/motor_parts.h"
#include "shared/text.h"

#include <math.h>
#include <string.h>

static const char *const KEYS[] = {"document",
                                   "version",
                                   "name",
                                   "note",
                                   "kind",
                                   "phases",
                                   "phase_angle",
                                   "balance",
                                   "leads",
                                   "slots",
                                   "star_point",
                                   "connection",
                                   "electrical_frequency",
                                   "stretch",
                                   "speed",
                                   "volts_per_hertz",
                                   "pole_pairs",
                                   "voltage_constant",
                                   "voltage_constants",
                                   "harmonics",
                                   "wave",
                                   "magnet_ring",
                                   "commutator_ripple",
                                   "budget",
                                   "winding_resistance",
                                   "winding_inductance",
                                   "drag_torque",
                                   "cogging_torque",
                                   "inertia",
                                   "copper_mass",
                                   "magnet_kind",
                                   "diameter",
                                   "length",
                                   "mass",
                                   "temperature",
                                   "brush_drop",
                                   "coil_groups",
                                   "can_rewire",
                                   "limits",
                                   "sources",
                                   "warnings",
                                   "unknown",
                                   "guessed",
                                   "understood",
                                   "family",
                                   "bench",
                                   NULL};

static const double MOST = 1e12;

typedef struct quantity_key {
    const char *key;
    const char *unit;
    size_t offset;
    double low;
} quantity_key;

#define FIELD(member) offsetof(sw_motor, member)

/* A quantity of the record by its key; the lower bound is what makes physical sense. */
static const quantity_key TOP_KEYS[] = {
    {"phase_angle", "deg", FIELD(phase_angle), 0},
    {"electrical_frequency", "Hz", FIELD(electrical_frequency), 0},
    {"speed", "rpm", FIELD(speed), 0},
    {"volts_per_hertz", "V/Hz", FIELD(volts_per_hertz), 0},
    {"voltage_constant", "V/rpm", FIELD(voltage_constant), 0},
    {"winding_resistance", "ohm", FIELD(winding_resistance), 0},
    {"winding_inductance", "mH", FIELD(winding_inductance), 0},
    {"cogging_torque", "N m", FIELD(cogging_torque), 0},
    {"inertia", "kg m2", FIELD(inertia), 0},
    {"copper_mass", "kg", FIELD(copper_mass), 1e-6},
    {"diameter", "mm", FIELD(diameter), 1},
    {"length", "mm", FIELD(length), 1},
    {"mass", "kg", FIELD(mass), 1e-3},
    {"temperature", "degC", FIELD(temperature), -60},
    {"brush_drop", "V", FIELD(brush_drop), 0},
};

static const quantity_key CONSTANT_KEYS[] = {
    {"peak_line_v_per_krpm", "V/krpm", FIELD(constants.peak_line_v_per_krpm), 0},
    {"dc_bridge_v_per_krpm", "V/krpm", FIELD(constants.dc_bridge_v_per_krpm), 0},
    {"dc_bridge_smoothed_v_per_krpm", "V/krpm", FIELD(constants.dc_bridge_smoothed_v_per_krpm), 0},
    {"rpm_per_volt_peak", "rpm/V", FIELD(constants.rpm_per_volt_peak), 0},
    {"volt_second_per_radian_peak_line", "V s/rad",
     FIELD(constants.volt_second_per_radian_peak_line), 0},
    {"flux_linkage_wb", "Wb", FIELD(constants.flux_linkage_wb), 0},
};

/* A run-down can give a small negative linear or quadratic term within its uncertainty. */
static const quantity_key DRAG_KEYS[] = {
    {"constant", "N m", FIELD(drag_torque.constant), 0},
    {"linear", "N m s/rad", FIELD(drag_torque.linear), -MOST},
    {"quadratic", "N m s2/rad2", FIELD(drag_torque.quadratic), -MOST},
    {"middle_speed", "rpm", FIELD(drag_torque.middle_speed), 0},
    {"middle_torque", "N m", FIELD(drag_torque.middle_torque), 0},
};

static const quantity_key LIMIT_KEYS[] = {
    {"speed", "rpm", FIELD(limit_speed), 0},
    {"current", "A", FIELD(limit_current), 0},
    {"nameplate_power", "W", FIELD(nameplate_power), 0},
    {"winding_temperature", "degC", FIELD(limit_temperature), 30},
};

static sw_status read_quantities(const sw_node *node, const quantity_key *keys, size_t count,
                                 sw_motor *motor, sw_error *error) {
    for (size_t i = 0; i < count; i++) {
        sw_quantity *target = (sw_quantity *)(void *)((char *)motor + keys[i].offset);
        sw_status status =
            sw_node_quantity_in(node, keys[i].key, keys[i].unit, keys[i].low, MOST, target, error);
        if (status != SW_OK)
            return status;
    }
    return SW_OK;
}

static sw_status read_group(const sw_node *top, const char *group, const quantity_key *keys,
                            size_t count, sw_motor *motor, sw_error *error) {
    const char *names[8] = {NULL};
    for (size_t i = 0; i < count; i++)
        names[i] = keys[i].key;
    sw_node node;
    sw_status status = sw_node_object(top, group, &node, error);
    if (status != SW_OK || node.json == NULL)
        return status;
    status = sw_node_allow(&node, names, error);
    return status != SW_OK ? status : read_quantities(&node, keys, count, motor, error);
}

static sw_status read_text(const sw_node *top, const char *key, char *out, size_t room,
                           sw_error *error) {
    const char *text = NULL;
    sw_status status = sw_node_text(top, key, &text, error);
    if (status == SW_OK && text != NULL)
        sw_text_copy(text, out, room);
    return status;
}

static sw_status read_words(const sw_node *top, sw_motor *motor, sw_error *error) {
    static const char *const KINDS[] = {"magnet-ac", "brushed", "none", NULL};
    static const char *const CONNECTIONS[] = {"star", "delta", NULL};
    static const char *const REWIRES[] = {"no", "ends-reachable", "rewind", NULL};
    static const char *const MAGNETS[] = {"ferrite", "neodymium", "samarium-cobalt", "alnico",
                                          NULL};
    int kind = SW_MAGNET_AC;
    int connection = -1;
    int rewire = SW_REWIRE_NO;
    int magnets = -1;
    bool star_point = false;
    sw_status status = sw_node_need(top, "kind", "\"magnet-ac\"", error);
    if (status == SW_OK)
        status = sw_node_word(top, "kind", KINDS, &kind, error);
    if (status == SW_OK)
        status = sw_node_word(top, "connection", CONNECTIONS, &connection, error);
    if (status == SW_OK)
        status = sw_node_word(top, "can_rewire", REWIRES, &rewire, error);
    if (status == SW_OK)
        status = sw_node_word(top, "magnet_kind", MAGNETS, &magnets, error);
    if (status == SW_OK)
        status = sw_node_flag(top, "star_point", &star_point, error);
    if (status != SW_OK)
        return status;
    motor->kind = (sw_motor_kind)kind;
    motor->connection = (sw_connection)(connection + 1);
    motor->can_rewire = (sw_rewire)rewire;
    motor->magnet_kind = (sw_magnet_kind)(magnets + 1);
    if (sw_node_has(top, "star_point"))
        motor->star_point = star_point ? SW_YES : SW_NO;
    return SW_OK;
}

static sw_status read_counts(const sw_node *top, sw_motor *motor, sw_error *error) {
    sw_status status = sw_node_integer(top, "phases", 1, 3, &motor->phases, error);
    if (status == SW_OK)
        status = sw_node_integer(top, "leads", 1, 64, &motor->leads, error);
    if (status == SW_OK)
        status = sw_node_integer(top, "slots", 2, 1000, &motor->slots, error);
    if (status == SW_OK)
        status = sw_node_integer(top, "coil_groups", 1, 64, &motor->coil_groups, error);
    if (status == SW_OK)
        status =
            sw_node_integer(top, "commutator_ripple", 1, 100000, &motor->commutator_ripple, error);
    double balance = NAN;
    if (status == SW_OK)
        status = sw_node_number(top, "balance", 0, 10, &balance, error);
    if (status == SW_OK && !isnan(balance))
        motor->balance = sw_quantity_of(balance, NAN, "1");
    return status;
}

/* A constant written by hand in another of its forms; sine assumed where the wave matters. */
static void accept_other_forms(sw_motor *motor) {
    if (sw_quantity_known(motor->voltage_constant) || sw_quantity_known(motor->volts_per_hertz))
        return;
    const sw_voltage_constants *constants = &motor->constants;
    sw_quantity found = sw_quantity_unknown();
    if (sw_quantity_known(constants->peak_line_v_per_krpm))
        found = sw_quantity_of(constants->peak_line_v_per_krpm.value / 1000,
                               constants->peak_line_v_per_krpm.u / 1000, "V/rpm");
    else if (sw_quantity_known(constants->rpm_per_volt_peak) &&
             constants->rpm_per_volt_peak.value > 0)
        found = sw_quantity_of(
            1 / constants->rpm_per_volt_peak.value,
            constants->rpm_per_volt_peak.u / pow(constants->rpm_per_volt_peak.value, 2), "V/rpm");
    if (!sw_quantity_known(found))
        return;
    double peak_to_rms = motor->kind == SW_BRUSHED ? 1 : sqrt(0.5);
    motor->voltage_constant =
        sw_quantity_of(found.value * peak_to_rms, found.u * peak_to_rms, "V/rpm");
}

sw_status sw_motor_parse(const cJSON *root, const char *file, const sw_units *units,
                         sw_motor *motor, sw_error *error) {
    sw_node top = sw_node_top(root, file, units);
    sw_motor_init(motor);
    sw_status status = sw_node_expect_document(&top, "motor", error);
    if (status == SW_OK)
        status = sw_node_allow(&top, KEYS, error);
    if (status == SW_OK)
        status = read_text(&top, "name", motor->name, sizeof motor->name, error);
    if (status == SW_OK)
        status = read_text(&top, "note", motor->note, sizeof motor->note, error);
    if (status == SW_OK)
        status = read_words(&top, motor, error);
    if (status == SW_OK)
        status = read_counts(&top, motor, error);
    if (status == SW_OK)
        status = read_quantities(&top, TOP_KEYS, sizeof TOP_KEYS / sizeof *TOP_KEYS, motor, error);
    if (status == SW_OK)
        status = read_group(&top, "voltage_constants", CONSTANT_KEYS,
                            sizeof CONSTANT_KEYS / sizeof *CONSTANT_KEYS, motor, error);
    if (status == SW_OK)
        status = read_group(&top, "drag_torque", DRAG_KEYS, sizeof DRAG_KEYS / sizeof *DRAG_KEYS,
                            motor, error);
    if (status == SW_OK)
        status = read_group(&top, "limits", LIMIT_KEYS, sizeof LIMIT_KEYS / sizeof *LIMIT_KEYS,
                            motor, error);
    if (status == SW_OK)
        status = sw_motor_read_lists(&top, motor, error);
    if (status == SW_OK)
        status = sw_sources_read(&top, &motor->sources, error);
    if (status == SW_OK)
        status = sw_magnet_ring_read(root, file, &motor->magnet_ring, error);
    if (status != SW_OK)
        return status;
    accept_other_forms(motor);
    sw_motor_derive(motor);
    return SW_OK;
}

sw_status sw_motor_read(const char *path, const sw_units *units, sw_motor *motor, sw_error *error) {
    cJSON *root = NULL;
    sw_status status = sw_json_read(path, &root, error);
    if (status != SW_OK)
        return status;
    status = sw_motor_parse(root, path, units, motor, error);
    cJSON_Delete(root);
    return status;
}
