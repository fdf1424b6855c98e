/* The keys of a test line in an ALSA configuration (see device.c for what they do). */
#ifndef SPINWORTH_TESTS_CAPTURE_DEVICE_SETTINGS_H
#define SPINWORTH_TESTS_CAPTURE_DEVICE_SETTINGS_H

#include "tests/capture/support_pattern.h"

#include <alsa/asoundlib.h>
#include <stdbool.h>

enum { DEVICE_PATH_ROOM = 512 };

typedef struct {
    unsigned rate_hz, channels;
    snd_pcm_format_t format;
    pattern signal;
    double speed;     /* times real time */
    double drift_ppm; /* by how much the line's clock runs too fast */
    /* In frames since the line was opened; negative: never. */
    long silent_from, stall_at, unplug_at, overrun_at;
    long stall_frames;            /* how long a stall lasts; negative: for ever */
    long overrun_frames;          /* how many frames an overrun loses */
    long overrun_every;           /* from one overrun to the next; 0: only one */
    bool unplug_by_error;         /* else only poll() tells */
    char diary[DEVICE_PATH_ROOM]; /* a file that gets a line an event; empty: none */
    char lock[DEVICE_PATH_ROOM];  /* busy while another holds this file's lock; empty: never busy */
} device_settings;

/* 0, or a negative errno after a line about the key to ALSA's error output. */
int device_settings_read(snd_config_t *from, device_settings *out);

#endif
