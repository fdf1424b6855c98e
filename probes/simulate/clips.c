/* Where the clips are: which combination of phase EMFs each channel sees.
 *
 * In star the EMF between two wires is the difference of two phases. In delta it is one phase
 * less the zero-sequence part, which drives the circulating current and drops inside: with equal
 * impedances and open wires, v = e - (e_A + e_B + e_C) / 3.
 */
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
                      (front->between == SW_SIM_BETWEEN_AUTOMATIC && front->channels == 3);
    if (star_point)
        return (clip_pair){channel, -1};
    if (front->channels == 2 && !front->isolated)
        return THIRD_WIRE[channel];
    return ROUND[channel];
}

static void star_weights(clip_pair pair, double weights[SW_SIM_PHASE_LIMIT]) {
    weights[pair.plus] += 1;
    if (pair.minus >= 0)
        weights[pair.minus] -= 1;
}

/* Winding k of a delta lies between wires k and k + 1. */
static void delta_weights(clip_pair pair, double weights[SW_SIM_PHASE_LIMIT]) {
    bool forwards = (pair.plus + 1) % 3 == pair.minus;
    int winding = forwards ? pair.plus : pair.minus;
    double sign = forwards ? 1 : -1;
    for (int phase = 0; phase < 3; phase++)
        weights[phase] = sign * ((phase == winding) - 1.0 / 3);
}

static sw_status three_phase(const sw_sim_spec *spec, int channel,
                             double weights[SW_SIM_PHASE_LIMIT], sw_error *error) {
    const sw_sim_front *front = &spec->front;
    clip_pair pair = pair_of(front, channel);
    if (front->between == SW_SIM_BETWEEN_WINDINGS)
        return sw_fail(error, SW_UNSUPPORTED,
                       "three phases joined inside have no separate windings to record");
    if (front->channels == 3 && pair.minus >= 0 && !front->isolated)
        return sw_fail(error, SW_UNSUPPORTED,
                       "three channels with a common ground cannot record three line pairs: "
                       "record two against the third wire, or use the star point");
    if (pair.minus < 0 && spec->motor.delta)
        return sw_fail(error, SW_UNSUPPORTED, "a delta winding has no star point to record from");
    if (spec->motor.delta)
        delta_weights(pair, weights);
    else
        star_weights(pair, weights);
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
    weights[channel] = 1;
    return SW_OK;
}
