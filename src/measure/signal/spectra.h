/* Short-time spectra: how well each fundamental frequency explains each moment of the record. */
#ifndef SPINWORTH_MEASURE_SPECTRA_H
#define SPINWORTH_MEASURE_SPECTRA_H

#include "shared/status.h"
#include "src/measure/signal/signal.h"

#include <stddef.h>

enum { SW_SPECTRA_PER_OCTAVE = 24 };

typedef struct sw_spectra {
    size_t frames;
    size_t states;
    double hop_s;
    double lowest_hz; /* frequency of state 0; state s is lowest_hz 2^(s / 24) */
    float *score;     /* frames x states: log of harmonic power over the noise floor */
    float *power;     /* frames x states: squared amplitude of the fundamental */
} sw_spectra;

double sw_spectra_frequency(const sw_spectra *spectra, double state);

/* SW_TOO_SHORT when the record has no room for two periods of anything. */
sw_status sw_spectra_new(const sw_signal *signal, const sw_kernel *kernel, sw_spectra *spectra,
                         sw_error *error);
void sw_spectra_free(sw_spectra *spectra);

#endif
