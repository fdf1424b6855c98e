#include "src/measure/analysis.h"

bool sw_volts_known(const sw_analysis *a) {
    bool scaled = a->waveform->in_volts || sw_quantity_known(a->request->profile.volts_per_unit);
    return scaled && !a->request->level_untrusted;
}
