/* A channel read at equal steps of electrical angle. Here a harmonic is a line at its order, and a
 * window of whole cycles tells harmonics apart exactly, whatever the speed does. */
#ifndef SPINWORTH_MEASURE_GRID_H
#define SPINWORTH_MEASURE_GRID_H

#include "shared/status.h"
#include "src/measure/signal/signal.h"
#include "src/measure/signal/track.h"

#include <complex.h>
#include <stddef.h>

typedef struct sw_grid {
    double from_cycles; /* angle of value[0] */
    size_t per_cycle;
    size_t count;
    double *value; /* owned */
} sw_grid;

/* The signal at even angles of the track, per_cycle of them a cycle; the caller frees. SW_MEMORY.
 */
sw_status sw_grid_new(const sw_track *track, const sw_signal *signal, const sw_kernel *kernel,
                      double from_cycles, double to_cycles, size_t per_cycle, sw_grid *grid,
                      sw_error *error);
void sw_grid_free(sw_grid *grid);

/* Amplitude times exp(i angle), relative to cos(order x angle), of what is at `order` (need not be
 * whole) around a point, in a Hann window of +-reach points. Points outside the grid count as zero.
 */
double complex sw_grid_demodulate(const sw_grid *grid, size_t point, size_t reach, double order);

/* The fundamental around a point whose Hann window of +-one cycle hangs over an end of the grid:
 * weighted least squares of offset and harmonics to what is inside, at least half a cycle to each
 * side. */
double complex sw_grid_near_end(const sw_grid *grid, size_t point);

#endif
