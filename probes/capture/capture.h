/* A live input: frames that arrive while one waits, and what went wrong on the way.
 *
 * A backend (a sound card, a simulated motor) is a constant table, a sw_capture_kind, and an open
 * function of its own that ends with sw_capture_new. A backend only delivers frames and says when
 * samples were lost or the device is gone. What is the same for all is seen to here: a device
 * that has fallen silent or stopped delivering is noticed within a second, and the claimed rate
 * is held against the system's clock.
 *
 * One thread opens, starts, reads, stops and closes. Samples are 32 bits, full scale at +-2^31,
 * with a shorter device's bits on top: bit by bit what the converter gave.
 */
#ifndef SPINWORTH_PROBES_CAPTURE_CAPTURE_H
#define SPINWORTH_PROBES_CAPTURE_CAPTURE_H

#include "probes/capture/capture_news.h"
#include "shared/status.h"
#include "shared/waveform.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { SW_CAPTURE_NAME_ROOM = 160, SW_CAPTURE_BLOCK_FRAMES = 4096 };

typedef struct sw_capture_description {
    char device[SW_CAPTURE_NAME_ROOM];
    char host[SW_CAPTURE_NAME_ROOM]; /* the sound system it was reached through */
    double rate_hz;                  /* as the device claims */
    size_t channels;                 /* 1 .. SW_CHANNEL_LIMIT */
    bool converted;                  /* the sound system may resample on the way: no native rate */
    bool simulated;                  /* no hardware: its time may be any */
} sw_capture_description;

typedef struct sw_capture_kind {
    const char *name; /* "sound card", "simulated motor" */
    sw_status (*start)(void *state, sw_error *error);
    /* Wait up to timeout_s for frames and put up to `room` of them, interleaved, into `frames`;
     * news arrives empty with `first` set. None in time is no error. After SW_CAPTURE_GONE or
     * SW_CAPTURE_ENDED was noted no further call is made. */
    sw_status (*read)(void *state, double timeout_s, int32_t *frames, size_t room,
                      sw_capture_news *news, sw_error *error);
    /* Stop and release, started or not. Must not wait for a device that is gone. */
    void (*close)(void *state);
} sw_capture_kind;

typedef struct sw_capture sw_capture;

/* For backends: take over state (released also on failure). */
sw_status sw_capture_new(const sw_capture_kind *kind, void *state,
                         const sw_capture_description *about, sw_capture **capture,
                         sw_error *error);

const sw_capture_description *sw_capture_describe(const sw_capture *capture);
sw_status sw_capture_start(sw_capture *capture, sw_error *error);

/* Frames and events; returns within about timeout_s, [0, 0.2]. Once SW_CAPTURE_GONE or
 * SW_CAPTURE_ENDED has come there is nothing more (SW_DEVICE when asked all the same). */
sw_status sw_capture_read(sw_capture *capture, double timeout_s, int32_t *frames, size_t room,
                          sw_capture_news *news, sw_error *error);

/* Samples a second by the system's clock so far, with its standard uncertainty; NAN while not
 * known (the first seconds, simulated inputs). */
void sw_capture_rate(const sw_capture *capture, double *rate_hz, double *rate_u_hz);

/* Stops too. NULL is fine. */
void sw_capture_close(sw_capture *capture);

#endif
