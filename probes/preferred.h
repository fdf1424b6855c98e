/* Preferred numbers (IEC 60063) from the reference table. */
#ifndef SPINWORTH_PROBES_PREFERRED_H
#define SPINWORTH_PROBES_PREFERRED_H

#include "shared/status.h"

#include <stddef.h>

enum { SW_PREFERRED_LIMIT = 32 };

typedef struct sw_preferred {
    size_t count;
    double value[SW_PREFERRED_LIMIT]; /* one decade, 10 .. 91, ascending */
    double tolerance;                 /* relative, either way: 0.05 */
} sw_preferred;

/* A series of reference_dir/e_series.json by name ("E24", "E6"). */
sw_status sw_preferred_read(const char *reference_dir, const char *name, sw_preferred *series,
                            sw_error *error);

/* The largest member not above wanted (> 0), the smallest one not below it. */
double sw_preferred_below(const sw_preferred *series, double wanted);
double sw_preferred_above(const sw_preferred *series, double wanted);

#endif
