/* The verdict starts at `use` and each finding may lower it, never raise it. What is guessed among
 * wind, power coefficient and motor keeps it from being better than use-if. Missing readings and
 * a motor that cannot generate are decided before anything is worked out.
 *
 * The shares refer to what the rotor would give if it were held at its best power coefficient in
 * every wind: a machine on a battery through diodes and a small wheel reaches a quarter to a half
 * of it. Thresholds are judgements, not measurements. */
#include "src/match/verdict.h"

#include <math.h>

const sw_thresholds SW_THRESHOLDS = {
    .least_kwh = 2,
    .spare_kwh = 5,
    .spare_share = 0.12,
    .late_start = 1.5,
};

sw_thresholds sw_thresholds_worth(double worth_kwh) {
    sw_thresholds thresholds = SW_THRESHOLDS;
    thresholds.least_kwh *= worth_kwh / thresholds.spare_kwh;
    thresholds.spare_kwh = worth_kwh;
    return thresholds;
}

/* Behind a bridge less than this part of what a doubler gives: only with a doubler. */
static const double DOUBLER_SHARE = 0.6;

static const char *const NAMES[SW_VERDICT_COUNT] = {"use", "use-if", "spare", "not-yet", "leave"};

const char *sw_verdict_name(sw_verdict verdict) {
    return NAMES[verdict];
}

/* Volts per rpm follow from volts per hertz once the pole pairs are found. */
static bool knows_volts(const sw_motor *motor) {
    bool poles_missing = motor->kind == SW_MAGNET_AC && motor->pole_pairs.value == 0;
    return sw_quantity_known(motor->voltage_constant) ||
           (poles_missing && sw_quantity_known(motor->volts_per_hertz));
}

/* Nothing was seen, through an input that does not show brushes: a meter on DC decides. */
static bool is_open(const sw_motor *motor) {
    return motor->kind == SW_NO_GENERATOR && sw_motor_warned(motor, SW_WARN_DC_BLOCKED);
}

void sw_verdict_missing(const sw_motor *motor, sw_remarks *missing) {
    bool alternating = motor->kind == SW_MAGNET_AC;
    if (is_open(motor))
        sw_remark_add_plain(missing, SW_MISSING_CONSTANT);
    if (motor->kind == SW_NO_GENERATOR)
        return;
    if (sw_motor_warned(motor, SW_WARN_SENSOR_COIL))
        sw_remark_add_plain(missing, SW_MISSING_WINDING);
    if (sw_motor_warned(motor, SW_WARN_FREEWHEEL))
        sw_remark_add_plain(missing, SW_MISSING_CLUTCH);
    if (alternating && motor->pole_pairs.value == 0)
        sw_remark_add_plain(missing, SW_MISSING_POLE_PAIRS);
    if (!knows_volts(motor))
        sw_remark_add_plain(missing, SW_MISSING_CONSTANT);
    if (alternating && motor->phases == 0)
        sw_remark_add_plain(missing, SW_MISSING_PHASES);
    if (!sw_quantity_known(motor->winding_resistance))
        sw_remark_add_plain(missing, SW_MISSING_RESISTANCE);
}

static void lower(sw_verdict *verdict, sw_verdict to) {
    if (to > *verdict)
        *verdict = to;
}

static sw_quantity kwh(double value) {
    return sw_quantity_of(value, NAN, "kWh");
}

static sw_quantity wind(double value) {
    return sw_quantity_of(value, NAN, "m/s");
}

static sw_quantity rpm(double value) {
    return sw_quantity_of(value, NAN, "rpm");
}

/* Nothing could be recommended: say what stands in the way of the best there was. */
static void judge_rejected(const sw_verdict_request *request, sw_remarks *reasons) {
    const sw_choice *best = &request->search->choice[0];
    const sw_motor *motor = request->motor;
    if (best->rejection == SW_REJECTED_CURRENT)
        sw_remark_add(reasons, SW_REASON_CURRENT_LIMIT,
                      sw_quantity_of(best->working_winding_amps, NAN, "A"), motor->limit_current);
    else if (best->rejection == SW_REJECTED_HEAT)
        sw_remark_add(reasons, SW_REASON_HEAT, sw_quantity_of(best->working_heat_w, NAN, "W"),
                      sw_quantity_of(request->search->heat.high_w, NAN, "W"));
    else if (best->rejection == SW_REJECTED_SPEED)
        sw_remark_add(reasons, SW_REASON_SPEED_LIMIT, rpm(best->working_rpm), motor->limit_speed);
    else if (best->rejection == SW_REJECTED_START)
        sw_remark_add(reasons, SW_REASON_START_BY, wind(best->start_wind), wind(request->start_by));
    else if (best->rejection == SW_REJECTED_VOLTS)
        sw_remark_add(reasons, SW_REASON_INPUT_VOLTS,
                      sw_quantity_of(request->search->electrical[best->electrical].load.input_max_v,
                                     NAN, "V"),
                      sw_quantity_unknown());
    else if (best->rejection == SW_REJECTED_GRIP)
        sw_remark_add(reasons, SW_REASON_GRIP, sw_quantity_of(best->press.mean_n, NAN, "N"),
                      sw_quantity_unknown());
    else
        sw_remark_add(reasons, SW_REASON_NO_CURRENT, rpm(request->cut_in_rpm),
                      rpm(best->working_rpm));
}

