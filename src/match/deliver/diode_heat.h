/* Heat of the rectifier: what each diode and the whole block gives off, what cooling that takes,
 * and whether the diodes' ratings hold with a margin. */
#ifndef SPINWORTH_MATCH_DIODE_HEAT_H
#define SPINWORTH_MATCH_DIODE_HEAT_H

#include "src/match/parts/reference.h"
#include "src/match/wiring.h"

typedef struct sw_diode_heat {
    int diodes;          /* of one machine's rectifier; 0 = none */
    double block_w;      /* one machine's rectifier */
    double diode_w;      /* one diode */
    double diode_mean_a; /* one diode */
    double sink_k_w;     /* heat sink that will do, case to air; INFINITY = none needed, NaN =
                          * rating not known, not above 0 = no sink can do it */
    bool current_fine;   /* mean current with CURRENT margin within the rating, or not known */
    bool inverse_fine;   /* open-circuit volts with INVERSE margin likewise */
    double rated_a;      /* NaN = not known */
    double rated_v;
} sw_diode_heat;

/* Diodes in one machine's rectifier. */
int sw_diode_count(const sw_motor *motor, sw_rectifier rectifier);

/* open_v: volts that the diodes must hold when the load is off (sw_deliver_open_volts).
 * A junction is kept 25 K below its limit; current has 1.5 and volts 2 times margin (common
 * practice, no source). */
sw_diode_heat sw_diode_heat_of(const sw_motor *motor, const sw_wiring *wiring,
                               const sw_operating_point *point, double open_v,
                               const sw_diode_rating *rating, double ambient_degc);

#endif
