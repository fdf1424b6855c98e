/* What the steps of one measurement share. Inside src/measure only. */
#ifndef SPINWORTH_MEASURE_ANALYSIS_H
#define SPINWORTH_MEASURE_ANALYSIS_H

#include "src/measure/constant/phases.h"
#include "src/measure/measure.h"
#include "src/measure/poles/tach.h"
#include "src/measure/signal/hum.h"
#include "src/measure/signal/path.h"
#include "src/measure/signal/steady.h"
#include "src/measure/signal/trace.h"
#include "src/measure/signal/track.h"

typedef struct sw_analysis {
    const sw_waveform *waveform;
    const sw_measure_request *request;
    size_t clipped;
    sw_tach tach;
    sw_tach_count tach_count;
    double rate_hz; /* true */
    double volts_per_unit;
    bool steady_voltages; /* the input passes them: DC-coupled */
    sw_kernel *kernel;
    size_t channels;
    size_t lead; /* the channel that carries most */
    sw_trace trace[SW_CHANNEL_LIMIT];
    sw_path path;
    sw_hum hum;
    sw_track track;
    size_t whole_cycles; /* of the lead, when others were cut off and left out; 0 = none were */
    sw_stretch stretch;
    double line_over_lead;
    sw_relation relation; /* of the channels' fundamentals */
    bool of_phase;
    sw_motor *motor;
} sw_analysis;

/* crests.c: cycles with cut-off crests are left out of the volts, where enough are whole. */
void sw_crests_judge(sw_analysis *analysis);

/* checks.c: what is odd about the recording, before and after the analysis. */
void sw_check_recording(const sw_analysis *analysis);
void sw_check_crests(const sw_analysis *analysis); /* cut off at full scale or by the clamps? */
void sw_check_level(const sw_analysis *analysis);  /* do the volts follow the speed? */
void sw_check_result(const sw_analysis *analysis);
/* A steady line at the mains frequency, all through the record: not a motor. */
bool sw_check_is_mains(const sw_analysis *analysis);
/* No cycle or a few slow swings below half of the input's low cut: as likely its own drift. */
bool sw_check_is_drift(const sw_analysis *analysis);

/* brushed.c: a voltage of one sign that comes and goes with the speed. *found tells whether it is
 * one; then the record is complete. */
sw_status sw_brushed_measure(sw_analysis *analysis, bool *found, sw_error *error);

/* speed.c: pole pairs, speed. */
sw_status sw_speed_tell(sw_analysis *analysis, sw_error *error);

/* So much of the record is cut off at full scale that the volts are too low. */
bool sw_clipped_hard(const sw_analysis *analysis);

/* Are the samples volts that can be believed: a probe document or a scope's own scale, crests that
 * are whole, and no recorder that turned its gain? */
bool sw_volts_known(const sw_analysis *analysis);

#endif
