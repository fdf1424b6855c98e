/* What the simulated motor and spin really were: what a measurement is held against. */
#ifndef SPINWORTH_PROBES_SIMULATE_TRUTH_H
#define SPINWORTH_PROBES_SIMULATE_TRUTH_H

#include "probes/simulate/spec.h"

#include <stddef.h>

enum { SW_SIM_HARMONICS = 13, SW_SIM_TRACK_ROOM = 256 };

typedef struct sw_sim_harmonic {
    int order;
    double relative;  /* amplitude over the fundamental's */
    double angle_deg; /* of cos(order x + angle) where the fundamental is cos(x) */
} sw_sim_harmonic;

/* Volts are those of the bare winding, before divider and low cut. */
typedef struct sw_sim_truth {
    sw_sim_spec spec;       /* as used, volts_per_unit filled in */
    double volts_per_hertz; /* rms of the fundamental line to line (across the winding for one
                               and two phases): of channel 1's pair with one channel, mean of
                               all pairs with more */
    double line_volts_per_hertz[SW_SIM_PHASE_LIMIT];    /* A-B, B-C, C-A; or each winding */
    double channel_volts_per_hertz[SW_SIM_PHASE_LIMIT]; /* of each channel as recorded */
    double volts_per_rpm;        /* volts_per_hertz x pole pairs / 60; brushed: mean DC */
    double flux_linkage_wb;      /* peak; equivalent star phase of three phases, else the winding */
    double peak_line_v_per_krpm; /* highest point of the mean cycle, pair of volts_per_hertz */
    size_t harmonics;
    sw_sim_harmonic line[SW_SIM_HARMONICS];  /* channel 1's pair or winding */
    sw_sim_harmonic phase[SW_SIM_HARMONICS]; /* winding A */
    int symmetry;   /* t = gcd(slots, pole pairs): magnets alone show multiples of t a turn */
    double pattern; /* rms of channel 1's lines that are no multiple of the pole pairs, over
                       the fundamental's */
    double winding_factor; /* of the fundamental, winding A without tolerances; 0 if brushed */
    int ripple_per_turn;   /* brushed: commutator ripple */
    /* The spin as it happened. */
    double hold_from_s; /* ramp done; NaN when never */
    double hold_to_s;
    double hold_speed_rpm; /* mean over the hold */
    double coast_from_s;   /* NaN without coast */
    double turns;          /* of the shaft over the whole record */
    double top_speed_rpm;
    size_t track; /* points of the speed track, evenly spaced from the start */
    double track_step_s;
    double track_rpm[SW_SIM_TRACK_ROOM];
    size_t clipped;       /* samples at full scale, all channels */
    double clamped_share; /* share of samples beyond the clamps' linear limit */
} sw_sim_truth;

#endif
