/* Where the clips are: which combination of phase EMFs each channel sees.
 *
 * In star the EMF between two wires is the difference of two phases. In delta it is one phase
 * less the zero-sequence part, which drives the circulating current and drops inside: with equal
 * impedances and open wires, v = e - (e_A + e_B + e_C) / 3.
 */
#include "probes/simulate/faults.h"
#include "probes/simulate/machine.h"

#include <string.h>

/* Wires are numbered 0, 1, 2; -1 is the star point. */
typedef struct clip_pair {
    int plus;
    int minus;
} clip_pair;

static clip_pair pair_of(const sw_sim_front *front, int channel) {
    static const clip_pair THIRD_WIRE[] = {{0, 2}, {1, 2}};
    static const clip_pair ROUND[] = {{0, 1}, {1, 2}, {2, 0}};
    bool star_point = front->between == SW_SIM_BETWEEN_STAR_POINT ||
                      front->between == SW_SIM_BETWEEN_WINDINGS ||
                      (front->between == SW_SIM_BETWEEN_AUTOMATIC && front->channels == 3);
    if (star_point)
        return (clip_pair){channel, -1};
    if (front->channels == 2 && !front->isolated)
        return THIRD_WIRE[channel];
    return ROUND[channel];
}

/* Through a broken phase no current flows: its wire floats, and an input across it shows nothing.
 */
static void star_between(const sw_sim_motor *motor, int plus, int minus, double *weights) {
    int broken = sw_sim_fault_broken(motor);
    if (broken >= 0 && (plus == broken || minus == broken))
        return;
    weights[plus] += 1;
    if (minus >= 0)
        weights[minus] -= 1;
}

/* Winding k of a delta lies between wires k and k + 1. Where it is broken the other two stand in
 * series across its ends, and no current circles. */
static void delta_between(const sw_sim_motor *motor, int plus, int minus, double *weights) {
    bool forwards = (plus + 1) % 3 == minus;
    int winding = forwards ? plus : minus;
    double sign = forwards ? 1 : -1;
    int broken = sw_sim_fault_broken(motor);
    for (int phase = 0; phase < 3; phase++) {
        double own = phase == winding ? 1 : 0;
        if (broken < 0)
            weights[phase] += sign * (own - 1.0 / 3);
        else if (winding != broken)
            weights[phase] += sign * own;
        else
            weights[phase] -= phase == broken ? 0 : sign;
    }
}

void sw_clips_between(const sw_sim_motor *motor, int plus, int minus,
                      double weights[SW_SIM_PHASE_LIMIT]) {
    if (motor->delta)
        delta_between(motor, plus, minus, weights);
    else
        star_between(motor, plus, minus, weights);
}

static sw_status three_phase(const sw_sim_spec *spec, int channel,
                             double weights[SW_SIM_PHASE_LIMIT], sw_error *error) {
    const sw_sim_front *front = &spec->front;
    clip_pair pair = pair_of(front, channel);
    if (front->channels == 3 && pair.minus >= 0 && !front->isolated)
        return sw_fail(error, SW_UNSUPPORTED,
                       "three channels with a common ground cannot record three line pairs: "
                       "record two against the third wire, or use the star point");
    bool windings = front->between == SW_SIM_BETWEEN_WINDINGS;
    if (pair.minus < 0 && spec->motor.delta && !windings)
        return sw_fail(error, SW_UNSUPPORTED, "a delta winding has no star point to record from");
    if (pair.minus < 0)
        star_between(&spec->motor, pair.plus, pair.minus, weights);
    else
        sw_clips_between(&spec->motor, pair.plus, pair.minus, weights);
    return SW_OK;
}

sw_status sw_clips_weights(const sw_sim_spec *spec, int channel, double weights[SW_SIM_PHASE_LIMIT],
                           sw_error *error) {
    memset(weights, 0, SW_SIM_PHASE_LIMIT * sizeof *weights);
    int phases = spec->motor.phases;
    if (spec->front.swapped && spec->front.channels > 1 && channel < 2)
        channel = 1 - channel;
    if (phases == 3)
        return three_phase(spec, channel, weights, error);
    if (channel >= phases)
        return sw_fail(error, SW_UNSUPPORTED,
                       "%d channels were wanted, but the motor has %d winding%s to record",
                       spec->front.channels, phases, phases == 1 ? "" : "s");
    if (spec->front.between == SW_SIM_BETWEEN_STAR_POINT)
        return sw_fail(error, SW_UNSUPPORTED, "only three phases have a star point");
    weights[channel] = channel == sw_sim_fault_broken(&spec->motor) ? 0 : 1;
    return SW_OK;
}
