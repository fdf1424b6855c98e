/* A recording seen in the cycle domain: one row per electrical cycle of one channel.
 *
 * Whatever repeats once a shaft turn (magnets that differ, run-out, a chuck that wobbles) is a
 * line at k/p cycles^-1 here, whatever the speed does. The track (track.h) makes it; the pole
 * estimator (poles.h), the voltage constant and the ring map read it.
 */
#ifndef SPINWORTH_MEASURE_CYCLES_H
#define SPINWORTH_MEASURE_CYCLES_H

#include "shared/status.h"

#include <stdbool.h>
#include <stddef.h>

enum { SW_CYCLE_POINTS = 32 };

typedef struct sw_cycle {
    double start_s;    /* time of the fundamental's upward zero crossing */
    double length_s;   /* to the next one */
    double flux;       /* fundamental amplitude over frequency, peak V/Hz, low cut taken out */
    double flux_u;     /* standard uncertainty from the noise floor */
    double length_u_s; /* standard uncertainty of length_s from the noise floor */
    double shape[SW_CYCLE_POINTS]; /* the wave over its own frequency (V/Hz) at equal steps of
                                      electrical angle, low cut taken out */
    double shape_u; /* standard uncertainty of one shape point from the noise floor */
    bool cut;       /* its crests are cut off, and there are others: it tells no volts */
} sw_cycle;

/* Unbroken runs only: cycle i + 1 follows cycle i. A recording with gaps gives several. */
typedef struct sw_cycles {
    size_t count;
    sw_cycle *cycle; /* owned */
} sw_cycles;

struct sw_signal;
struct sw_kernel;
struct sw_track;

/* What the cycles are made of. */
typedef struct sw_cycle_source {
    const struct sw_track *track;
    const struct sw_signal *signal; /* its low cut moved to low_cut_hz */
    const struct sw_kernel *kernel;
    double low_cut_hz;       /* what is left of it; 0 = none */
    double input_low_cut_hz; /* of the input: noise below it was raised with the signal */
    double noise_density;    /* one-sided, V^2/Hz, at the input */
} sw_cycle_source;

/* Every whole cycle on the track. */
sw_status sw_cycles_new(const sw_cycle_source *source, sw_cycles *cycles, sw_error *error);
void sw_cycles_free(sw_cycles *cycles);

#endif
