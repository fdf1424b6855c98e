#include "src/measure/merge.h"

#include "shared/constants.h"
#include "src/measure/poles/recount.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Two honest values differ by more than this many standard uncertainties once in 16,000. */
static const double CONTRADICTION_K = 4;
static const double METER_RELATIVE = 0.01;
static const double METER_OHM = 0.05;
static const double LEADS_OHM =
    0.15; /* 0.1 to 0.5 ohm when not looked at; common practice, no source */
static const double ROOM_U_K = 2.5;

sw_quantity sw_meter_resistance(sw_quantity shown_ohm, sw_quantity lead_ohm,
                                sw_quantity temperature_degc) {
    double shown_u = isnan(shown_ohm.u)
                         ? hypot(METER_RELATIVE * shown_ohm.value, hypot(METER_OHM, LEADS_OHM))
                         : shown_ohm.u;
    double leads = sw_quantity_known(lead_ohm) ? lead_ohm.value : 0;
    /* The meter's offset cancels when its leads were shorted first; its scale does not. */
    if (sw_quantity_known(lead_ohm) && isnan(shown_ohm.u))
        shown_u = hypot(METER_RELATIVE * shown_ohm.value, METER_OHM / 5);
    bool warm = sw_quantity_known(temperature_degc);
    double kelvin = warm ? temperature_degc.value - 20 : 0;
    double kelvin_u = warm && !isnan(temperature_degc.u) ? temperature_degc.u : ROOM_U_K;
    double factor = 1 + SW_COPPER_PER_K * kelvin;
    double value = (shown_ohm.value - leads) / factor;
    double u = hypot(shown_u / factor, value * SW_COPPER_PER_K * kelvin_u / factor);
    return sw_quantity_of(value, u, "ohm");
}

/* To the last digits: the same evidence given again, from which nothing is learnt. */
static bool is_same(sw_quantity a, sw_quantity b) {
    return fabs(a.value - b.value) <= 1e-12 * fabs(a.value) && fabs(a.u - b.u) <= 1e-9 * a.u;
}

static sw_status join(sw_quantity *kept, sw_quantity more, const char *what, sw_error *error) {
    if (!sw_quantity_known(more))
        return SW_OK;
    if (!sw_quantity_known(*kept) || isnan(kept->u) || kept->u <= 0 || isnan(more.u) ||
        more.u <= 0) {
        *kept = more;
        return SW_OK;
    }
    if (is_same(*kept, more))
        return SW_OK;
    double apart = fabs(kept->value - more.value);
    if (apart > CONTRADICTION_K * hypot(kept->u, more.u))
        return sw_fail(error, SW_MISMATCH,
                       "%s: the saved motor has %.5g %s, this evidence says %.5g; is it the same "
                       "motor?",
                       what, kept->value, kept->unit, more.value);
    double weight_kept = 1 / (kept->u * kept->u);
    double weight_more = 1 / (more.u * more.u);
    double weight = weight_kept + weight_more;
    kept->value = (kept->value * weight_kept + more.value * weight_more) / weight;
    kept->u = 1 / sqrt(weight);
    return SW_OK;
}

/* A value that is replaced rather than averaged: the latest one describes its own stretch. */
static void replace(sw_quantity *kept, sw_quantity more) {
    if (sw_quantity_known(more))
        *kept = more;
}

static double probability_of(const sw_pole_pairs *poles, int pole_pairs) {
    for (size_t i = 0; i < poles->candidates; i++)
        if (poles->candidate[i].pole_pairs == pole_pairs)
            return poles->candidate[i].probability;
    return poles->value == pole_pairs ? poles->probability : 0;
}

/* Two recordings are independent evidence: their probabilities multiply. What neither lists had
 * little probability in both and is left out. */
static void join_poles(sw_pole_pairs *kept, const sw_pole_pairs *more) {
    if (more->value == 0 && more->candidates == 0)
        return;
    if (kept->value == 0 && kept->candidates == 0) {
        *kept = *more;
        return;
    }
    static const double FLOOR = 1e-4; /* a candidate a list does not name */
    sw_pole_pairs joined = *more;
    double sum = 0;
    if (joined.candidates == 0) {
        joined.candidates = 1;
        joined.candidate[0] = (sw_pole_candidate){more->value, more->probability};
    }
    for (size_t i = 0; i < joined.candidates; i++) {
        sw_pole_candidate *candidate = &joined.candidate[i];
        candidate->probability *= fmax(FLOOR, probability_of(kept, candidate->pole_pairs));
        sum += candidate->probability;
    }
    size_t best = 0;
    for (size_t i = 0; i < joined.candidates && sum > 0; i++) {
        joined.candidate[i].probability /= sum;
        if (joined.candidate[i].probability > joined.candidate[best].probability)
            best = i;
    }
    sw_pole_candidate first = joined.candidate[best];
    memmove(&joined.candidate[1], &joined.candidate[0], best * sizeof first);
    joined.candidate[0] = first;
    joined.probability = first.probability;
    joined.value = first.probability >= SW_POLE_ANSWER_PROBABILITY ? first.pole_pairs : 0;
    *kept = joined;
}

