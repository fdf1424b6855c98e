/* Statistics of the wind: Weibull, hours a year, height, storm classes. */
#include "src/match/site/site.h"

#include <gsl/gsl_sf_gamma.h>
#include <math.h>

static const double HOURS_A_YEAR = 8760.0;

double sw_weibull_scale(double mean_m_s, double k) {
    return mean_m_s / gsl_sf_gamma(1 + 1 / k);
}

/* Number of ascending samples below wind. */
static size_t samples_below(const sw_site *site, double wind_m_s) {
    size_t low = 0;
    size_t high = site->samples;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (site->sample_m_s[middle] < wind_m_s)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

double sw_site_hours(const sw_site *site, double low_m_s, double high_m_s, double mean_factor) {
    if (!(high_m_s > low_m_s))
        return 0;
    if (site->samples > 0) {
        size_t below_high = samples_below(site, high_m_s / mean_factor);
        size_t below_low = samples_below(site, low_m_s / mean_factor);
        return HOURS_A_YEAR * (double)(below_high - below_low) / (double)site->samples;
    }
    double scale = sw_weibull_scale(site->mean_wind.value * mean_factor, site->weibull_k);
    /* exp(-a) - exp(-b), the difference of the exceedances, keeps its digits in the tail */
    double above_low = exp(-pow(fmax(low_m_s, 0) / scale, site->weibull_k));
    double above_high = exp(-pow(fmax(high_m_s, 0) / scale, site->weibull_k));
    return HOURS_A_YEAR * (above_low - above_high);
}

double sw_shear_power(double from_m, double to_m, double exponent) {
    return pow(to_m / from_m, exponent);
}

double sw_shear_log(double from_m, double to_m, double roughness_m) {
    return log(to_m / roughness_m) / log(from_m / roughness_m);
}

/* V_ref of the small-turbine classes 1 .. 4, m/s: IEC 61400-2, from memory. */
static const double REFERENCE_WIND[] = {50.0, 42.5, 37.5, 30.0};
enum { CLASSES = sizeof REFERENCE_WIND / sizeof *REFERENCE_WIND };

int sw_storm_class(double mean_m_s) {
    int found = CLASSES;
    while (found > 1 && mean_m_s > REFERENCE_WIND[found - 1] / 5)
        found--;
    return found;
}

double sw_storm_gust(int small_turbine_class) {
    int index = small_turbine_class < 1         ? 0
                : small_turbine_class > CLASSES ? CLASSES - 1
                                                : small_turbine_class - 1;
    return 1.4 * REFERENCE_WIND[index];
}
