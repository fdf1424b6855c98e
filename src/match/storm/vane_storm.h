/* What a storm does to the vanes: the wind's push on one and on all, the pull at their fixings.
 * Numbers for whoever works out fixings and mast; no structure is judged here. */
#ifndef SPINWORTH_MATCH_VANE_STORM_H
#define SPINWORTH_MATCH_VANE_STORM_H

#include "src/match/rotor/rotor.h"

typedef struct sw_vane_storm {
    double wind_m_s;
    double rotor_rad_s; /* running away with the load lost */
    double wind_n;      /* on one vane square to the wind; NaN = its size is not known */
    double parked_n;    /* on the whole rotor standing still */
    double pull_n;      /* outward, of the vane's mass; NaN = mass or arm not known */
} sw_vane_storm;

sw_vane_storm sw_vane_storm_of(const sw_rotor *rotor, double density, double wind_m_s,
                               double rotor_rad_s);

/* The same with nothing coupled to the rotor: the fastest it can turn. */
sw_vane_storm sw_vane_storm_free(const sw_rotor *rotor, double density, double wind_m_s);

#endif
