/* A recording in memory: what every probe delivers and measuring works on. */
#ifndef SPINWORTH_SHARED_WAVEFORM_H
#define SPINWORTH_SHARED_WAVEFORM_H

#include "shared/status.h"

#include <stddef.h>

enum { SW_CHANNEL_LIMIT = 8, SW_CHANNEL_NAME_ROOM = 48 };

typedef enum sw_coupling {
    SW_COUPLING_UNKNOWN,
    SW_COUPLING_DC, /* passes a steady voltage: scope files, readings */
    SW_COUPLING_AC  /* a first-order low cut stands before it: sound inputs */
} sw_coupling;

/* Where full scale is not known (scope files) full_scale is 0. */
typedef struct sw_channel {
    char name[SW_CHANNEL_NAME_ROOM];
    double full_scale; /* in units of the samples; 0 = not known */
    double step;       /* quantisation step in units of the samples; 0 = not known */
    double *samples;   /* sw_waveform.frames values, owned by the waveform */
} sw_channel;

/* Samples are volts at the motor once `in_volts` is set, else units of the input (-1 .. 1). */
typedef struct sw_waveform {
    double rate_hz; /* > 0 */
    double start_s; /* time of the first sample */
    size_t frames;
    size_t channels; /* 1 .. SW_CHANNEL_LIMIT */
    sw_coupling coupling;
    int in_volts;
    sw_channel channel[SW_CHANNEL_LIMIT];
} sw_waveform;

/* Room for channels x frames samples, all zero. Free with sw_waveform_free. */
sw_status sw_waveform_new(size_t channels, size_t frames, double rate_hz, sw_waveform *waveform,
                          sw_error *error);
void sw_waveform_free(sw_waveform *waveform);

/* Replace the waveform by one channel, channel plus - channel minus (0-based): what two clips on
 * one winding show when the scope's ground floats. */
sw_status sw_waveform_difference(sw_waveform *waveform, size_t plus, size_t minus, sw_error *error);

#endif
