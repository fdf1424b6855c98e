/* Cycles as a motor in a hand drill would give them, made directly in the cycle domain: a ring of
 * magnets that differ, a winding by the star of slots, a spindle that ramps, wobbles, ripples and
 * coasts, gear lines that are not locked to the shaft, and noise. For tests of the pole
 * estimator alone; nothing of it is shared with the estimator. */
#ifndef SPINWORTH_TESTS_MEASURE_SUPPORT_POLES_H
#define SPINWORTH_TESTS_MEASURE_SUPPORT_POLES_H

#include "src/measure/signal/cycles.h"

#include <gsl/gsl_rng.h>

typedef struct model_family {
    const char *name;
    int phases;
    int pole_pairs;
    int slots; /* coils round single teeth; 0: one coil that sees everything alike (t = p) */
} model_family;

typedef struct model_motor {
    model_family family;
    double strength_spread; /* standard deviation of magnet strength, relative */
    double place_spread;    /* of magnet position, in pole pitches */
    double runout;          /* once a turn, relative, of gap at the rotor and at the stator */
    double hold_rpm;
    double ramp_s, hold_s, coast_s;
    double wobble, wobble_hz; /* relative; bandwidth */
    double ripple[2];         /* relative, once and twice a turn */
    double gear[2], gear_ratio[2];
    double noise; /* of a shape point at hold_rpm over the amplitude */
} model_motor;

const model_family *model_families(size_t *count);
model_motor model_draw(const model_family *family, gsl_rng *random);
/* frequency_hz: electrical, mean over the hold. The caller frees cycles. */
void model_cycles(const model_motor *motor, gsl_rng *random, sw_cycles *cycles,
                  double *frequency_hz);

#endif
