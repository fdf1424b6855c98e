/* What the coupled machine does at each wind, and what a year of the site's wind makes of it. */
#ifndef SPINWORTH_MATCH_POWER_CURVE_H
#define SPINWORTH_MATCH_POWER_CURVE_H

#include "shared/status.h"
#include "src/match/plant.h"
#include "src/match/site/site.h"

#include <stddef.h>

enum { SW_CURVE_LIMIT = 256 };

/* Running means coming down from a stronger wind, started means from rest at the worst angle. */
typedef struct sw_power_point {
    double wind_m_s;
    double running_rad_s;
    double started_rad_s; /* 0 below the starting wind */
    double running_w;     /* DC at the rails */
    double started_w;
} sw_power_point;

typedef struct sw_power_curve {
    size_t count;
    sw_power_point point[SW_CURVE_LIMIT]; /* rising wind; start and cut-in are among the points */
    double start_wind;                    /* INFINITY = does not start itself */
    double cut_in_wind;                   /* INFINITY = never makes power */
    double top_wind;                      /* end of what was worked out */
} sw_power_curve;

/* From 0 to top_wind in steps of about step m/s; balance_steps as in sw_balance_request. */
void sw_power_curve_make(const sw_plant *plant, double top_wind, double step, size_t balance_steps,
                         sw_power_curve *curve);

/* The same without looking for the exact wind of cut-in and of jumps between branches: for sorting
 * what is worth a closer look. */
void sw_power_curve_sketch(const sw_plant *plant, double top_wind, double step,
                           size_t balance_steps, sw_power_curve *curve);

/* Wind up to which the curve matters at a site: all but a millionth of the time, at most 45 m/s,
 * never above the shutdown wind. */
double sw_site_top_wind(const sw_site *site);

/* Wind that is exceeded for so many hours a year. */
double sw_site_wind_exceeded(const sw_site *site, double hours);

/* kWh a year by exact bin probabilities: hours of each bin times the mean of the powers at its
 * edges. mean_factor multiplies the site's wind. */
double sw_year_started_kwh(const sw_power_curve *curve, const sw_site *site, double mean_factor);
double sw_year_running_kwh(const sw_power_curve *curve, const sw_site *site, double mean_factor);

/* The same for any power over wind, given at rising winds; nothing outside them. */
double sw_year_kwh(const double *wind_m_s, const double *power_w, size_t count, const sw_site *site,
                   double mean_factor);

#endif
