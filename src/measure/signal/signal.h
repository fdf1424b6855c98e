/* One channel as numbers: thinning, taking the input's low cut out, and values between samples. */
#ifndef SPINWORTH_MEASURE_SIGNAL_H
#define SPINWORTH_MEASURE_SIGNAL_H

#include "shared/status.h"

#include <stddef.h>

typedef struct sw_signal {
    double rate_hz; /* > 0 */
    size_t count;
    double *value; /* owned */
} sw_signal;

/* Value of the ideal low-pass between samples: a windowed sine cardinal of SW_KERNEL_REACH zero
 * crossings on each side, tabulated. Opaque; free with sw_kernel_free. */
typedef struct sw_kernel sw_kernel;
enum { SW_KERNEL_REACH = 8 };

/* The caller frees; SW_MEMORY. */
sw_status sw_kernel_new(sw_kernel **kernel, sw_error *error);
void sw_kernel_free(sw_kernel *kernel);

/* The signal at time_s (s from the first sample) after a low-pass at cutoff_hz (> 0; at most 0.47
 * of the rate is used). Flat to 0.8 of the cutoff. Samples outside the record count as zero. */
double sw_signal_at(const sw_signal *signal, const sw_kernel *kernel, double time_s,
                    double cutoff_hz);

/* So many samples of zero at rate_hz > 0; the caller frees. SW_MEMORY. */
sw_status sw_signal_new(double rate_hz, size_t count, sw_signal *signal, sw_error *error);
void sw_signal_free(sw_signal *signal);

/* Half the rate, low-passed. */
sw_status sw_signal_halve(const sw_signal *signal, const sw_kernel *kernel, sw_signal *half,
                          sw_error *error);

/* Replace a first-order low cut at from_hz by one at to_hz (0 < to_hz <= from_hz), in place. */
void sw_signal_move_low_cut(sw_signal *signal, double from_hz, double to_hz);

/* Subtract the mean; returns it. */
double sw_signal_centre(sw_signal *signal);

/* In the unit of the samples. */
double sw_signal_rms(const sw_signal *signal);

#endif
