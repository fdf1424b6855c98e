/* Samples made fit for analysis: infinite (clipped) cells and empty cells replaced and counted,
 * flat tops found, the quantisation step guessed from the levels that occur. */
#ifndef SPINWORTH_PROBES_CLEAN_H
#define SPINWORTH_PROBES_CLEAN_H

#include <stddef.h>

/* Of one channel; start from {.full_scale = ..., .step = ...}. */
typedef struct sw_cleaner {
    double full_scale; /* 0 = not known */
    double step;       /* 0 = not known */
    size_t clipped;    /* infinite, or at full scale */
    size_t missing;    /* NaN */
    double low;        /* extremes of what was finite */
    double high;
    double last; /* last value filled or passed on */
    int started; /* last is set */
    int seen;    /* a finite value was there */
} sw_cleaner;

/* Replace infinite samples by the extreme on their side and NaN by a straight line between its
 * neighbours (held at the ends). Call once for a whole channel, or block by block. */
void sw_clean(sw_cleaner *cleaner, double *samples, size_t count);

/* Samples that stand at the very top or bottom in runs, where a wave that was not cut off would
 * have left only a few; 0 when it was not cut off. All samples must be finite. */
size_t sw_flat_tops(const double *samples, size_t count, double step);

/* Quantisation step from a sample of values (reordered): the spacing that all differences are
 * multiples of; 0 when there is none. Infinite and NaN values are passed over. */
double sw_step_of(double *values, size_t count);

#endif
