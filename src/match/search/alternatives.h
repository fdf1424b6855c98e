/* What else could be done: a wheel smaller or larger, another drive or rectifier, the motor
 * opened. */
#ifndef SPINWORTH_MATCH_ALTERNATIVES_H
#define SPINWORTH_MATCH_ALTERNATIVES_H

#include "src/match/match.h"

/* Fill match->alternative from its search; the best choice must be there. */
void sw_alternative_list(const sw_search_request *request, sw_match *match);

#endif
