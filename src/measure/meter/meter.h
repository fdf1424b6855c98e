/* The live meter: what a person who spins a motor wants to see while it is being recorded, ten
 * times a second, and the one advice of the moment. It is fed with blocks of samples as they
 * come, whatever their size, and takes no more memory than a few seconds of its own readings.
 *
 * What it shows is quick and rough (a per cent or so); measuring is done afterwards on the whole
 * recording. */
#ifndef SPINWORTH_MEASURE_METER_H
#define SPINWORTH_MEASURE_METER_H

#include "probes/profile.h"
#include "shared/status.h"
#include "shared/waveform.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { SW_LIVE_UPDATES_PER_S = 10 };

typedef enum sw_live_advice {
    SW_LIVE_WAIT,        /* nothing turns yet */
    SW_LIVE_HUM,         /* nothing but the hum of the mains */
    SW_LIVE_SPEED_UP,    /* it turns: go on, then hold a speed */
    SW_LIVE_HOLD_STEADY, /* the speed wanders too much to count */
    SW_LIVE_KEEP_HOLDING,
    SW_LIVE_FREE_SHAFT, /* held long enough: let it run down now */
    SW_LIVE_RUN_DOWN,   /* it runs down: hands off */
    SW_LIVE_DONE,       /* it has run down and stopped */
    SW_LIVE_AGAIN,      /* it stopped before it was held long enough */
    SW_LIVE_TOO_LOUD,   /* turn the divider down: near or at full scale, or the clamps */
    SW_LIVE_TOO_QUIET,  /* turn the divider up: too little of the range is used */
    SW_LIVE_ADVICES
} sw_live_advice;

typedef struct sw_live_request {
    double rate_hz;
    size_t channels;    /* 1 .. SW_CHANNEL_LIMIT */
    sw_profile profile; /* not calibrated: no volts are told */
    int pole_pairs;     /* 0 = not known */
    double about_rpm;   /* a rough speed of the hold; NAN = not known */
    double hold_s;      /* steady time that is wanted */
} sw_live_request;

typedef struct sw_live_reading {
    double elapsed_s;
    size_t channels;
    double level[SW_CHANNEL_LIMIT]; /* peak over full scale in the last tenth of a second */
    double peak[SW_CHANNEL_LIMIT];  /* the same, held for two seconds */
    bool clipped[SW_CHANNEL_LIMIT]; /* at full scale within the last two seconds */
    uint64_t clipped_samples;       /* in all */
    double frequency_hz;            /* electrical; NAN = nothing regular */
    double rpm;                     /* NAN = not known */
    bool rpm_guessed;               /* pole pairs by the rough speed */
    bool rpm_rough;                 /* it allows several: no better than that speed */
    double volts;                   /* rms between the clips of the liveliest channel; NAN */
    double wander;                  /* half the range of the speed over its mean, last 1.5 s; NAN */
    double held_s;                  /* steady so far */
    double to_go_s;                 /* steady time still wanted */
    sw_live_advice advice;
} sw_live_reading;

typedef struct sw_live_meter sw_live_meter;

/* The caller frees. SW_VALUE for a rate or a number of channels that cannot be, SW_MEMORY. */
sw_status sw_live_meter_new(const sw_live_request *request, sw_live_meter **meter, sw_error *error);
void sw_live_meter_free(sw_live_meter *meter);

/* Interleaved frames, full scale at +-2^31; `first` is the position of the first of them in the
 * recording, whether those before it were seen or not. True when a tenth of a second was completed
 * (or several): *reading is the latest. */
bool sw_live_meter_feed(sw_live_meter *meter, int64_t first, const int32_t *samples, size_t frames,
                        sw_live_reading *reading);

#endif
