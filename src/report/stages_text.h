/* Motors lowered on the rim one after another, in words and as JSON; nothing unless it pays. */
#ifndef SPINWORTH_REPORT_STAGES_TEXT_H
#define SPINWORTH_REPORT_STAGES_TEXT_H

#include "shared/text.h"
#include "src/match/search/stages.h"

#include <cjson/cJSON.h>
#include <stdbool.h>

void sw_stages_text(const sw_stages *stages, bool us, sw_text *text);

/* "stages" of a match document's "recommended". */
void sw_stages_add_json(cJSON *recommended, const sw_stages *stages);

#endif
