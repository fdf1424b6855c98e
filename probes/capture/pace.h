/* How many samples a second arrive by the system's clock. */
#ifndef SPINWORTH_PROBES_CAPTURE_PACE_H
#define SPINWORTH_PROBES_CAPTURE_PACE_H

#include <stdbool.h>
#include <stdint.h>

/* One stretch without a gap: sums of a straight-line fit. */
typedef struct sw_pace_fit {
    double points, sum_t, sum_y, sum_tt, sum_ty, sum_yy;
    double start_s;
    int64_t start_frames;
    double last_s;
} sw_pace_fit;

typedef struct sw_pace {
    double claimed_hz;
    double begin_s; /* of the whole recording, NAN before the first */
    sw_pace_fit now;
    double rate_hz, rate_u_hz, span_s; /* of the longest stretch so far; span 0 = none */
} sw_pace;

void sw_pace_begin(sw_pace *pace, double claimed_hz);

/* At system time time_s, `frames` had come. */
void sw_pace_add(sw_pace *pace, double time_s, int64_t frames);

/* Samples were lost or held back: a new stretch begins with the next. */
void sw_pace_break(sw_pace *pace);

/* Frames missing at time_s when `frames` had come, against the stretch so far; NAN while that is
 * too short to say. */
double sw_pace_missing(const sw_pace *pace, double time_s, int64_t frames);

/* Of the longest stretch so far; NAN while there is less than half a second. */
void sw_pace_rate(const sw_pace *pace, double *rate_hz, double *rate_u_hz);

/* Is the measured rate another than the claimed one, surely and by more than clocks do? */
bool sw_pace_differs(double claimed_hz, double rate_hz, double rate_u_hz);

#endif
