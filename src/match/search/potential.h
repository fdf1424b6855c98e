/* What the rotor would give if it were held at its best power coefficient in every wind: worked out
 * once, then any mean wind only weighs it. */
#ifndef SPINWORTH_MATCH_POTENTIAL_H
#define SPINWORTH_MATCH_POTENTIAL_H

#include "src/match/rotor/rotor.h"
#include "src/match/site/site.h"

enum { SW_POTENTIAL_POINTS = 200 };

typedef struct sw_potential {
    double wind_m_s[SW_POTENTIAL_POINTS];
    double best_w[SW_POTENTIAL_POINTS];
    double betz_w[SW_POTENTIAL_POINTS]; /* 16/27 of the wind through the swept area */
} sw_potential;

void sw_potential_of(const sw_rotor *rotor, const sw_site *site, sw_potential *potential);

/* kWh a year at the site's mean wind times mean_factor. */
double sw_potential_kwh(const sw_potential *potential, const sw_site *site, double mean_factor);
double sw_potential_betz_kwh(const sw_potential *potential, const sw_site *site);

#endif
