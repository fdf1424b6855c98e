/* A divider in words, with a sketch of the wiring and a parts list, and as a document. */
#ifndef SPINWORTH_REPORT_DIVIDER_TEXT_H
#define SPINWORTH_REPORT_DIVIDER_TEXT_H

#include "probes/divider.h"
#include "shared/text.h"

#include <cjson/cJSON.h>

void sw_divider_text(const sw_divider *divider, sw_input_kind input, const char *saved_as,
                     sw_text *text);

/* The caller frees it with cJSON_Delete. */
cJSON *sw_divider_to_json(const sw_divider *divider, sw_input_kind input);

#endif
