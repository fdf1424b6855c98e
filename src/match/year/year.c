#include "src/match/year/power_curve.h"

#include <math.h>

static const double STRONGEST_WIND = 45.0;
static const double LEAST_TOP_WIND = 10.0;

double sw_site_wind_exceeded(const sw_site *site, double hours) {
    double low = 0;
    double high = 2 * STRONGEST_WIND;
    for (int i = 0; i < 60; i++) {
        double middle = 0.5 * (low + high);
        if (sw_site_hours(site, middle, INFINITY, 1) > hours)
            low = middle;
        else
            high = middle;
    }
    return high;
}

double sw_site_top_wind(const sw_site *site) {
    double top = sw_site_wind_exceeded(site, 0.01);
    top = fmin(fmax(top, LEAST_TOP_WIND), STRONGEST_WIND);
    return fmin(top, site->shutdown_wind);
}

/* IEC 61400-12-1, annual energy production: sum of hours in the bin times the mean of the powers
 * at its two edges. */
double sw_year_kwh(const double *wind_m_s, const double *power_w, size_t count, const sw_site *site,
                   double mean_factor) {
    double watt_hours = 0;
    for (size_t i = 1; i < count; i++) {
        if (wind_m_s[i] > site->shutdown_wind)
            break;
        double hours = sw_site_hours(site, wind_m_s[i - 1], wind_m_s[i], mean_factor);
        watt_hours += hours * 0.5 * (power_w[i - 1] + power_w[i]);
    }
    return watt_hours / 1000;
}

static double curve_kwh(const sw_power_curve *curve, const sw_site *site, double mean_factor,
                        bool running) {
    double wind[SW_CURVE_LIMIT];
    double power[SW_CURVE_LIMIT];
    for (size_t i = 0; i < curve->count; i++) {
        wind[i] = curve->point[i].wind_m_s;
        power[i] = running ? curve->point[i].running_w : curve->point[i].started_w;
    }
    return sw_year_kwh(wind, power, curve->count, site, mean_factor);
}

double sw_year_started_kwh(const sw_power_curve *curve, const sw_site *site, double mean_factor) {
    return curve_kwh(curve, site, mean_factor, false);
}

double sw_year_running_kwh(const sw_power_curve *curve, const sw_site *site, double mean_factor) {
    return curve_kwh(curve, site, mean_factor, true);
}
