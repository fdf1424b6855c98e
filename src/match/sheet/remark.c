#include "src/match/sheet/remark.h"

static const char *const NAMES[SW_REMARK_COUNT] = {
    [SW_REASON_NO_MAGNETS] = "no_magnets",
    [SW_REASON_NO_CURRENT] = "no_current",
    [SW_REASON_GRIP] = "grip",
    [SW_REASON_CURRENT_LIMIT] = "current_limit",
    [SW_REASON_HEAT] = "heat_limit",
    [SW_REASON_HEAT_COSTS] = "heat_costs",
    [SW_REASON_SPEED_LIMIT] = "speed_limit",
    [SW_REASON_START_BY] = "start_by",
    [SW_REASON_START_COSTS] = "start_costs",
    [SW_REASON_INPUT_VOLTS] = "input_volts",
    [SW_REASON_DOUBLER] = "only_with_doubler",
    [SW_REASON_OTHER_WHEEL] = "needs_other_wheel",
    [SW_REASON_LITTLE_ENERGY] = "little_energy",
    [SW_REASON_ENERGY] = "energy",
    [SW_REASON_POOR_SHARE] = "poor_share",
    [SW_REASON_STARTS_EARLY] = "starts_early",
    [SW_REASON_STARTS_ABOVE_MEAN] = "starts_above_mean",
    [SW_REASON_STARTS_LATE] = "starts_late",
    [SW_REASON_NEEDS_PUSH] = "needs_push",
    [SW_REASON_GUESSED_WIND] = "guessed_wind",
    [SW_REASON_GUESSED_ROTOR] = "guessed_rotor",
    [SW_REASON_GUESSED_WINDING] = "guessed_winding",
    [SW_REASON_GUESSED_DRAG] = "guessed_drag",
    [SW_REASON_MAY_BE_LITTLE] = "may_be_little",
    [SW_MISSING_CONSTANT] = "voltage_constant_missing",
    [SW_MISSING_POLE_PAIRS] = "pole_pairs_missing",
    [SW_MISSING_PHASES] = "phases_missing",
    [SW_MISSING_RESISTANCE] = "winding_resistance_missing",
    [SW_MISSING_WINDING] = "winding_missing",
    [SW_MISSING_CLUTCH] = "freewheel",
    [SW_GUESS_WIND] = "mean_wind",
    [SW_GUESS_WEIBULL] = "weibull_k",
    [SW_GUESS_STORM] = "storm_wind",
    [SW_GUESS_ROTOR_POWER] = "power_coefficient",
    [SW_GUESS_ROTOR_START] = "static_torque_coefficient",
    [SW_GUESS_BEARING] = "bearing_torque",
    [SW_GUESS_CONSTANT] = "voltage_constant",
    [SW_GUESS_RESISTANCE] = "winding_resistance",
    [SW_GUESS_INDUCTANCE] = "winding_inductance",
    [SW_GUESS_DRAG] = "drag_torque",
    [SW_GUESS_COGGING] = "cogging_torque",
    [SW_GUESS_LOAD] = "load",
    [SW_GUESS_BATTERY] = "battery_resistance",
    [SW_GUESS_DIODE] = "diode",
    [SW_GUESS_FRICTION] = "friction",
    [SW_GUESS_RUN_OUT] = "run_out",
    [SW_CAUTION_NO_BRAKE] = "no_brake",
    [SW_CAUTION_BRAKE_HOLDS] = "brake_holds_only",
    [SW_CAUTION_BRAKE_UNKNOWN] = "brake_unknown",
    [SW_CAUTION_WHEEL_NO_BRAKE] = "wheel_is_no_brake",
    [SW_CAUTION_VOLTS_TOUCH] = "volts_touch",
    [SW_CAUTION_VOLTS_HIGH] = "volts_high",
    [SW_CAUTION_STORM_SPEED] = "storm_speed",
    [SW_CAUTION_CONVERTER] = "converter_volts",
    [SW_CAUTION_CHARGE] = "charge_current",
    [SW_CAUTION_SLIPS] = "wheel_slips",
    [SW_CAUTION_HOPS] = "wheel_hops",
    [SW_CAUTION_BOUNCE] = "wheel_bounces",
    [SW_CAUTION_ARM_LOCKS] = "arm_locks",
    [SW_CAUTION_ARM_BITES] = "arm_bites",
    [SW_CAUTION_INSIDE] = "wheel_inside",
    [SW_CAUTION_MOTOR_BEARING] = "motor_bearing",
    [SW_CAUTION_HEAT_UNKNOWN] = "winding_heat_unknown",
    [SW_CAUTION_HEAT] = "winding_heat",
    [SW_CAUTION_TWO_SPEEDS] = "two_speeds",
    [SW_CAUTION_START_AT_LEAST] = "start_at_least",
    [SW_CAUTION_STRUCTURE] = "structure",
};

const char *sw_remark_name(sw_remark_code code) {
    return NAMES[code];
}

void sw_remark_add(sw_remarks *remarks, sw_remark_code code, sw_quantity first,
                   sw_quantity second) {
    if (remarks->count < SW_REMARK_LIMIT)
        remarks->item[remarks->count++] = (sw_remark){code, first, second};
}

void sw_remark_add_plain(sw_remarks *remarks, sw_remark_code code) {
    sw_remark_add(remarks, code, sw_quantity_unknown(), sw_quantity_unknown());
}

bool sw_remarked(const sw_remarks *remarks, sw_remark_code code) {
    for (size_t i = 0; i < remarks->count; i++)
        if (remarks->item[i].code == code)
            return true;
    return false;
}
