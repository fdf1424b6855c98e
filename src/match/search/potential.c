#include "src/match/search/potential.h"

#include "src/match/year/power_curve.h"

#include <math.h>

/* Betz's limit, 16/27. */
static const double BETZ = 16.0 / 27.0;

void sw_potential_of(const sw_rotor *rotor, const sw_site *site, sw_potential *potential) {
    double top_wind = sw_site_top_wind(site);
    for (int i = 0; i < SW_POTENTIAL_POINTS; i++) {
        double wind = top_wind * i / (SW_POTENTIAL_POINTS - 1);
        double passing_w = 0.5 * site->density * rotor->swept_area_m2 * pow(wind, 3);
        double peak = i == 0 ? 0 : sw_rotor_peak(rotor, wind, NULL);
        potential->wind_m_s[i] = wind;
        potential->best_w[i] = passing_w * fmax(peak, 0);
        potential->betz_w[i] = passing_w * BETZ;
    }
}

double sw_potential_kwh(const sw_potential *potential, const sw_site *site, double mean_factor) {
    return sw_year_kwh(potential->wind_m_s, potential->best_w, SW_POTENTIAL_POINTS, site,
                       mean_factor);
}

double sw_potential_betz_kwh(const sw_potential *potential, const sw_site *site) {
    return sw_year_kwh(potential->wind_m_s, potential->betz_w, SW_POTENTIAL_POINTS, site, 1);
}
