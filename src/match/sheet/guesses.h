/* What a match rests on that nobody measured, and with which uncertainty it is counted. */
#ifndef SPINWORTH_MATCH_GUESSES_H
#define SPINWORTH_MATCH_GUESSES_H

#include "src/match/match.h"

/* Guesses of the rim that fill what the request leaves open. */
sw_rim sw_guess_rim(const sw_match_request *request);

/* match: its load, and its drive when one is recommended. */
void sw_guess_list(const sw_match_request *request, const sw_match *match, const sw_rim *rim,
                   sw_remarks *guessed);

/* Relative standard uncertainty of each input, defaults where none is stated; motor: the request's,
 * filled up. */
void sw_guess_doubts(const sw_match_request *request, const sw_motor *motor,
                     double u[SW_DOUBT_COUNT]);

#endif
