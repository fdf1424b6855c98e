/* The commutator's ripple on a brushed motor's voltage: how many periods a turn. */
#ifndef SPINWORTH_MEASURE_RIPPLE_H
#define SPINWORTH_MEASURE_RIPPLE_H

#include "shared/quantity.h"
#include "src/measure/signal/signal.h"

typedef struct sw_ripple {
    int per_turn;    /* 0 = nothing stands out */
    double relative; /* amplitude over the mean voltage */
} sw_ripple;

/* volts is DC-coupled, its mean put back; volts_per_rpm > 0, its u that of the
 * speed alone. From from_s to to_s the motor turns.
 */
sw_status sw_ripple_find(const sw_signal *volts, double offset_v, double from_s, double to_s,
                         sw_quantity volts_per_rpm, sw_ripple *ripple, sw_error *error);

#endif
