/* The magnet ring as the terminals see it: strength and placement of every pole. */
#ifndef SPINWORTH_MEASURE_RING_H
#define SPINWORTH_MEASURE_RING_H

#include "shared/motor.h"
#include "shared/status.h"
#include "src/measure/signal/cycles.h"
#include "src/measure/signal/track.h"

typedef struct sw_ring_source {
    const sw_cycles *cycles;
    const sw_track *track;
    int pole_pairs;     /* >= 1 */
    double mark_cycles; /* track angle at which a mark on the rotor passes; NaN = none */
    double lowest_hz;   /* slower cycles do not count */
} sw_ring_source;

/* ring->poles stays 0 where the record has fewer than three turns. */
sw_status sw_ring_map(const sw_ring_source *source, sw_magnet_ring *ring, sw_error *error);

/* Say in the record which pole is weak, or that the ring is uneven. */
void sw_ring_judge(sw_motor *motor);

#endif
