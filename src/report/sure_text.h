/* How sure a match is, and which reading would make it surer. */
#ifndef SPINWORTH_REPORT_SURE_TEXT_H
#define SPINWORTH_REPORT_SURE_TEXT_H

#include "shared/text.h"
#include "src/match/match.h"

#include <cjson/cJSON.h>
#include <stdbool.h>

/* Two rows of the table of numbers; the probabilities themselves with details. */
void sw_sure_rows_text(const sw_match *match, bool details, sw_text *text);

/* The next readings, the one that narrows the range most first; what is missing before all. */
void sw_sure_next_text(const sw_match *match, sw_text *text);

/* "how_sure" of a match document. */
void sw_sure_add_json(cJSON *root, const sw_sure *sure);

#endif
