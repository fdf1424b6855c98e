/* Where a battery's contact closes and opens in a recording. */
#ifndef SPINWORTH_PROBES_TAP_EDGES_H
#define SPINWORTH_PROBES_TAP_EDGES_H

#include "shared/status.h"

#include <stddef.h>

/* From the first to the last bounce of one make or break, and a little either side. */
typedef struct sw_tap_group {
    size_t begin;
    size_t end; /* > begin; the signal is settled from here to the next group's begin */
} sw_tap_group;

/* share: the smallest step that counts over the largest, (0, 1]. The caller frees *groups.
 * SW_TOO_SHORT when no edge stands out of the noise. */
sw_status sw_tap_groups(const double *samples, size_t count, double rate_hz, double share,
                        sw_tap_group **groups, size_t *found, sw_error *error);

#endif
