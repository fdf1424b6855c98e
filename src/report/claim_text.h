/* What became of the plate's claim, in words and as JSON. */
#ifndef SPINWORTH_REPORT_CLAIM_TEXT_H
#define SPINWORTH_REPORT_CLAIM_TEXT_H

#include "shared/text.h"
#include "src/match/sheet/claim.h"

#include <cjson/cJSON.h>
#include <stdbool.h>

void sw_claim_text(const sw_claim_finding *finding, bool us, sw_text *text);
cJSON *sw_claim_to_json(const sw_claim_finding *finding);

#endif
