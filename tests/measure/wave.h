/* Made-up recordings with a known truth for the tests of measuring. */
#ifndef SPINWORTH_TESTS_MEASURE_WAVE_H
#define SPINWORTH_TESTS_MEASURE_WAVE_H

#include "shared/waveform.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>

enum { WAVE_ORDERS = 13 };

/* Frequency goes from start_hz at ramp_hz_per_s up to hold_hz, stays, and falls from fall_s on at
 * the same rate down to nothing. */
typedef struct wave {
    double rate_hz;
    double seconds;
    double start_hz;
    double ramp_hz_per_s; /* 0 = hold_hz from the start */
    double hold_hz;
    double fall_s;     /* 0 = never */
    double flux;       /* peak of the fundamental over frequency, V/Hz */
    double low_cut_hz; /* of the input */
    double noise;      /* rms per sample, V */
    double angle_deg;  /* of the fundamental against a second channel's */
    int pattern;       /* cycles after which the amplitude repeats; 0 = none */
    double pattern_share;
    double relative[WAVE_ORDERS + 1]; /* [2] .. of the harmonics */
    double harmonic_deg[WAVE_ORDERS + 1];
    unsigned long seed;
} wave;

static inline double wave_hz(const wave *w, double time_s) {
    double hz = w->hold_hz;
    if (w->ramp_hz_per_s > 0.0)
        hz = fmin(hz, w->start_hz + w->ramp_hz_per_s * time_s);
    if (w->fall_s > 0.0 && time_s > w->fall_s)
        hz = fmin(hz, fmax(0.0, w->hold_hz - w->ramp_hz_per_s * (time_s - w->fall_s)));
    return hz;
}

/* V/Hz at an angle in cycles. */
static inline double wave_shape(const wave *w, double cycles) {
    double sum = 0.0;
    for (int k = 1; k <= WAVE_ORDERS; k++) {
        double share = k == 1 ? 1.0 : w->relative[k];
        double shift = w->angle_deg * k + w->harmonic_deg[k];
        sum += share == 0.0 ? 0.0 : share * cos(2.0 * M_PI * k * cycles + shift * M_PI / 180.0);
    }
    double pattern =
        w->pattern > 0 ? 1.0 + w->pattern_share * cos(2.0 * M_PI * cycles / w->pattern) : 1.0;
    return w->flux * pattern * sum;
}

/* Fill one channel. The low cut is the exact first-order step for a wave that is straight between
 * samples. */
static inline void wave_fill(const wave *w, double *samples, size_t count) {
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, w->seed + 1);
    double cycles = 0.0;
    double x0 = 0.0;
    double low = 0.0;
    double a = 2.0 * M_PI * w->low_cut_hz / w->rate_hz;
    double e = exp(-a);
    double g = a > 0.0 ? (1.0 - e) / a : 1.0;
    for (size_t i = 0; i < count; i++) {
        double t = (double)i / w->rate_hz;
        double hz = wave_hz(w, t);
        double x = wave_shape(w, cycles) * hz;
        low = a > 0.0 && i > 0 ? e * low + (1.0 - g) * x + (g - e) * x0 : low;
        samples[i] = x - low + (w->noise > 0.0 ? gsl_ran_gaussian(random, w->noise) : 0.0);
        x0 = x;
        cycles += 0.5 * (hz + wave_hz(w, t + 1.0 / w->rate_hz)) / w->rate_hz;
    }
    gsl_rng_free(random);
}

/* A recording of channels at given angles (deg) of the same wave, as a scope shows it. */
static inline sw_waveform wave_record(const wave *w, const double *angle_deg, size_t channels) {
    sw_waveform waveform;
    size_t frames = (size_t)(w->seconds * w->rate_hz);
    if (sw_waveform_new(channels, frames, w->rate_hz, &waveform, NULL) != SW_OK)
        return waveform;
    for (size_t c = 0; c < channels; c++) {
        wave own = *w;
        own.angle_deg += angle_deg != NULL ? angle_deg[c] : 0.0;
        own.seed += 1000 * c;
        wave_fill(&own, waveform.channel[c].samples, frames);
    }
    waveform.in_volts = 1;
    waveform.coupling = w->low_cut_hz > 0.0 ? SW_COUPLING_AC : SW_COUPLING_DC;
    return waveform;
}

#endif
