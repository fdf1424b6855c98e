/* Months and hot magnets in words and as JSON. */
#ifndef SPINWORTH_REPORT_SEASONS_TEXT_H
#define SPINWORTH_REPORT_SEASONS_TEXT_H

#include "shared/text.h"
#include "src/match/year/seasons.h"

#include <cjson/cJSON.h>
#include <stdbool.h>

/* The months, where the site knows them. */
void sw_months_text(const sw_seasons *seasons, bool us, sw_text *text);

/* "months" (when known) and "hot_magnets" of a match document's "recommended". */
void sw_seasons_add_json(cJSON *recommended, const sw_seasons *seasons);

#endif
