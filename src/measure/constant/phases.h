/* What several channels say together: how many phases, what the clips are on, and the
 * line-to-line voltage that follows. */
#ifndef SPINWORTH_MEASURE_PHASES_H
#define SPINWORTH_MEASURE_PHASES_H

#include "shared/motor.h"
#include "shared/status.h"
#include "shared/waveform.h"
#include "src/measure/measure.h"
#include "src/measure/signal/trace.h"

#include <complex.h>

/* Fundamentals relative to the lead channel's (whose ratio is 1). */
typedef struct sw_relation {
    size_t channels;
    size_t lead;
    double complex ratio[SW_CHANNEL_LIMIT];
    double ratio_u[SW_CHANNEL_LIMIT]; /* standard uncertainty of either part */
} sw_relation;

sw_status sw_phases_relate(const sw_trace *trace, size_t channels, size_t lead,
                           const sw_track *track, const sw_kernel *kernel, sw_relation *relation,
                           sw_error *error);

/* Decide and write phases, phase_angle, balance and warnings into the record. *line_over_lead is
 * the line-to-line fundamental over the lead channel's; *of_phase tells that the channels show
 * phases to the star point. */
void sw_phases_judge(const sw_relation *relation, sw_between between, sw_motor *motor,
                     double *line_over_lead, bool *of_phase);

/* Once slots and pole pairs are known: which coil makes two lines unlike. */
void sw_phases_judge_again(const sw_relation *relation, sw_motor *motor);

#endif
