/* A diode as the solver sees it: nothing below a knee current, Shockley with series resistance
 * above it.
 *
 * v = n Vt ln(1 + i/is) + rs i (Shockley, 1949) is steep without limit towards i = 0. Below
 * KNEE it is replaced by its tangent, so that conduction begins at a definite voltage: the
 * threshold. What is lost is less than KNEE per diode. A fixed drop has its drop as threshold.
 */
#ifndef SPINWORTH_MATCH_ELECTRIC_DIODE_LAW_H
#define SPINWORTH_MATCH_ELECTRIC_DIODE_LAW_H

#include "src/match/wiring.h"

typedef struct sw_diode_law {
    double thermal_v; /* n Vt; 0 = fixed drop */
    double is_a;
    double rs_ohm;
    double threshold_v; /* forward voltage at which current begins */
    double knee_ohm;    /* slope of the logarithm's tangent at the knee */
} sw_diode_law;

/* Current below which a diode counts as tangent: well below what an ammeter shows. */
static const double sw_diode_knee_a = 1e-4;

sw_diode_law sw_diode_law_of(const sw_diode *diode);

/* Forward voltage at current i (any sign: the tangent goes on below zero) and its slope. */
double sw_diode_law_volts(const sw_diode_law *law, double current_a, double *slope_ohm);

#endif
