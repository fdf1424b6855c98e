/* The storm in words and as JSON: the load lost, the wires shorted, the pull on a vane. */
#ifndef SPINWORTH_REPORT_STORM_TEXT_H
#define SPINWORTH_REPORT_STORM_TEXT_H

#include "shared/text.h"
#include "src/match/match.h"

#include <cjson/cJSON.h>
#include <stdbool.h>

void sw_storm_text(const sw_match *match, bool us, sw_text *text);

/* The object "storm" of a full match. */
cJSON *sw_storm_to_json(const sw_match *match);

#endif
