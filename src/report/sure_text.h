/* How sure a match is, and which reading would make it surer. */
#ifndef SPINWORTH_REPORT_SURE_TEXT_H
#define SPINWORTH_REPORT_SURE_TEXT_H

#include "shared/text.h"
#include "src/match/match.h"

#include <cjson/cJSON.h>
#include <stdbool.h>

/* How sure verdict and choice are, and every reading that would make the year's energy surer; the
 * probabilities themselves with details. Nothing unless match->full. */
void sw_sure_text(const sw_match *match, bool details, sw_text *text);

/* The one reading that helps most, the inductance where it was not measured and matters, and what
 * was guessed. motor_file: for the call to be typed, NULL = "motor.json". */
void sw_sure_next_text(const sw_match *match, const sw_motor *motor, const char *motor_file,
                       sw_text *text);

/* "how_sure" of a match document. */
void sw_sure_add_json(cJSON *root, const sw_sure *sure);

#endif
