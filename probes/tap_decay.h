/* The settled stretches between a battery's contacts: decays of one low cut about one offset. */
#ifndef SPINWORTH_PROBES_TAP_DECAY_H
#define SPINWORTH_PROBES_TAP_DECAY_H

#include "probes/tap_edges.h"

/* Block means of the settled signal; level at time 0 (begin) is fitted. */
typedef struct sw_tap_stretch {
    size_t begin; /* samples of the recording */
    size_t end;
    size_t first; /* blocks of the series */
    size_t count;
} sw_tap_stretch;

typedef struct sw_tap_series {
    double *value; /* owned: block means */
    double block_s;
    double middle_s;         /* of the first block, from the first sample of the stretch */
    sw_tap_stretch *stretch; /* owned; one before each group and one after the last */
    size_t stretches;
} sw_tap_series;

/* The stretches of the groups, copied; rate_hz > 0. The caller frees. SW_MEMORY. */
sw_status sw_tap_series_new(const double *samples, size_t count, double rate_hz,
                            const sw_tap_group *groups, size_t found, sw_tap_series *series,
                            sw_error *error);
void sw_tap_series_free(sw_tap_series *series);

/* Least squares v = offset + level exp(-w t) in all stretches: w in 1/s (0: the level stays, a
 * DC-coupled input) and the common offset. SW_NO_CONVERGENCE when no w fits best. */
sw_status sw_tap_decay_fit(const sw_tap_series *series, double *w, double *offset, sw_error *error);

/* The same for one stretch with the offset known, near w. */
double sw_tap_decay_one(const sw_tap_series *series, size_t stretch, double offset, double w);

/* Level at the begin of a stretch. */
double sw_tap_level(const sw_tap_series *series, size_t stretch, double w, double offset);

/* What the one low cut leaves unexplained, as a share of the steps: the rms of the mean residual
 * of the listed stretches over heights, 0 when it does not stand out of their scatter. */
double sw_tap_misfit(const sw_tap_series *series, const size_t *stretches, const double *heights,
                     size_t count, double w, double offset);

#endif
