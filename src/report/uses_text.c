#include "src/report/advice_text.h"

#include <math.h>
#include <stdio.h>

typedef struct use_row {
    const char *verb;
    const char *one;
    const char *several; /* after a number; NULL = nobody counts several */
    double kwh;
} use_row;

/* What things take a year: watts times usual hours (common practice, no source). */
static const use_row USES[] = {
    {"charges", "one phone a day", NULL, 6},
    {"lights", "one lamp of 5 W for four hours a day", "lamps of 5 W for four hours a day", 7.3},
    {"keeps", "an internet box of 10 W going day and night", NULL, 88},
    {"runs", "one small, efficient refrigerator", "small, efficient refrigerators", 130},
};

/* A rotor that is pushed gives what it gives while running; the part lost on the way is the same.
 */
static double usable_of(const sw_match *match) {
    if (!sw_remarked(&match->reasons, SW_REASON_NEEDS_PUSH))
        return match->usable_kwh;
    double part = match->started_kwh > 0 ? match->usable_kwh / match->started_kwh : 1;
    return match->running_kwh * part;
}

void sw_uses_say(const sw_match *match, char *out, size_t room) {
    const use_row *fit = NULL;
    double usable_kwh = usable_of(match);
    for (size_t i = 0; i < sizeof USES / sizeof *USES; i++)
        if (USES[i].kwh <= usable_kwh)
            fit = &USES[i];
    if (fit == NULL) {
        snprintf(out, room, "gives less than one phone takes");
        return;
    }
    double count = floor(usable_kwh / fit->kwh);
    if (count < 2 || fit->several == NULL)
        snprintf(out, room, "%s %s", fit->verb, fit->one);
    else
        snprintf(out, room, "%s %.0f %s", fit->verb, count, fit->several);
}
