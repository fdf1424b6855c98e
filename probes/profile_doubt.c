#include "probes/profile_doubt.h"

#include "shared/day.h"

#include <stdio.h>

/* From a bare microphone input (some 5 mV at full scale) to the largest volts a divider is designed
 * for here, 1000 V rms with its peak and head room. */
static const double LEAST_V = 0.005;
static const double MOST_V = 2500;

static void say_age(const sw_profile *profile, bool ahead, char *out, size_t room) {
    char day[SW_DAY_ROOM];
    sw_day_write(profile->calibrated_day, day);
    if (ahead)
        snprintf(out, room,
                 "the probe was calibrated on %s, a day that has not come yet: this computer's "
                 "calendar is wrong, or that of its calibration was",
                 day);
    else
        snprintf(out, room,
                 "the probe was calibrated on %s, more than a year ago: gain settings and sound "
                 "cards change, so tap a battery again (spinworth calibrate) before you rely on "
                 "the volts",
                 day);
}

bool sw_profile_doubt_say(const sw_profile *profile, sw_profile_doubt doubt, long today, char *out,
                          size_t room) {
    bool dated = profile->calibrated_day != 0 && today != 0;
    long age = today - profile->calibrated_day;
    double volts = profile->volts_per_unit.value;
    double cut_hz = profile->low_cut_hz.value;
    out[0] = '\0';
    if ((doubt == SW_PROFILE_OLD && dated && age > SW_PROFILE_AGE_DAYS) ||
        (doubt == SW_PROFILE_AHEAD && dated && age < -1)) /* a day may differ by the time zone */
        say_age(profile, doubt == SW_PROFILE_AHEAD, out, room);
    else if (doubt == SW_PROFILE_VOLTS && (volts < LEAST_V || volts > MOST_V))
        snprintf(out, room,
                 "the probe says that %.3g V fill the recording to its limit, where %g to %g V are "
                 "usual for a sound input with its divider: is volts_per_unit right?",
                 volts, LEAST_V, MOST_V);
    else if (doubt == SW_PROFILE_LOW_CUT && cut_hz > SW_LOW_CUT_USUAL_HZ)
        snprintf(out, room,
                 "the probe's low cut of %.3g Hz is high for a sound input (%g Hz at most are "
                 "usual): is low_cut right, or a filter switched on?",
                 cut_hz, SW_LOW_CUT_USUAL_HZ);
    return out[0] != '\0';
}
