/* A live input that does as it is told: blocks of known frames, pauses and events. */
#ifndef SPINWORTH_TESTS_PROBES_CAPTURE_SUPPORT_SCRIPT_H
#define SPINWORTH_TESTS_PROBES_CAPTURE_SUPPORT_SCRIPT_H

#include "probes/capture/capture.h"

enum { SCRIPT_LIMIT = 64 };

typedef struct script_step {
    size_t frames;  /* to deliver, in blocks as the reader asks; 0 = none */
    double pause_s; /* before them */
    sw_capture_event event;
    bool has_event; /* with the first of the frames */
} script_step;

typedef struct script {
    double rate_hz;
    size_t channels;
    size_t steps; /* after the last one the input stays open and gives nothing */
    script_step step[SCRIPT_LIMIT];
    bool start_fails;
    bool constant; /* every sample 5 */
} script;

/* The script is copied. */
sw_capture *script_open(const script *about);

/* The sample of a channel at a frame: all 32 bits in use, no pattern. */
int32_t script_sample(int64_t frame, size_t channel);

#endif
