/* The likely family of a motor in one line, and as JSON. */
#ifndef SPINWORTH_REPORT_FAMILY_TEXT_H
#define SPINWORTH_REPORT_FAMILY_TEXT_H

#include "shared/text.h"
#include "src/measure/family.h"

#include <cjson/cJSON.h>
#include <stdbool.h>

/* "Probably a washer drum motor (7 in 10): good for ...; bad for ..."; nothing without a guess. */
void sw_family_text(const sw_family_guess *guess, bool details, sw_text *text);

/* The object under "family" in a motor document; null without a guess. Owned by the caller. */
cJSON *sw_family_to_json(const sw_family_guess *guess);

#endif
