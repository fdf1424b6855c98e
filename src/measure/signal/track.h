/* The electrical angle over time: a smooth curve that follows ramp, hold and run-down, on which
 * everything else is demodulated. Angles are counted in cycles, times in s from the first sample.
 */
#ifndef SPINWORTH_MEASURE_TRACK_H
#define SPINWORTH_MEASURE_TRACK_H

#include "shared/status.h"
#include "src/measure/signal/path.h"
#include "src/measure/signal/signal.h"

#include <stddef.h>

typedef struct sw_knot {
    double cycles; /* rising */
    double time_s; /* rising */
    double frequency_hz;
} sw_knot;

/* Time as a cubic Hermite curve of the angle. */
typedef struct sw_track {
    size_t count; /* knots, >= 2 when there is a track, 0 when there is none */
    sw_knot *knot;
} sw_track;

/* Room for so many knots, all zero; the caller frees. SW_MEMORY. */
sw_status sw_track_new(size_t knots, sw_track *track, sw_error *error);
void sw_track_free(sw_track *track);

/* Time at an angle and frequency there, also a little outside the track. *hint speeds up a walk in
 * rising order; start with 0. */
double sw_track_time(const sw_track *track, double cycles, size_t *hint);
double sw_track_frequency(const sw_track *track, double cycles, size_t *hint);

/* The angle at a time. */
double sw_track_cycles(const sw_track *track, double time_s);

#endif
