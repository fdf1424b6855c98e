/* A calibration in words, and as a document: the probe with what it stands on. */
#ifndef SPINWORTH_REPORT_CALIBRATE_TEXT_H
#define SPINWORTH_REPORT_CALIBRATE_TEXT_H

#include "probes/calibrate.h"
#include "shared/text.h"

#include <cjson/cJSON.h>

/* saved_as may be NULL. */
void sw_calibrate_text(const sw_calibration *calibration, const sw_profile *profile,
                       const char *saved_as, sw_text *text);

/* {"document": "calibration", "probe": {...}, ...}; the caller frees it with cJSON_Delete. */
cJSON *sw_calibrate_to_json(const sw_calibration *calibration, const sw_profile *profile);

#endif
