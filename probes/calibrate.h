/* Calibration of a sound input with its divider: volts per unit, low cut, clock.
 *
 * Battery taps (tap_edges.h, calibrate_tap.c) need nothing but a battery and its voltage; an AC
 * reference or a motor with a meter on it (calibrate_reference.c) gives volts where the low cut
 * is known, and the clock where the frequency is known better than the clock. */
#ifndef SPINWORTH_PROBES_CALIBRATE_H
#define SPINWORTH_PROBES_CALIBRATE_H

#include "probes/profile.h"
#include "shared/waveform.h"

#include <stdbool.h>
#include <stddef.h>

enum { SW_BATTERY_LIMIT = 2, SW_REFERENCE_ORDERS = 7 };

typedef enum sw_calibration_doubt {
    SW_CALIBRATION_CLIPPED,      /* the recording reached full scale */
    SW_CALIBRATION_CLAMPED,      /* the steps stand above the clamps' linear limit */
    SW_CALIBRATION_ONE_SIDED,    /* taps of one polarity only */
    SW_CALIBRATION_UNEQUAL,      /* plus and minus differ */
    SW_CALIBRATION_NOT_LINEAR,   /* the two batteries differ */
    SW_CALIBRATION_SMALL,        /* the steps use little of the range */
    SW_CALIBRATION_LOW_CUT,      /* a low cut no sound input has */
    SW_CALIBRATION_TWO_LOW_CUTS, /* the decay is not that of one low cut */
    SW_CALIBRATION_NO_LOW_CUT,   /* AC reference on an input whose low cut is a default */
    SW_CALIBRATION_CLOCK_POOR,   /* frequency known no better than the clock */
    SW_CALIBRATION_CLOCK_FAR,    /* a clock error no crystal has */
    SW_CALIBRATION_CHANGED,      /* far from what the merged document said */
    SW_CALIBRATION_METER_GUESS,  /* the meter's uncertainty was not stated */
    SW_CALIBRATION_DOUBTS
} sw_calibration_doubt;

/* Name of a doubt as in documents ("one_sided"). */
const char *sw_calibration_doubt_name(sw_calibration_doubt doubt);

typedef struct sw_calibration {
    sw_quantity volts_per_unit;          /* "V" */
    sw_quantity low_cut_hz;              /* "Hz"; unknown when not found here */
    sw_quantity clock_error;             /* "1"; unknown when not found here */
    double peak;                         /* largest sample, units */
    double freedom;                      /* behind the spread of the volts */
    size_t used;                         /* make edges, or blocks of the reference */
    size_t rejected;                     /* edges or blocks left out */
    size_t plus, minus;                  /* make edges each way */
    double step[SW_BATTERY_LIMIT];       /* mean height of a battery's steps, units */
    double polarity, polarity_u;         /* plus over minus less 1; NaN = one polarity */
    double linearity, linearity_u;       /* first battery over second less 1; NaN = one battery */
    double frequency_hz, frequency_u_hz; /* by the stated rate; NaN for taps */
    double distortion;                   /* harmonics over fundamental; NaN for taps */
    double from_s, to_s;                 /* steady stretch that was used; NaN for taps */
    double misfit;                       /* of the decays to one low cut, share of a step */
    double before;                       /* volts per unit of the merged document, NaN = none */
    bool doubt[SW_CALIBRATION_DOUBTS];
} sw_calibration;

typedef struct sw_tap_request {
    size_t channel;
    size_t batteries;                      /* 1 or 2 */
    sw_quantity battery[SW_BATTERY_LIMIT]; /* "V"; u not stated = a usual meter */
} sw_tap_request;

/* From a recording of a battery touched to the divider. SW_TOO_SHORT when there are fewer than
 * three usable make edges a battery. */
sw_status sw_calibrate_tap(const sw_waveform *waveform, const sw_tap_request *request,
                           sw_calibration *calibration, sw_error *error);

typedef struct sw_reference_request {
    size_t channel;
    sw_quantity volts;     /* "V", as the meter shows */
    bool true_rms;         /* else an averaging meter, 1.1107 mean |v| */
    sw_quantity frequency; /* "Hz"; unknown = look for it */
    bool with_clock;       /* compare the clock with the frequency */
    double from_s, to_s;   /* stretch to look in; NaN = all */
    sw_quantity low_cut_hz;
    bool low_cut_measured; /* false: a default */
} sw_reference_request;

/* From a recording of a steady AC voltage of known size. SW_TOO_SHORT without a steady stretch,
 * SW_MISMATCH when another frequency is found than was given. */
sw_status sw_calibrate_reference(const sw_waveform *waveform, const sw_reference_request *request,
                                 sw_calibration *calibration, sw_error *error);

/* The channel with the largest alternating part. */
size_t sw_calibrate_channel(const sw_waveform *waveform);

/* Put what was found into the profile and judge it: doubts about clipping, clamps, plausible low
 * cut and clock, and a large change against what the profile said before. */
void sw_calibration_merge(sw_calibration *calibration, bool merging, sw_profile *profile);

/* An empty calibration: everything unknown. */
sw_calibration sw_calibration_none(void);

#endif
