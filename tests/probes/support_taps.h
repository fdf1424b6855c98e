/* A battery touched to a divider by hand: what the sound input records, with its truth. */
#ifndef SPINWORTH_TESTS_PROBES_SUPPORT_TAPS_H
#define SPINWORTH_TESTS_PROBES_SUPPORT_TAPS_H

#include "shared/waveform.h"

#include <gsl/gsl_rng.h>
#include <stdbool.h>

typedef struct tap_scene {
    double rate_hz;
    double volts_per_unit;
    double low_cut_hz;        /* 0 = DC-coupled */
    double second_low_cut_hz; /* in series with the first; 0 = none */
    double battery_v[2];
    int batteries;
    int each_way; /* touches of each battery each way round */
    bool one_sided;
    bool bounces;
    double noise;  /* rms, units */
    double hum;    /* 50 Hz peak, units */
    double offset; /* units */
    double curve;  /* the input's cubic error: y - curve y^3 */
    int bits;      /* 0 = not rounded */
} tap_scene;

tap_scene support_taps_usual(void);
void support_taps_record(const tap_scene *scene, gsl_rng *random, sw_waveform *waveform);

#endif
