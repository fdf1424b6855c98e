/* Every way to get a waveform, behind one small interface.
 *
 * A kind is a constant table; adding one is one file and one line in probes/kinds.c. A probe
 * streams: an hour of recording takes no more memory than a block. A table of hand readings
 * comes through the same interface with rate_hz = 0: its channels are columns (rpm, V, Hz, A,
 * ohm), its frames are rows, and sw_probe_readings gives the table itself.
 */
#ifndef SPINWORTH_PROBES_PROBE_H
#define SPINWORTH_PROBES_PROBE_H

#include "probes/readings.h"
#include "probes/source.h"
#include "shared/quantity.h"
#include "shared/status.h"
#include "shared/text.h"
#include "shared/waveform.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

typedef struct sw_probe_channel {
    char name[SW_CHANNEL_NAME_ROOM];
    char unit[16];     /* "V" in scope files; "" in sound files (units of full scale) */
    double full_scale; /* 1 in sound files; 0 = not known */
    double step;       /* quantisation step; 0 = not known */
} sw_probe_channel;

typedef struct sw_probe_description {
    const char *kind; /* "sound file", "scope file", "hand readings", "simulated motor" */
    double rate_hz;   /* 0 = rows of readings */
    double rate_u_hz; /* standard uncertainty of the rate, 0 = exact as stated */
    double start_s;
    int64_t frames; /* -1 = not known before the end; a torn file may end earlier */
    size_t channels;
    sw_coupling coupling;
    sw_probe_channel channel[SW_CHANNEL_LIMIT];
    sw_text notes; /* what was understood of the layout, one line each */
} sw_probe_description;

typedef struct sw_probe_request {
    const char *path; /* "-" = standard input */
    double rate_hz;   /* given by the person for files without times; 0 = not given */
    const sw_units *units;
} sw_probe_request;

typedef struct sw_probe_kind {
    const char *name;
    const char *describes; /* one line for help */
    /* Could this be one of mine? Looks at the first bytes (up to 64 KiB) and the path. */
    bool (*recognise)(const char *path, const unsigned char *head, size_t length);
    /* The source is seekable, also when it came through a pipe; it stays open until close and is
     * not owned by the kind. On failure the kind has released its state; description->notes may
     * be filled and is released by the caller. */
    sw_status (*open)(const sw_probe_request *request, sw_source *source, void **state,
                      sw_probe_description *description, sw_error *error);
    /* Fill up to `frames` interleaved frames; *got = 0 at the end. Clipped and infinite cells
     * arrive as +-INFINITY, empty cells as NAN. */
    sw_status (*read)(void *state, double *block, size_t frames, size_t *got, sw_error *error);
    void (*close)(void *state);
    /* Only hand readings: the table itself, owned by the state; NULL for waveforms. */
    const sw_readings *(*readings)(const void *state);
} sw_probe_kind;

typedef struct sw_probe sw_probe;

/* Open by looking at the content. The caller closes. */
sw_status sw_probe_open(const sw_probe_request *request, sw_probe **probe, sw_error *error);
const sw_probe_description *sw_probe_describe(const sw_probe *probe);
sw_status sw_probe_read(sw_probe *probe, double *block, size_t frames, size_t *got,
                        sw_error *error);
const sw_readings *sw_probe_readings(const sw_probe *probe);
void sw_probe_close(sw_probe *probe);

#endif