static void join_facts(sw_motor *motor, const sw_motor *more) {
    if (more->phases > 0)
        motor->phases = more->phases;
    if (more->leads > 0)
        motor->leads = more->leads;
    if (more->slots > 0)
        motor->slots = more->slots;
    if (more->star_point != SW_NOT_SAID)
        motor->star_point = more->star_point;
    if (more->connection != SW_AS_IT_COMES)
        motor->connection = more->connection;
    if (more->coil_groups > 0)
        motor->coil_groups = more->coil_groups;
    if (more->magnet_kind != SW_MAGNET_UNKNOWN)
        motor->magnet_kind = more->magnet_kind;
    if (more->can_rewire != SW_REWIRE_NO)
        motor->can_rewire = more->can_rewire;
    if (more->name[0] != '\0')
        memcpy(motor->name, more->name, sizeof motor->name);
    if (more->note[0] != '\0')
        memcpy(motor->note, more->note, sizeof motor->note);
    if (more->harmonics > 0) {
        motor->harmonics = more->harmonics;
        motor->harmonics_of_phase = more->harmonics_of_phase;
        memcpy(motor->harmonic, more->harmonic, sizeof motor->harmonic);
    }
    if (more->magnet_ring.poles > 0)
        motor->magnet_ring = more->magnet_ring;
    if (more->commutator_ripple > 0)
        motor->commutator_ripple = more->commutator_ripple;
    if (more->budget.lines > 0)
        motor->budget = more->budget;
    if (!isnan(more->stretch_from_s)) {
        motor->stretch_from_s = more->stretch_from_s;
        motor->stretch_to_s = more->stretch_to_s;
    }
}

/* The torques of a run-down were worked out with the pole pairs (see bench/rundown.h): constant
 * ~ 1/p, linear not at all, quadratic ~ p, for one and the same inertia. */
static void turn_drag(sw_drag *drag, int from, int to) {
    if (from == to || from == 0 || !sw_quantity_known(drag->middle_torque))
        return;
    double factor = to > 0 ? (double)to / from : NAN;
    drag->constant = sw_quantity_of(drag->constant.value / factor, drag->constant.u / factor,
                                    drag->constant.unit);
    drag->quadratic = sw_quantity_of(drag->quadratic.value * factor, drag->quadratic.u * factor,
                                     drag->quadratic.unit);
    drag->middle_speed = sw_quantity_of(drag->middle_speed.value / factor,
                                        drag->middle_speed.u / factor, drag->middle_speed.unit);
    drag->middle_torque = sw_quantity_of(drag->middle_torque.value / factor,
                                         drag->middle_torque.u / factor, drag->middle_torque.unit);
    if (to == 0)
        drag->linear = sw_quantity_unknown();
}

static void forget_per_turn(sw_motor *motor) {
    sw_quantity unknown = sw_quantity_unknown();
    if (!sw_quantity_known(motor->volts_per_hertz))
        return;
    motor->speed = unknown;
    motor->voltage_constant = unknown;
    motor->constants = (sw_voltage_constants){unknown, unknown, unknown, unknown, unknown, unknown};
}

void sw_motor_set_poles(sw_motor *motor, const sw_pole_pairs *poles) {
    turn_drag(&motor->drag_torque, motor->pole_pairs.value, poles->value);
    bool lost = motor->pole_pairs.value > 0 && poles->value == 0;
    motor->pole_pairs = *poles;
    if (lost)
        forget_per_turn(motor);
    if (motor->magnet_ring.poles != 2 * poles->value && motor->magnet_ring.poles > 0) {
        motor->magnet_ring.poles = 0;
        sw_motor_unwarn(motor, SW_WARN_WEAK_MAGNET);
    }
    sw_quantity hertz = motor->electrical_frequency;
    if (poles->value == 0 || !sw_quantity_known(hertz))
        return;
    double per_pair = 60.0 / poles->value;
    motor->speed = sw_quantity_of(hertz.value * per_pair, hertz.u * per_pair, "rpm");
}

