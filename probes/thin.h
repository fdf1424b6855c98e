/* Low-pass and decimate a stream: what makes a very long recording fit into memory. */
#ifndef SPINWORTH_PROBES_THIN_H
#define SPINWORTH_PROBES_THIN_H

#include "shared/status.h"

#include <stddef.h>

typedef struct sw_thinner sw_thinner;

/* Keep one of `factor` (>= 2) samples of one channel. Flat to 0.4 of the new rate, 80 dB down from
 * half the new rate on, no delay. */
sw_status sw_thinner_new(size_t factor, sw_thinner **thinner, sw_error *error);
void sw_thinner_free(sw_thinner *thinner);

/* Push `count` samples; out gets what can be told so far, room >= count / factor + 2. Returns how
 * many were written. All samples must be finite. */
size_t sw_thinner_push(sw_thinner *thinner, const double *samples, size_t count, double *out);

/* The rest after the last push: sw_thinner_left samples. */
size_t sw_thinner_flush(sw_thinner *thinner, double *out);

/* Samples that a flush would write now. */
size_t sw_thinner_left(const sw_thinner *thinner);

#endif
