/* The pressed wheel in words and as JSON: wheel, spring, arm, bearing, wear, frost. */
#ifndef SPINWORTH_REPORT_WHEEL_TEXT_H
#define SPINWORTH_REPORT_WHEEL_TEXT_H

#include "shared/text.h"
#include "src/match/match.h"

#include <cjson/cJSON.h>
#include <stdbool.h>

/* "Wheel and spring" of the build sheet; nothing without a pressed wheel. */
void sw_wheel_text(const sw_match *match, const sw_rotor *rotor, bool us, sw_text *text);

/* The object "wheel" of a match; match->wheel is filled and pressed. */
cJSON *sw_wheel_to_json(const sw_match *match);

#endif
