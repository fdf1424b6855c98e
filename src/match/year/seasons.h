/* The year in finer grain: watt-hours a day for each month where the site knows its months, and the
 * same machine with hot magnets. */
#ifndef SPINWORTH_MATCH_SEASONS_H
#define SPINWORTH_MATCH_SEASONS_H

#include "src/match/load/load.h"
#include "src/match/year/power_curve.h"

#include <stdbool.h>

typedef struct sw_seasons {
    bool monthly; /* the site gave its months */
    double month_wind_m_s[SW_SITE_MONTHS];
    double month_wh_day[SW_SITE_MONTHS];  /* at the rails, started from rest */
    double usable_wh_day[SW_SITE_MONTHS]; /* after battery, cable, converter, standby; may be 0 */
    int leanest;                          /* month with the least to use, 0 = January */
    double hot_degc; /* of the magnets; ferrite where nobody said what they are */
    double hot_emf;  /* EMF over that at 20 degC */
    double hot_kwh;  /* a year, started */
    double hot_cut_in_rpm;
} sw_seasons;

typedef struct sw_seasons_request {
    const sw_plant *plant;
    const sw_power_curve *curve;
    const sw_site *site;
    const sw_load *load;
    const char *reference_dir;
} sw_seasons_request;

/* Fails as sw_table_find does. */
sw_status sw_seasons_of(const sw_seasons_request *request, sw_seasons *seasons, sw_error *error);

#endif
