/* A log beside its prediction, in words and as JSON. */
#ifndef SPINWORTH_REPORT_COMPARE_TEXT_H
#define SPINWORTH_REPORT_COMPARE_TEXT_H

#include "shared/text.h"
#include "src/match/compare/compare.h"

#include <cjson/cJSON.h>
#include <stdbool.h>

void sw_compare_text(const sw_comparison *comparison, bool us, sw_text *text);
cJSON *sw_compare_to_json(const sw_comparison *comparison);

#endif
