/* One recording out of one or several files: the form measuring takes. */
#ifndef SPINWORTH_PROBES_RECORDING_H
#define SPINWORTH_PROBES_RECORDING_H

#include "probes/marks.h"
#include "probes/probe.h"

enum { SW_RECORDING_FILE_LIMIT = SW_CHANNEL_LIMIT };

typedef struct sw_recording_request {
    const char *const *paths;
    size_t count;        /* 1 .. SW_RECORDING_FILE_LIMIT; several files are channels */
    double rate_hz;      /* 0 = as the files say */
    int difference_plus; /* 1-based channel numbers of --difference; 0 = none */
    int difference_minus;
    const sw_units *units;
} sw_recording_request;

typedef struct sw_recording {
    sw_waveform waveform;         /* rate_hz > 0 */
    bool is_readings;             /* hand readings: `readings` instead of waveform */
    struct sw_readings *readings; /* NULL for waveforms */
    double rate_u_hz;
    size_t clipped;   /* samples at +-full scale or infinite, over all channels */
    size_t missing;   /* empty cells, filled by interpolation */
    sw_marks marks;   /* what a recorder noted beside the files */
    sw_text notes;    /* what was understood, for --explain */
    const char *kind; /* kind name of the first file */
} sw_recording;

/* Open, read whole and close. Very long recordings are thinned (low-passed and decimated) to
 * stay below 64 million samples in all, one with gaps that a recorder marked is cut to the
 * longest piece without, and a note says so. Free with sw_recording_free. */
sw_status sw_recording_load(const sw_recording_request *request, sw_recording *recording,
                            sw_error *error);
void sw_recording_free(sw_recording *recording);

#endif
