/* Pole pairs from the cycles and what is known of the speed, and the speed that follows. A gear
 * stands between the shaft whose speed is told and the magnets: everything here is at the magnets.
 */
#include "src/measure/analysis.h"

#include <math.h>

static const double turns_u = 0.25; /* of a count */

/* Cycles a turn from the tachometer are a measured speed; one that was typed in must agree. */
static void use_tach(const sw_analysis *a, sw_speed_evidence *evidence) {
    if (a->tach.marks == 0)
        return;
    sw_quantity cycles = a->tach_count.cycles;
    if (a->tach_count.turns == 0) {
        sw_motor_warn(a->motor, SW_WARN_SPEED_DOUBTFUL,
                      "the tachometer's channel shows %zu marks that do not follow the motor's "
                      "frequency: it is not used. Check the sensor and --tach-channel",
                      a->tach.count);
        return;
    }
    double rpm = 60.0 * a->motor->electrical_frequency.value / cycles.value;
    double u = rpm * cycles.u / cycles.value;
    double stated = evidence->speed.value;
    if (sw_quantity_known(evidence->speed) &&
        fabs(stated - rpm) > 4.0 * sw_quantity_u_or(evidence->speed, 0.01) + 0.005 * rpm)
        sw_motor_warn(a->motor, SW_WARN_SPEED_DOUBTFUL,
                      "the tachometer's marks make %.1f rpm, but %.1f rpm was given; the "
                      "tachometer counts",
                      rpm, stated);
    evidence->speed = sw_quantity_of(rpm, u, "rpm");
    evidence->about_rpm = NAN; /* a guess has nothing to add to a count */
    double at_magnets = cycles.value / (a->request->gear > 0.0 ? a->request->gear : 1.0);
    if (fabs(at_magnets - round(at_magnets)) > fmax(0.1, 0.01 * at_magnets))
        sw_motor_warn(a->motor, SW_WARN_SPEED_DOUBTFUL,
                      "the tachometer counts %.3f cycles a turn, which is no whole number of pole "
                      "pairs: a gear between (--gear), or another number of --marks",
                      at_magnets);
}

static sw_speed_evidence at_magnets(const sw_analysis *a) {
    sw_speed_evidence evidence = a->request->evidence;
    use_tach(a, &evidence);
    double gear = a->request->gear > 0.0 ? a->request->gear : 1.0;
    const sw_cycles *cycles = &a->trace[a->lead].cycles;
    evidence.speed.value *= gear;
    evidence.speed.u *= gear;
    evidence.about_rpm *= gear;
    evidence.turns *= gear;
    evidence.turns_u *= gear;
    evidence.frequency_hz = a->motor->electrical_frequency.value;
    evidence.cycles_in_all = (double)cycles->count;
    evidence.phases = a->motor->phases;
    return evidence;
}

/* A speed that contradicts the answer is told. */
static void compare(const sw_analysis *a, sw_quantity stated) {
    sw_quantity found = a->motor->speed;
    double u = hypot(sw_quantity_u_or(stated, 0.01), sw_quantity_u_or(found, 0.001));
    if (fabs(found.value - stated.value) > 4.0 * u + 0.005 * stated.value)
        sw_motor_warn(a->motor, SW_WARN_SPEED_DOUBTFUL,
                      "%.4g Hz and %d pole pairs make %.1f rpm, but %.1f rpm was given",
                      a->motor->electrical_frequency.value, a->motor->pole_pairs.value, found.value,
                      stated.value);
}

/* Turns that were counted make no whole number of pole pairs: a miscount. The record is then asked
 * without them, for a wrong count would only lead to more counting. */
static sw_status doubt_turns(sw_analysis *a, sw_speed_evidence *evidence, sw_error *error) {
    sw_motor *motor = a->motor;
    double cycles = evidence->cycles_in_all;
    double pairs = cycles / evidence->turns;
    double u =
        pairs * (isfinite(evidence->turns_u) ? evidence->turns_u : turns_u) / evidence->turns;
    double off = fabs(pairs - round(pairs));
    if (!(evidence->turns > 0.0) || u > 0.12 || off < 2.0 * u + 0.03 || motor->pole_pairs.value > 0)
        return SW_OK;
    double turns = evidence->turns;
    evidence->turns = NAN;
    sw_status status =
        sw_poles_estimate(&a->trace[a->lead].cycles, evidence, &motor->pole_pairs, error);
    if (status != SW_OK)
        return status;
    /* Which count would fit is not said: it would come back as one. */
    sw_motor_warn(motor, SW_WARN_SPEED_DOUBTFUL,
                  "%.4g turns make %.2f pole pairs of the %.0f cycles, no whole number: the count "
                  "is left out. Spin it again and count from first to last movement",
                  turns, pairs, cycles);
    return SW_OK;
}

sw_status sw_speed_tell(sw_analysis *analysis, sw_error *error) {
    sw_motor *motor = analysis->motor;
    if (analysis->tach.marks > 0) {
        sw_status read =
            sw_tach_compare(&analysis->tach, &analysis->track, &analysis->tach_count, error);
        if (read != SW_OK)
            return read;
    }
    sw_speed_evidence evidence = at_magnets(analysis);
    sw_status status = sw_poles_estimate(&analysis->trace[analysis->lead].cycles, &evidence,
                                         &motor->pole_pairs, error);
    if (status == SW_OK)
        status = doubt_turns(analysis, &evidence, error);
    if (status != SW_OK)
        return status;
    sw_quantity hz = motor->electrical_frequency;
    bool stated = sw_quantity_known(evidence.speed);
    if (motor->pole_pairs.value > 0) {
        double per_pair = 60.0 / motor->pole_pairs.value;
        motor->speed = sw_quantity_of(hz.value * per_pair, hz.u * per_pair, "rpm");
        if (stated)
            compare(analysis, evidence.speed);
    } else if (stated) {
        motor->speed = evidence.speed;
    }
    return SW_OK;
}
