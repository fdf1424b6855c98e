/* The steadiest stretch of an alternating voltage, roughly: for comparing it with a meter. */
#ifndef SPINWORTH_PROBES_STEADY_RUN_H
#define SPINWORTH_PROBES_STEADY_RUN_H

#include "shared/status.h"

#include <stddef.h>

typedef struct sw_steady_run {
    size_t begin; /* samples */
    size_t end;
    double frequency_hz; /* to some tenths of a per cent */
} sw_steady_run;

/* Half-second windows whose frequency and size stay together (1.5 %, 4 %): the longest run of
 * them. SW_TOO_SHORT when none lasts a second. */
sw_status sw_steady_run_find(const double *samples, size_t count, double rate_hz,
                             sw_steady_run *run, sw_error *error);

#endif
