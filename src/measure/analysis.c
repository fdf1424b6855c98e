#include "src/measure/analysis.h"

/* Where cycles that are whole were found the volts are theirs (crests.c). Else: a whole record
 * whose crests are cut for a tenth of the time lacks 0.17 % of its fundamental (with the cut at
 * cos(pi/20) of the crest); one that is cut hard for a sixth of the time is passed over by the
 * robust fit. Beyond, the volts are no reading. */
static const double MOST_CLIPPED = 0.1;

bool sw_clipped_hard(const sw_analysis *a) {
    double samples = (double)a->waveform->frames * (double)a->waveform->channels;
    return a->whole_cycles == 0 && (double)a->clipped > MOST_CLIPPED * samples;
}

bool sw_volts_known(const sw_analysis *a) {
    bool scaled = a->waveform->in_volts || sw_quantity_known(a->request->profile.volts_per_unit);
    return scaled && !a->request->level_untrusted && !sw_clipped_hard(a) &&
           !sw_motor_warned(a->motor, SW_WARN_AUTOMATIC_LEVEL);
}