static void judge_energy(const sw_verdict_request *request, double energy_kwh, sw_verdict *verdict,
                         sw_remarks *reasons) {
    const sw_thresholds *limits = request->thresholds;
    double share = request->potential_kwh > 0 ? energy_kwh / request->potential_kwh : 0;
    sw_quantity part = sw_quantity_of(100 * share, NAN, "%");
    if (energy_kwh < limits->spare_kwh) {
        lower(verdict, energy_kwh < limits->least_kwh ? SW_VERDICT_LEAVE : SW_VERDICT_SPARE);
        sw_remark_add(reasons, SW_REASON_LITTLE_ENERGY, kwh(energy_kwh), kwh(limits->spare_kwh));
    } else {
        sw_remark_add(reasons, SW_REASON_ENERGY, kwh(energy_kwh), kwh(limits->spare_kwh));
    }
    if (share >= limits->spare_share)
        return;
    lower(verdict, SW_VERDICT_SPARE);
    sw_remark_add(reasons, SW_REASON_POOR_SHARE, part,
                  sw_quantity_of(100 * limits->spare_share, NAN, "%"));
}

static void judge_start(const sw_verdict_request *request, bool pushed, sw_verdict *verdict,
                        sw_remarks *reasons) {
    const sw_choice *best = &request->search->choice[0];
    double mean = request->mean_wind;
    if (pushed) {
        lower(verdict, SW_VERDICT_USE_IF);
        sw_remark_add(reasons, SW_REASON_NEEDS_PUSH, wind(best->cut_in_wind), wind(mean));
    } else if (request->start_wind > request->thresholds->late_start * mean) {
        lower(verdict, SW_VERDICT_SPARE);
        sw_remark_add(reasons, SW_REASON_STARTS_LATE, wind(request->start_wind), wind(mean));
    } else if (request->start_wind > mean) {
        sw_remark_add(reasons, SW_REASON_STARTS_ABOVE_MEAN, wind(request->start_wind), wind(mean));
    } else {
        sw_remark_add(reasons, SW_REASON_STARTS_EARLY, wind(request->start_wind), wind(mean));
    }
}

/* A range that reaches far below what is worth it is no plain yes. */
static void judge_chance(const sw_verdict_request *request, sw_verdict *verdict,
                         sw_remarks *reasons) {
    if (*verdict > SW_VERDICT_USE_IF || !(request->may_be_little > SW_PERHAPS_FROM))
        return;
    lower(verdict, SW_VERDICT_USE_IF);
    sw_remark_add(reasons, SW_REASON_MAY_BE_LITTLE,
                  sw_quantity_of(100 * request->may_be_little, NAN, "%"),
                  kwh(request->thresholds->spare_kwh));
}

/* Conditions belong to what is worth using; a motor to leave has none. */
static void judge_guesses(const sw_remarks *guessed, sw_verdict *verdict, sw_remarks *reasons) {
    if (*verdict == SW_VERDICT_LEAVE)
        return;
    bool wind_guessed = sw_remarked(guessed, SW_GUESS_WIND);
    bool rotor_guessed = sw_remarked(guessed, SW_GUESS_ROTOR_POWER);
    bool winding_guessed = sw_remarked(guessed, SW_GUESS_RESISTANCE) ||
                           sw_remarked(guessed, SW_GUESS_CONSTANT) ||
                           sw_remarked(guessed, SW_GUESS_INDUCTANCE);
    bool drag_guessed =
        sw_remarked(guessed, SW_GUESS_DRAG) || sw_remarked(guessed, SW_GUESS_COGGING);
    if (wind_guessed || rotor_guessed || winding_guessed || drag_guessed)
        lower(verdict, SW_VERDICT_USE_IF);
    if (wind_guessed)
        sw_remark_add_plain(reasons, SW_REASON_GUESSED_WIND);
    if (rotor_guessed)
        sw_remark_add_plain(reasons, SW_REASON_GUESSED_ROTOR);
    if (winding_guessed)
        sw_remark_add_plain(reasons, SW_REASON_GUESSED_WINDING);
    if (drag_guessed)
        sw_remark_add_plain(reasons, SW_REASON_GUESSED_DRAG);
}

