/* Channels that give one and the same sample again and again: muted, or the wrong input. A real
 * input's noise moves the last bits even when nothing is plugged in. */
#ifndef SPINWORTH_PROBES_CAPTURE_SILENCE_H
#define SPINWORTH_PROBES_CAPTURE_SILENCE_H

#include "probes/capture/capture_news.h"
#include "shared/waveform.h"

typedef struct sw_silence {
    size_t channels;
    int64_t patience;                /* frames alike before it counts */
    int32_t last[SW_CHANNEL_LIMIT];  /* the sample that repeats */
    int64_t alike[SW_CHANNEL_LIMIT]; /* how often so far */
    unsigned silent;                 /* a bit a channel */
} sw_silence;

void sw_silence_begin(sw_silence *silence, size_t channels, double rate_hz);

/* Look at frames and note in news what changed. */
void sw_silence_watch(sw_silence *silence, const int32_t *frames, sw_capture_news *news);

#endif
