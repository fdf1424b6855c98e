/* A look at a WAV file's own header, for what the sound library hides: a data chunk longer than
 * the file (a torn copy) or of length zero (a recorder that was killed), a rate of zero. */
#ifndef SPINWORTH_PROBES_RIFF_H
#define SPINWORTH_PROBES_RIFF_H

#include "probes/source.h"

#include <stdbool.h>

typedef struct sw_riff {
    bool found; /* a RIFF/WAVE file with its fmt chunk */
    uint32_t rate_hz;
    uint16_t channels;
    bool data_found;
    int64_t data_size_at;   /* where the four bytes of the data chunk's length stand */
    uint32_t data_declared; /* what they say */
    int64_t data_actual;    /* bytes from there to the end of the file */
} sw_riff;

/* Looks at the head of the source only. */
sw_riff sw_riff_look(const sw_source *source);

#endif
