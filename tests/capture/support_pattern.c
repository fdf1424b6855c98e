#include "tests/capture/support_pattern.h"

#include <math.h>

enum { FULL_SCALE = 1 << 23, CHANNELS_ROOM = 256 };

/* splitmix64's finaliser (Steele, Lea, Flood 2014): neighbours have nothing in common. */
static uint64_t mix(uint64_t x) {
    x += 0x9e3779b97f4a7c15U;
    x = (x ^ (x >> 30)) * 0xbf58476d1ce4e5b9U;
    x = (x ^ (x >> 27)) * 0x94d049bb133111ebU;
    return x ^ (x >> 31);
}

static int32_t noise(uint64_t frame, unsigned channel) {
    uint64_t bits = mix(frame * CHANNELS_ROOM + channel) >> 40;
    return (int32_t)bits - FULL_SCALE;
}

static int32_t tone(const pattern *of, uint64_t frame, unsigned channel) {
    const double turn = 2 * acos(-1);
    /* Whole cycles are taken off first: the phase stays exact for days. */
    double cycles = fmod(of->frequency_hz * (double)frame, of->rate_hz) / of->rate_hz;
    double value = of->level * sin(turn * (cycles - channel / 3.0));
    return (int32_t)lround(value * (FULL_SCALE - 1));
}

int32_t pattern_sample(const pattern *of, uint64_t frame, unsigned channel) {
    if (of->kind == PATTERN_NOISE)
        return noise(frame, channel);
    return of->kind == PATTERN_TONE ? tone(of, frame, channel) : 0;
}
