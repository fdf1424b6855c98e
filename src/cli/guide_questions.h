/* The guide's questions after the spin, and how their answers are held against measure's limits. */
#ifndef SPINWORTH_CLI_GUIDE_QUESTIONS_H
#define SPINWORTH_CLI_GUIDE_QUESTIONS_H

#include "src/cli/guide.h"

/* An answer is what this option of measure is to be given, another one beside it (NULL = none). */
typedef struct sw_guide_fact {
    const sw_guide *guide;
    const char *option;
    const char *other;
    const char *value; /* of the other */
} sw_guide_fact;

/* For sw_talk_check, user being a sw_guide_fact: what measure would refuse is refused. */
sw_status sw_guide_fits(const void *user, const char *answer, sw_error *error);

/* Did the shaft turn? Asked where nothing was heard. */
bool sw_guide_was_turned(sw_guide *guide);

/* A free run-down gives drag only with the inertia. */
bool sw_guide_knows_inertia(const sw_guide *guide);

/* All that apply to the recording of so many channels. */
void sw_guide_ask_all(sw_guide *guide, const char *recording, size_t channels);

#endif