/* Much more behind a doubler than behind a bridge: the bridge's best choice is the first of its
 * kind in the sorted list. */
static void judge_doubler(const sw_search *search, sw_remarks *reasons) {
    const sw_choice *best = &search->choice[0];
    double bridge_kwh = 0;
    if (search->electrical[best->electrical].wiring.rectifier != SW_RECTIFIER_DOUBLER)
        return;
    for (size_t i = 1; i < search->choices; i++) {
        const sw_electrical *it = &search->electrical[search->choice[i].electrical];
        if (!it->reachable || search->choice[i].rejection != SW_REJECTED_NOT)
            break;
        if (it->wiring.rectifier != SW_RECTIFIER_BRIDGE)
            continue;
        bridge_kwh = search->choice[i].started_kwh;
        break;
    }
    if (bridge_kwh < DOUBLER_SHARE * best->started_kwh)
        sw_remark_add(reasons, SW_REASON_DOUBLER, kwh(bridge_kwh), sw_quantity_unknown());
}

/* What was ruled out only because it starts too late, if it would give much more. */
static void judge_start_costs(const sw_verdict_request *request, sw_remarks *reasons) {
    const sw_search *search = request->search;
    for (size_t i = 1; i < search->choices; i++) {
        const sw_choice *it = &search->choice[i];
        if (it->rejection != SW_REJECTED_START || !search->electrical[it->electrical].reachable)
            continue;
        if (it->started_kwh > 1.5 * search->choice[0].started_kwh)
            sw_remark_add(reasons, SW_REASON_START_COSTS, kwh(it->started_kwh),
                          wind(it->start_wind));
        return;
    }
}

/* What was ruled out only by the heat of its winding, if it would give much more. */
static void judge_heat_costs(const sw_verdict_request *request, sw_remarks *reasons) {
    const sw_search *search = request->search;
    for (size_t i = 1; i < search->choices; i++) {
        const sw_choice *it = &search->choice[i];
        if (it->rejection != SW_REJECTED_HEAT || !search->electrical[it->electrical].reachable)
            continue;
        if (it->started_kwh > 1.5 * search->choice[0].started_kwh)
            sw_remark_add(reasons, SW_REASON_HEAT_COSTS,
                          sw_quantity_of(it->working_heat_w, NAN, "W"),
                          sw_quantity_of(search->heat.high_w, NAN, "W"));
        return;
    }
}

/* Does it have to be pushed to give its energy: most of it is lost when it waits to start? */
static bool pushed_by(double started_kwh, double running_kwh) {
    return started_kwh < 0.25 * running_kwh;
}

double sw_verdict_counted_kwh(double started_kwh, double running_kwh) {
    return pushed_by(started_kwh, running_kwh) ? running_kwh : started_kwh;
}

static bool cannot_generate(const sw_motor *motor) {
    return (motor->kind == SW_NO_GENERATOR && !is_open(motor)) ||
           sw_motor_warned(motor, SW_WARN_NOT_A_MOTOR) ||
           sw_motor_warned(motor, SW_WARN_RESIDUAL_ONLY);
}

sw_verdict sw_verdict_of(const sw_verdict_request *request, sw_remarks *reasons) {
    sw_verdict verdict = SW_VERDICT_USE;
    if (cannot_generate(request->motor)) {
        sw_remark_add_plain(reasons, SW_REASON_NO_MAGNETS);
        return SW_VERDICT_LEAVE;
    }
    if (request->missing->count > 0) {
        for (size_t i = 0; i < request->missing->count; i++)
            sw_remark_add_plain(reasons, request->missing->item[i].code);
        return SW_VERDICT_NOT_YET;
    }
    if (!request->search->found) {
        judge_rejected(request, reasons);
        return SW_VERDICT_LEAVE;
    }
    bool pushed = pushed_by(request->started_kwh, request->running_kwh);
    judge_energy(request, sw_verdict_counted_kwh(request->started_kwh, request->running_kwh),
                 &verdict, reasons);
    judge_start(request, pushed, &verdict, reasons);
    judge_doubler(request->search, reasons);
    judge_start_costs(request, reasons);
    judge_heat_costs(request, reasons);
    judge_chance(request, &verdict, reasons);
    judge_guesses(request->guessed, &verdict, reasons);
    return verdict;
}