static sw_status join_sources(sw_motor *motor, const sw_motor *more, sw_error *error) {
    sw_status status = SW_OK;
    for (size_t i = 0; i < more->sources.count && status == SW_OK; i++)
        status = sw_source_add(&motor->sources, &more->sources.source[i], error);
    return status;
}

static void join_warnings(sw_motor *motor, const sw_motor *more) {
    for (size_t i = 0; i < more->warnings; i++)
        if (!sw_motor_warned(motor, more->warning[i].code))
            sw_motor_warn(motor, more->warning[i].code, "%s", more->warning[i].message);
}

static sw_status join_values(sw_motor *motor, const sw_motor *more, sw_error *error) {
    const struct {
        sw_quantity *kept;
        sw_quantity more;
        const char *what;
    } rows[] = {
        {&motor->volts_per_hertz, more->volts_per_hertz, "volts per hertz"},
        {&motor->voltage_constant, more->voltage_constant, "voltage constant"},
        {&motor->winding_resistance, more->winding_resistance, "winding resistance"},
        {&motor->winding_inductance, more->winding_inductance, "winding inductance"},
        {&motor->drag_torque.constant, more->drag_torque.constant, "constant drag torque"},
        {&motor->drag_torque.linear, more->drag_torque.linear, "linear drag torque"},
        {&motor->drag_torque.quadratic, more->drag_torque.quadratic, "quadratic drag torque"},
        {&motor->inertia, more->inertia, "inertia"},
        {&motor->brush_drop, more->brush_drop, "brush drop"},
    };
    sw_status status = SW_OK;
    for (size_t i = 0; i < sizeof rows / sizeof *rows && status == SW_OK; i++)
        status = join(rows[i].kept, rows[i].more, rows[i].what, error);
    return status;
}

/* Brushes are sure now, and their volts known. */
static void unwarn_direct(sw_motor *motor) {
    sw_motor_unwarn(motor, SW_WARN_DC_BLOCKED);
    sw_motor_unwarn(motor, SW_WARN_STEADY_VOLTAGE);
    sw_motor_unwarn(motor, SW_WARN_FREEWHEEL);
}

sw_status sw_motor_merge(sw_motor *motor, const sw_motor *more, sw_error *error) {
    sw_motor joined = *motor;
    if (more->kind == SW_BRUSHED && joined.kind == SW_MAGNET_AC &&
        sw_quantity_known(joined.volts_per_hertz))
        return sw_fail(error, SW_MISMATCH,
                       "the saved motor gives alternating current, this evidence direct "
                       "current; is it the same motor?");
    if (more->kind == SW_BRUSHED)
        joined.kind = SW_BRUSHED;
    sw_status status = join_values(&joined, more, error);
    if (status != SW_OK)
        return status;
    status = join_sources(&joined, more, error);
    if (status != SW_OK)
        return status;
    join_facts(&joined, more);
    replace(&joined.phase_angle, more->phase_angle);
    replace(&joined.balance, more->balance);
    replace(&joined.electrical_frequency, more->electrical_frequency);
    replace(&joined.speed, more->speed);
    replace(&joined.form_factor, more->form_factor);
    replace(&joined.crest_factor, more->crest_factor);
    replace(&joined.distortion, more->distortion);
    replace(&joined.temperature, more->temperature);
    replace(&joined.drag_torque.middle_speed, more->drag_torque.middle_speed);
    replace(&joined.drag_torque.middle_torque, more->drag_torque.middle_torque);
    replace(&joined.cogging_torque, more->cogging_torque); /* always by hand */
    replace(&joined.copper_mass, more->copper_mass);
    replace(&joined.diameter, more->diameter);
    replace(&joined.length, more->length);
    replace(&joined.mass, more->mass);
    replace(&joined.limit_temperature, more->limit_temperature);
    replace(&joined.limit_speed, more->limit_speed);
    replace(&joined.limit_current, more->limit_current);
    replace(&joined.nameplate_power, more->nameplate_power);
    sw_pole_pairs poles = joined.pole_pairs;
    join_poles(&poles, &more->pole_pairs);
    if (more->pole_pairs.candidates > 0 || more->pole_pairs.value > 0)
        sw_motor_set_poles(&joined, &poles);
    join_warnings(&joined, more);
    if (joined.kind == SW_BRUSHED && sw_quantity_known(joined.voltage_constant))
        unwarn_direct(&joined);
    sw_recount_warn(&joined);
    sw_motor_derive(&joined);
    *motor = joined;
    return SW_OK;
}
