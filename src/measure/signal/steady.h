/* The steadiest stretch of a recording and the frequency there, as exactly as the noise allows. */
#ifndef SPINWORTH_MEASURE_STEADY_H
#define SPINWORTH_MEASURE_STEADY_H

#include "shared/quantity.h"
#include "shared/status.h"
#include "src/measure/signal/cycles.h"
#include "src/measure/signal/signal.h"

#include <stddef.h>

typedef struct sw_stretch {
    size_t first; /* cycles first .. last, both included */
    size_t last;
    double from_s;
    double to_s;
    double spread; /* (highest - lowest) / mean frequency of its cycles, smoothed */
    double wobble; /* rms of the relative deviation of frequency beyond the noise */
} sw_stretch;

/* The longest run whose frequency keeps within a few per cent. */
sw_stretch sw_steady_stretch(const sw_cycles *cycles);

/* Frequency of a stretch, which may be widened to the ends of the record. */
sw_status sw_steady_refine(const sw_signal *signal, const sw_cycles *cycles, sw_stretch *stretch,
                           sw_quantity *frequency, sw_error *error);

#endif
