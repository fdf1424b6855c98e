/* The pieces of a match's short answer: verdict, why, what to do, what it gives, what can hurt. */
#ifndef SPINWORTH_REPORT_ADVICE_TEXT_H
#define SPINWORTH_REPORT_ADVICE_TEXT_H

#include "shared/text.h"
#include "src/match/match.h"

#include <stdbool.h>

/* One sentence with its conditions, and what a year is expected to give. */
void sw_advice_verdict(const sw_motor *motor, const sw_match *match, sw_text *text);

/* The three reasons that matter most. */
void sw_advice_why(const sw_match *match, bool us, sw_text *text);

/* Wheel, wiring, rectifier, fuse; how to see that it works; what another number of motors would
 * give if so many are at hand. match->recommended. */
void sw_advice_do(const sw_match *match, int machines, bool us, sw_text *text);

/* When it charges, what comes in a few winds, what a year of it runs. match->full. */
void sw_advice_gives(const sw_match *match, bool us, sw_text *text);

/* The cautions on how it runs (running), or all others; BOUNCE, which is none, stands in the build
 * sheet. (danger_text.c) */
void sw_advice_cautions(const sw_match *match, bool running, bool us, sw_text *text);

/* The storm in a sentence and every caution; what must be done before the first night.
 * (danger_text.c) */
void sw_advice_hurts(const sw_match *match, bool us, sw_text *text);

/* What a year's energy does: "lights 4 lamps of 5 W for four hours a day" (uses_text.c). */
void sw_uses_say(const sw_match *match, char *out, size_t room);

#endif
