/* Random numbers of the simulator: one stream a purpose, so that a change in one part (more
 * noise, say) leaves the others (the magnets) as they were. */
#ifndef SPINWORTH_PROBES_SIMULATE_DRAW_H
#define SPINWORTH_PROBES_SIMULATE_DRAW_H

#include <gsl/gsl_rng.h>

typedef enum sw_sim_stream {
    SW_SIM_STREAM_FAMILY,
    SW_SIM_STREAM_RING,
    SW_SIM_STREAM_COILS,
    SW_SIM_STREAM_SPIN,
    SW_SIM_STREAM_NOISE,
    SW_SIM_STREAM_PROFILE,
    SW_SIM_STREAM_TACH,
    SW_SIM_STREAM_TAPS,
    SW_SIM_STREAM_PERSON
} sw_sim_stream;

/* NULL when out of memory; gsl_rng_free releases it. */
gsl_rng *sw_draw_new(unsigned long seed, sw_sim_stream stream);

double sw_draw_between(gsl_rng *random, double low, double high);
/* Evenly on a logarithmic scale: for values that span factors. */
double sw_draw_log(gsl_rng *random, double low, double high);
double sw_draw_normal(gsl_rng *random, double sd);
/* Normal, cut at three standard deviations: for tolerances that are inspected. */
double sw_draw_tolerance(gsl_rng *random, double sd);

#endif
