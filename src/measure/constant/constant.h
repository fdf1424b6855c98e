/* Flux over the whole record: the voltage constant that needs no speed. */
#ifndef SPINWORTH_MEASURE_CONSTANT_H
#define SPINWORTH_MEASURE_CONSTANT_H

#include "shared/quantity.h"
#include "shared/status.h"
#include "src/measure/signal/cycles.h"

#include <stddef.h>

typedef struct sw_constant {
    size_t used;          /* cycles that count: whole, above half the low cut */
    sw_quantity peak;     /* "V/Hz", peak of the fundamental; u from the scatter alone */
    double low_cut_slope; /* d ln(peak) / d low cut, 1/Hz */
    double drift;         /* relative change of flux over the range of frequencies used */
    double drift_u;
    double f_low_hz; /* range of frequencies used */
    double f_high_hz;
} sw_constant;

/* low_cut_hz is the input's; its correction is in the cycles already. SW_TOO_SHORT when no two
 * cycles are above half of it. */
sw_status sw_constant_fit(const sw_cycles *cycles, double low_cut_hz, sw_constant *constant,
                          sw_error *error);

#endif
