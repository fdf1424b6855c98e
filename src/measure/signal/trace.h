/* One channel of a recording on its way through the analysis. */
#ifndef SPINWORTH_MEASURE_TRACE_H
#define SPINWORTH_MEASURE_TRACE_H

#include "shared/quantity.h"
#include "shared/waveform.h"
#include "src/measure/constant/constant.h"
#include "src/measure/constant/shape.h"
#include "src/measure/signal/cycles.h"
#include "src/measure/signal/signal.h"
#include "src/measure/signal/track.h"

typedef struct sw_trace {
    sw_signal full;       /* V at the terminals, mean taken off */
    sw_signal fine;       /* the same, thinned to what the harmonics need */
    sw_signal flat;       /* fine with the low cut moved down to what_is_left_hz */
    double offset_v;      /* mean taken off */
    double low_cut_hz;    /* of the input */
    double left_hz;       /* low cut left in `flat` */
    double noise_density; /* V^2/Hz, one-sided, at the input */
    sw_cycles cycles;
    sw_constant constant;
    sw_spectrum spectrum;
} sw_trace;

/* Samples into volts; rate_hz is the true rate. Values that are no numbers count as zero. */
sw_status sw_trace_new(const sw_waveform *waveform, size_t channel, double volts_per_unit,
                       double rate_hz, double low_cut_hz, sw_trace *trace, sw_error *error);
void sw_trace_free(sw_trace *trace);

/* Thin to what a fundamental of highest_hz needs and take the low cut out. */
sw_status sw_trace_thin(sw_trace *trace, const sw_kernel *kernel, double highest_hz,
                        sw_error *error);

/* Noise, cycles, flux and shape on a track. */
sw_status sw_trace_measure(sw_trace *trace, const sw_track *track, const sw_kernel *kernel,
                           sw_error *error);

/* Flux and shape of the cycles that count, anew. */
void sw_trace_fit(sw_trace *trace);

#endif
