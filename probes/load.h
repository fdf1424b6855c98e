/* One file of a recording, read whole into memory. */
#ifndef SPINWORTH_PROBES_LOAD_H
#define SPINWORTH_PROBES_LOAD_H

#include "probes/recording.h"

/* What all files of a recording may hold together: 512 MB of samples. */
enum { SW_RECORDING_SAMPLE_LIMIT = 64000000 };

typedef struct sw_part {
    const char *name; /* for messages, borrowed */
    const char *kind;
    sw_probe *probe; /* open until it is loaded */
    sw_waveform waveform;
    sw_readings *readings; /* owned; NULL for waveforms */
    double rate_u_hz;
    size_t clipped;
    size_t missing;
} sw_part;

/* Recording number `index` of the request; the caller frees the part, also after an error. */
sw_status sw_part_open(sw_part *part, const sw_recording_request *request, size_t index,
                       sw_error *error);

/* Keep one of how many samples so that all parts stay within the limit; 1 = all of them. */
size_t sw_parts_thinning(const sw_part *parts, size_t count);

/* Read all of it; notes get what was understood, under the file's name when `named`. */
sw_status sw_part_load(sw_part *part, size_t factor, bool named, sw_text *notes, sw_error *error);

void sw_part_free(sw_part *part);

#endif
