/* The site: how often which wind blows at the rotor, and how hard the storm is. */
#ifndef SPINWORTH_MATCH_SITE_H
#define SPINWORTH_MATCH_SITE_H

#include "shared/quantity.h"
#include "shared/status.h"

#include <cjson/cJSON.h>
#include <stdbool.h>
#include <stddef.h>

enum { SW_SITE_NAME_ROOM = 80, SW_SITE_NOTE_ROOM = 300, SW_SITE_MONTHS = 12 };

typedef struct sw_site {
    char name[SW_SITE_NAME_ROOM];
    char note[SW_SITE_NOTE_ROOM]; /* a remark for the builder (cells left out of a wind file) */
    sw_quantity mean_wind;        /* "m/s" at the hub, after shear; u always stated */
    bool mean_wind_guessed;       /* u was not stated: 10 % default, or the document says guessed */
    double weibull_k;
    bool weibull_guessed;
    double density;         /* kg/m3 */
    sw_quantity storm_wind; /* "m/s", gust the rotor must live through */
    bool storm_guessed;
    double shutdown_wind;                  /* m/s, nothing above; INFINITY = none */
    size_t samples;                        /* measured wind speeds instead of Weibull; 0 = none */
    double *sample_m_s;                    /* owned, at the hub, ascending */
    bool monthly;                          /* month_mean_m_s is filled */
    double month_mean_m_s[SW_SITE_MONTHS]; /* at the hub */
} sw_site;

/* Read a site document; a wind file named in it is looked up beside it, roughness classes below
 * reference_dir. */
sw_status sw_site_read(const char *path, const char *reference_dir, const sw_units *units,
                       sw_site *site, sw_error *error);
sw_status sw_site_parse(const cJSON *root, const char *file, const char *reference_dir,
                        const sw_units *units, sw_site *site, sw_error *error);
void sw_site_free(sw_site *site);

/* Weibull by mean and k: F(v) = 1 - exp(-(v/c)^k), c = mean / Gamma(1 + 1/k). */
double sw_weibull_scale(double mean_m_s, double k);

/* Hours a year with wind in [low, high); with another mean for Monte Carlo (mean_factor, 1 = as
 * is). Exact for Weibull, counted for measured speeds. */
double sw_site_hours(const sw_site *site, double low_m_s, double high_m_s, double mean_factor);

/* Power-law and log-law height corrections, factor on the wind. */
double sw_shear_power(double from_m, double to_m, double exponent);
double sw_shear_log(double from_m, double to_m, double roughness_m);

/* Gust of a small-turbine class (1 .. 4) and the class whose yearly mean covers mean_m_s:
 * 1.4 V_ref, V_ref = 5 V_ave, IEC 61400-2 (from memory). */
int sw_storm_class(double mean_m_s);
double sw_storm_gust(int small_turbine_class);

#endif
