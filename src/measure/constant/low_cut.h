/* The input's low cut from the record itself: over a ramp or a run-down, what the input takes off
 * at low frequencies shows in the volts per hertz. */
#ifndef SPINWORTH_MEASURE_LOW_CUT_H
#define SPINWORTH_MEASURE_LOW_CUT_H

#include "shared/quantity.h"
#include "shared/status.h"
#include "src/measure/analysis.h"
#include "src/measure/signal/cycles.h"

typedef struct sw_low_cut {
    bool found;         /* the record covers frequencies enough */
    double square_hz2;  /* of the low cut that fits; below zero when the volts rise downwards */
    double square_u;    /* standard uncertainty */
    sw_quantity cut_hz; /* "Hz"; unknown when the square is not above zero */
} sw_low_cut;

/* profile_hz is the low cut that was taken out of the cycles; a few cycles are averaged before
 * the fit (a turn where the pole pairs are known, 0 = not, and few: the ring scatters less then).
 */
sw_status sw_low_cut_fit(const sw_cycles *cycles, double profile_hz, size_t pole_pairs,
                         sw_low_cut *found, sw_error *error);

/* Warn where the record contradicts the profile, and offer the correction. */
sw_status sw_low_cut_check(sw_analysis *analysis, sw_error *error);

#endif
