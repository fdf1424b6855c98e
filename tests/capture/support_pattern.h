/* What the test line (device.c) feeds, as a function of frame and channel, so that a test can say
 * what every sample of a recording has to be. */
#ifndef SPINWORTH_TESTS_CAPTURE_SUPPORT_PATTERN_H
#define SPINWORTH_TESTS_CAPTURE_SUPPORT_PATTERN_H

#include <stdint.h>

typedef enum { PATTERN_NOISE, PATTERN_TONE, PATTERN_SILENCE } pattern_kind;

typedef struct {
    pattern_kind kind;
    double frequency_hz;
    double level; /* tone's peak, (0, 1] of full scale */
    double rate_hz;
} pattern;

/* A sample of 24 bits, -2^23 .. 2^23 - 1. Noise never repeats within 2^56 samples; the channels of
 * a tone are a third of a cycle apart. */
int32_t pattern_sample(const pattern *of, uint64_t frame, unsigned channel);

#endif
