#include "shared/motor.h"

#include "shared/text.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>

static const char *const WARNING_NAMES[SW_WARN_COUNT] = {
    [SW_WARN_CLIPPED] = "clipped",
    [SW_WARN_CLAMP_CONDUCTING] = "clamp_conducting",
    [SW_WARN_MAINS_HUM] = "mains_hum",
    [SW_WARN_AUTOMATIC_LEVEL] = "automatic_level",
    [SW_WARN_DRILL_ATTACHED] = "drill_attached",
    [SW_WARN_UNBALANCED] = "unbalanced",
    [SW_WARN_OFFSET] = "offset",
    [SW_WARN_SENSOR_COIL] = "sensor_coil",
    [SW_WARN_LOADING] = "loading",
    [SW_WARN_LOW_CUT_DOUBTFUL] = "low_cut_doubtful",
    [SW_WARN_NOT_A_MOTOR] = "not_a_motor",
    [SW_WARN_TOO_SHORT] = "too_short",
    [SW_WARN_RESIDUAL_ONLY] = "residual_only",
    [SW_WARN_FREEWHEEL] = "freewheel",
    [SW_WARN_UNCALIBRATED] = "uncalibrated",
    [SW_WARN_NOISY] = "noisy",
    [SW_WARN_METER_DOUBTFUL] = "meter_doubtful",
    [SW_WARN_SCALE_MISMATCH] = "scale_mismatch",
    [SW_WARN_SPEED_DOUBTFUL] = "speed_doubtful",
    [SW_WARN_BETWEEN_DOUBTFUL] = "between_doubtful",
    [SW_WARN_SATURATING] = "saturating",
    [SW_WARN_LOAD_DOUBTFUL] = "load_doubtful",
    [SW_WARN_WEAK_MAGNET] = "weak_magnet",
    [SW_WARN_SHORTED_COIL] = "shorted_coil",
    [SW_WARN_DEAD_PHASE] = "dead_phase",
    [SW_WARN_REVERSED_PHASE] = "reversed_phase",
    [SW_WARN_OVERRUN] = "overrun",
    [SW_WARN_RATE_DOUBTFUL] = "rate_doubtful",
    [SW_WARN_DRAG_DOUBTFUL] = "drag_doubtful",
    [SW_WARN_DC_BLOCKED] = "dc_blocked",
    [SW_WARN_GEARED] = "geared",
    [SW_WARN_PROBE_OLD] = "probe_old",
    [SW_WARN_PROBE_DOUBTFUL] = "probe_doubtful",
    [SW_WARN_STEADY_VOLTAGE] = "steady_voltage",
    [SW_WARN_COUNT_DOUBTFUL] = "count_doubtful",
    [SW_WARN_VOLTS_IMPLAUSIBLE] = "volts_implausible",
};

static const char *const KIND_NAMES[] = {"magnet-ac", "brushed", "none"};
static const char *const CONNECTION_NAMES[] = {NULL, "star", "delta"};
static const char *const REWIRE_NAMES[] = {"no", "ends-reachable", "rewind"};

static const char *const MAGNET_NAMES[SW_MAGNET_COUNT] = {NULL, "ferrite", "neodymium",
                                                          "samarium-cobalt", "alnico"};

const char *sw_warning_name(sw_warning_code code) {
    return WARNING_NAMES[code];
}

const char *sw_motor_kind_name(sw_motor_kind kind) {
    return KIND_NAMES[kind];
}

const char *sw_connection_name(sw_connection connection) {
    return CONNECTION_NAMES[connection];
}

const char *sw_rewire_name(sw_rewire rewire) {
    return REWIRE_NAMES[rewire];
}

const char *sw_magnet_kind_name(sw_magnet_kind kind) {
    return MAGNET_NAMES[kind];
}

void sw_motor_init(sw_motor *motor) {
    sw_quantity unknown = sw_quantity_unknown();
    *motor = (sw_motor){
        .phase_angle = unknown,
        .balance = unknown,
        .electrical_frequency = unknown,
        .stretch_from_s = NAN,
        .stretch_to_s = NAN,
        .speed = unknown,
        .volts_per_hertz = unknown,
        .voltage_constant = unknown,
        .constants = {unknown, unknown, unknown, unknown, unknown, unknown},
        .form_factor = unknown,
        .crest_factor = unknown,
        .distortion = unknown,
        .winding_resistance = unknown,
        .winding_inductance = unknown,
        .drag_torque = {unknown, unknown, unknown, unknown, unknown},
        .cogging_torque = unknown,
        .inertia = unknown,
        .copper_mass = unknown,
        .diameter = unknown,
        .length = unknown,
        .mass = unknown,
        .limit_temperature = unknown,
        .temperature = unknown,
        .brush_drop = unknown,
        .limit_speed = unknown,
        .limit_current = unknown,
        .nameplate_power = unknown,
    };
}

void sw_motor_unwarn(sw_motor *motor, sw_warning_code code) {
    size_t kept = 0;
    for (size_t i = 0; i < motor->warnings; i++)
        if (motor->warning[i].code != code)
            motor->warning[kept++] = motor->warning[i];
    motor->warnings = kept;
}

bool sw_motor_warned(const sw_motor *motor, sw_warning_code code) {
    for (size_t i = 0; i < motor->warnings; i++)
        if (motor->warning[i].code == code)
            return true;
    return false;
}

void sw_motor_warn(sw_motor *motor, sw_warning_code code, const char *format, ...) {
    if (motor->warnings >= SW_MOTOR_WARNING_LIMIT)
        return;
    sw_warning *warning = &motor->warning[motor->warnings++];
    warning->code = code;
    va_list arguments;
    va_start(arguments, format);
    char message[2 * SW_MOTOR_TEXT_ROOM];
    vsnprintf(message, sizeof message, format, arguments);
    va_end(arguments);
    sw_text_copy(message, warning->message, sizeof warning->message);
}
