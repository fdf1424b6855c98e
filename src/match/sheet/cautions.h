/* What the builder must be told even when nobody asked: volts, brakes, slip, limits. */
#ifndef SPINWORTH_MATCH_CAUTIONS_H
#define SPINWORTH_MATCH_CAUTIONS_H

#include "src/match/match.h"

/* Needs a full match. */
void sw_caution_list(const sw_match_request *request, const sw_match *match, sw_remarks *cautions);

#endif
