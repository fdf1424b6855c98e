/* What stands between the winding and the samples: divider, clamps, AC coupling, noise, hum,
 * offset, automatic level, clipping, rounding. */
#ifndef SPINWORTH_PROBES_SIMULATE_FRONT_H
#define SPINWORTH_PROBES_SIMULATE_FRONT_H

#include "probes/simulate/spec.h"

#include <gsl/gsl_rng.h>
#include <stddef.h>

enum { SW_FRONT_FLICKERS = 3, SW_FRONT_HUMS = 4 };

/* One pole, exact for input that is straight between the samples. */
typedef struct sw_one_pole {
    double keep;
    double old;
    double new;
    double input;
    double output;
} sw_one_pole;

typedef struct sw_front_channel {
    sw_one_pole loading;
    sw_one_pole low; /* the low cut is the input less this */
    double flicker[SW_FRONT_FLICKERS];
} sw_front_channel;

typedef struct sw_front {
    const sw_sim_front *spec; /* borrowed */
    gsl_rng *random;          /* borrowed */
    double step_s;
    double load_gain;
    double clamp_slope;   /* of the clamps' exponential, units of full scale */
    double clamp_current; /* share taken at sinh(1) */
    double hum_phase[SW_FRONT_HUMS];
    double level; /* envelope that the automatic level sees */
    double gain;
    size_t clipped;
    size_t clamped;
    size_t samples;
    sw_front_channel channel[SW_SIM_PHASE_LIMIT];
} sw_front;

void sw_front_start(sw_front *front, const sw_sim_spec *spec, gsl_rng *random);

/* volts[channels] at the bare winding at time_s become samples[channels]. */
void sw_front_sample(sw_front *front, double time_s, const double *volts, double *samples);

/* What the divider leaves of a slow EMF: input / (input + winding). */
double sw_front_load_gain(const sw_sim_spec *spec);

#endif
