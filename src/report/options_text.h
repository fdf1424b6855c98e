/* What else was looked at: the sizes beside the recommended one, other batteries and wirings, what
 * was left out and why. */
#ifndef SPINWORTH_REPORT_OPTIONS_TEXT_H
#define SPINWORTH_REPORT_OPTIONS_TEXT_H

#include "shared/text.h"
#include "src/match/match.h"

#include <cjson/cJSON.h>
#include <stdbool.h>

void sw_options_text(const sw_match *match, bool us, sw_text *text);

/* One line on what would give clearly more and is not the recommended one; nothing when there is
 * none (advice_text.c). */
void sw_options_best(const sw_match *match, bool us, sw_text *text);

/* "rejected" and "made_to_measure" of a match document's "recommended". */
void sw_options_add_json(cJSON *recommended, const sw_match *match);

/* Of so many equal motors at hand (2 or more), what another number than the recommended one gives.
 */
void sw_options_machines(const sw_match *match, int asked, sw_text *text);

#endif
