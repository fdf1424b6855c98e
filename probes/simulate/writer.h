/* Saving a simulated record: a sound file or a scope's table, and its truth. */
#ifndef SPINWORTH_PROBES_SIMULATE_WRITER_H
#define SPINWORTH_PROBES_SIMULATE_WRITER_H

#include "probes/simulate/truth.h"
#include "shared/status.h"
#include "shared/waveform.h"

#include <cjson/cJSON.h>
#include <stdbool.h>

/* WAV, or FLAC when path ends in .flac; bits as simulated (0 is stored as 32-bit float). Samples
 * of a scope are divided by its full scale. */
sw_status sw_sim_save_sound(const char *path, const sw_waveform *waveform,
                            const sw_sim_front *front, bool force, sw_error *error);

/* Comma-separated table: a header row with units, times, one column a channel, in volts at the
 * motor's side of the divider for a scope, else in units of full scale. */
sw_status sw_sim_save_table(const char *path, const sw_waveform *waveform,
                            const sw_sim_front *front, bool force, sw_error *error);

/* The truth as JSON; the caller frees it with cJSON_Delete. */
cJSON *sw_sim_truth_to_json(const sw_sim_truth *truth);

#endif
