/* A tachometer on one channel of the recording: the moments at which marks on the shaft pass.
 *
 * Pulses of either sign or a sine; levels are the middle between what most stretches of the record
 * reach at the top and at the bottom, with hysteresis. A mark's moment is the middle of its pulse,
 * which neither the height of the level nor an AC-coupled input moves. Marks that were missed or
 * seen twice are told by the electrical angle, which goes on evenly between them. */
#ifndef SPINWORTH_MEASURE_TACH_H
#define SPINWORTH_MEASURE_TACH_H

#include "shared/quantity.h"
#include "shared/status.h"
#include "shared/waveform.h"
#include "src/measure/signal/track.h"

#include <stddef.h>

typedef struct sw_tach {
    int marks; /* a turn; >= 1 */
    size_t count;
    double *time_s; /* owned; middle of each pulse, from the first sample */
} sw_tach;

/* Pulses of one channel; none is no error. */
sw_status sw_tach_read(const sw_waveform *waveform, size_t channel, int marks, double rate_hz,
                       sw_tach *tach, sw_error *error);
void sw_tach_free(sw_tach *tach);

/* What the marks say against the electrical angle. */
typedef struct sw_tach_count {
    size_t turns;       /* that the marks cover; 0 = they do not follow the motor */
    sw_quantity cycles; /* electrical cycles a turn of the marked shaft, "1" */
    double mark_cycles; /* track angle at which the first mark of turn 0 passes */
} sw_tach_count;

sw_status sw_tach_compare(const sw_tach *tach, const sw_track *track, sw_tach_count *count,
                          sw_error *error);

/* Mean speed of the marked shaft between two moments, "rpm"; unknown with fewer than two marks. */
sw_quantity sw_tach_speed(const sw_tach *tach, double from_s, double to_s);

/* Samples of a channel at full scale. */
size_t sw_tach_clipped(const sw_channel *channel, size_t frames);

/* The waveform without that channel; samples stay with the original. */
sw_waveform sw_tach_rest(const sw_waveform *waveform, size_t channel);

#endif
