#include "src/match/electric/diode_law.h"

#include <math.h>

/* k T / q at 27 degC (300.15 K), CODATA 2018. */
static const double thermal_voltage_v = 0.025865;

sw_diode_law sw_diode_law_of(const sw_diode *diode) {
    sw_diode_law law = {0.0, diode->is_a, diode->rs_ohm, diode->drop_v, 0.0};
    if (diode->is_a <= 0.0) {
        return law;
    }
    law.thermal_v = diode->n * thermal_voltage_v;
    law.knee_ohm = law.thermal_v / (diode->is_a + sw_diode_knee_a);
    law.threshold_v =
        law.thermal_v * log1p(sw_diode_knee_a / diode->is_a) - law.knee_ohm * sw_diode_knee_a;
    return law;
}

double sw_diode_law_volts(const sw_diode_law *law, double current_a, double *slope_ohm) {
    const double series_v = law->rs_ohm * current_a;
    if (law->thermal_v == 0.0 || current_a < sw_diode_knee_a) {
        *slope_ohm = law->rs_ohm + law->knee_ohm;
        return law->threshold_v + law->knee_ohm * current_a + series_v;
    }
    *slope_ohm = law->rs_ohm + law->thermal_v / (law->is_a + current_a);
    return law->thermal_v * log1p(current_a / law->is_a) + series_v;
}
