#include "src/match/outlook.h"

#include <math.h>

enum { IDEAL_POINTS = 120, BISECTIONS = 20 };

/* Mean winds that are looked at. A large rotor in much wind wants a larger motor, so that the
 * verdict may turn back above: the first turn is told. */
static const double LEAST_MEAN = 1;
static const double MOST_MEAN = 12;
static const double MEAN_STEP = 0.5;

/* What the rotor would give at its best Cp, for the share that the verdict asks for. */
static double potential_kwh(const sw_rotor *rotor, const sw_site *site, double mean_factor) {
    double wind[IDEAL_POINTS];
    double best[IDEAL_POINTS];
    double top_wind = sw_site_top_wind(site);
    for (int i = 0; i < IDEAL_POINTS; i++) {
        wind[i] = top_wind * i / (IDEAL_POINTS - 1);
        double peak = i == 0 ? 0 : sw_rotor_peak(rotor, wind[i], NULL);
        best[i] = 0.5 * site->density * rotor->swept_area_m2 * pow(wind[i], 3) * fmax(peak, 0);
    }
    return sw_year_kwh(wind, best, IDEAL_POINTS, site, mean_factor);
}

static sw_outlook_row row_at(const sw_verdict_request *verdict, const sw_power_curve *curve,
                             const sw_rotor *rotor, const sw_site *site, double mean_wind) {
    sw_verdict_request there = *verdict;
    sw_remarks reasons = {0};
    double factor = mean_wind / site->mean_wind.value;
    there.mean_wind = mean_wind;
    there.started_kwh = sw_year_started_kwh(curve, site, factor);
    there.running_kwh = sw_year_running_kwh(curve, site, factor);
    there.potential_kwh = potential_kwh(rotor, site, factor);
    sw_verdict given = sw_verdict_of(&there, &reasons);
    return (sw_outlook_row){mean_wind, there.started_kwh, there.running_kwh,
                            sw_remarked(&reasons, SW_REASON_NEEDS_PUSH), given};
}

/* Worth using, and starting by itself. */
static bool worth(sw_outlook_row row) {
    return row.verdict <= SW_VERDICT_USE_IF && !row.pushed;
}

sw_outlook sw_outlook_of(const sw_verdict_request *verdict, const sw_power_curve *curve,
                         const sw_rotor *rotor, const sw_site *site) {
    sw_outlook outlook = {.turns_at = NAN};
    double low = LEAST_MEAN;
    double high = LEAST_MEAN;
    for (int i = 0; i < SW_OUTLOOK_ROWS; i++)
        outlook.row[i] = row_at(verdict, curve, rotor, site, 2 + i);
    while (high < MOST_MEAN && !worth(row_at(verdict, curve, rotor, site, high))) {
        low = high;
        high += MEAN_STEP;
    }
    if (high >= MOST_MEAN || high == LEAST_MEAN)
        return outlook;
    for (int i = 0; i < BISECTIONS && high - low > 0.01; i++) {
        double middle = 0.5 * (low + high);
        if (worth(row_at(verdict, curve, rotor, site, middle)))
            high = middle;
        else
            low = middle;
    }
    outlook.turns_at = high;
    return outlook;
}
