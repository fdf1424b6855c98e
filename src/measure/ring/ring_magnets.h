/* From the ring as the terminals see it to the magnets themselves, where slots and poles are
 * known. */
#ifndef SPINWORTH_MEASURE_RING_MAGNETS_H
#define SPINWORTH_MEASURE_RING_MAGNETS_H

#include "shared/motor.h"

#include <stdbool.h>

typedef struct sw_stator {
    int slots;
    int poles;
    int phases;       /* 1 to 3 */
    bool one_winding; /* recorded across one phase; else, with three, between two of them */
} sw_stator;

/* What a magnet does to each pole of the map: response[m] is the change of pole h by one of magnet
 * h + m, their sum 1. False when these slots and poles give no winding of so many phases. */
bool sw_stator_response(const sw_stator *stator, double *response);

/* Fills what the ring says of its magnets: visible_share, smallest_weak, one weak magnet, how much
 * they differ, and whether one side is weaker. */
void sw_ring_magnets(const sw_stator *stator, sw_magnet_ring *ring);

/* ring_spread.c: magnet_spread, spoiled and one_side, as far as the winding shows them. */
void sw_ring_spread(const double *response, sw_magnet_ring *ring);

#endif
