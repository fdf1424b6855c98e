/* What speaks against a probe document's numbers before it is used: its age, or values that no
 * sound input with a divider has. */
#ifndef SPINWORTH_PROBES_PROFILE_DOUBT_H
#define SPINWORTH_PROBES_PROFILE_DOUBT_H

#include "probes/profile.h"

/* A calibration older than this is asked for again: gain settings, drivers and sound cards change
 * (a usual interval of calibration; common practice, no source). */
enum { SW_PROFILE_AGE_DAYS = 365 };

typedef enum sw_profile_doubt {
    SW_PROFILE_OLD,     /* calibrated more than SW_PROFILE_AGE_DAYS ago */
    SW_PROFILE_AHEAD,   /* its day has not come yet: one of two calendars is wrong */
    SW_PROFILE_VOLTS,   /* volts at full scale that no divider for a motor gives */
    SW_PROFILE_LOW_CUT, /* a low cut no sound input has */
    SW_PROFILE_DOUBTS
} sw_profile_doubt;

/* Does it apply on the day `today` (shared/day.h; 0 = not known, no word on age)? Then a sentence
 * without a full stop stands in out. */
bool sw_profile_doubt_say(const sw_profile *profile, sw_profile_doubt doubt, long today, char *out,
                          size_t room);

#endif
