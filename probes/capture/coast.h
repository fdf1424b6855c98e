/* Has the motor coasted down? Watches the level of a live recording. */
#ifndef SPINWORTH_PROBES_CAPTURE_COAST_H
#define SPINWORTH_PROBES_CAPTURE_COAST_H

#include "shared/waveform.h"

#include <stdbool.h>
#include <stdint.h>

typedef struct sw_coast {
    size_t channels;
    size_t window;                /* frames of one look at the level */
    size_t filled;                /* of the present window */
    double sum[SW_CHANNEL_LIMIT]; /* of its samples, full scale 1 */
    double squares[SW_CHANNEL_LIMIT];
    double lowest;  /* quietest window so far, before it was spun */
    double highest; /* loudest window so far */
    bool spun;
    bool stood_first; /* it was quiet before it was spun, so that `lowest` is the floor */
    double calm_s;    /* how long the level has been near the floor */
    double flat_s;    /* how long it has been low and hardly changing */
    double flat_from; /* the level where that began */
} sw_coast;

void sw_coast_begin(sw_coast *coast, size_t channels, double rate_hz);

/* Look at frames; true from the moment on when it has stood still for two seconds after having
 * turned. */
bool sw_coast_watch(sw_coast *coast, const int32_t *frames, size_t count);

#endif
