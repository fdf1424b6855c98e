/* What the simulator's tests share: a clean specification, and the complex amplitude of one
 * frequency in a record. */
#ifndef SPINWORTH_TESTS_PROBES_SIMULATE_SUPPORT_H
#define SPINWORTH_TESTS_PROBES_SIMULATE_SUPPORT_H

#include "tests/support.h"

#include "probes/simulate/simulate.h"

#include <complex.h>
#include <gsl/gsl_math.h>
#include <math.h>

/* An ideal motor of the family at a steady 300 rpm (5 turns a second), samples in volts. */
static inline sw_sim_spec clean_spec(const char *family, unsigned long seed) {
    sw_sim_spec spec;
    sw_error error;
    assert_ok(sw_sim_family(family, seed, &spec, &error), &error);
    spec.front.channels = 1;
    spec.motor.delta = false;
    sw_sim_idealise(&spec);
    spec.spin.speed_rpm = 300;
    spec.spin.seconds = 1;
    return spec;
}

static inline sw_waveform simulate_or_fail(const sw_sim_spec *spec, sw_sim_truth *truth) {
    sw_waveform waveform;
    sw_error error;
    assert_ok(sw_simulate(spec, &waveform, truth, &error), &error);
    return waveform;
}

/* Amplitude and phase of the cosine at frequency_hz; whole periods in the record are presumed. */
static inline double complex amplitude_at(const sw_waveform *waveform, size_t channel,
                                          double frequency_hz) {
    double complex sum = 0;
    for (size_t i = 0; i < waveform->frames; i++)
        sum += waveform->channel[channel].samples[i] *
               cexp(-I * (2 * M_PI * frequency_hz * (double)i / waveform->rate_hz));
    return 2 * sum / (double)waveform->frames;
}

static inline double largest(const sw_waveform *waveform, size_t channel) {
    double peak = 0;
    for (size_t i = 0; i < waveform->frames; i++)
        peak = fmax(peak, fabs(waveform->channel[channel].samples[i]));
    return peak;
}

#endif
