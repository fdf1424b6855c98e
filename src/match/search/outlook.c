#include "src/match/search/outlook.h"

#include <math.h>

enum { BISECTIONS = 20 };

/* Mean winds that are looked at. A large rotor in much wind wants a larger motor, so that the
 * verdict may turn back above: the first turn is told. */
static const double LEAST_MEAN = 1;
static const double MOST_MEAN = 12;
static const double MEAN_STEP = 0.5;

static sw_outlook_row row_at(const sw_verdict_request *verdict, const sw_power_curve *curve,
                             const sw_potential *potential, const sw_site *site, double mean_wind) {
    sw_verdict_request there = *verdict;
    sw_remarks reasons = {0};
    double factor = mean_wind / site->mean_wind.value;
    there.mean_wind = mean_wind;
    there.may_be_little = 0; /* was drawn at the site's own wind */
    there.started_kwh = sw_year_started_kwh(curve, site, factor);
    there.running_kwh = sw_year_running_kwh(curve, site, factor);
    there.potential_kwh = sw_potential_kwh(potential, site, factor);
    sw_verdict given = sw_verdict_of(&there, &reasons);
    return (sw_outlook_row){mean_wind, there.started_kwh, there.running_kwh,
                            sw_remarked(&reasons, SW_REASON_NEEDS_PUSH), given};
}

/* Worth using, and starting by itself. */
static bool worth(sw_outlook_row row) {
    return row.verdict <= SW_VERDICT_USE_IF && !row.pushed;
}

sw_outlook sw_outlook_of(const sw_verdict_request *verdict, const sw_power_curve *curve,
                         const sw_potential *potential, const sw_site *site) {
    sw_outlook outlook = {.turns_at = NAN};
    double low = LEAST_MEAN;
    double high = LEAST_MEAN;
    for (int i = 0; i < SW_OUTLOOK_ROWS; i++)
        outlook.row[i] = row_at(verdict, curve, potential, site, 2 + i);
    while (high < MOST_MEAN && !worth(row_at(verdict, curve, potential, site, high))) {
        low = high;
        high += MEAN_STEP;
    }
    if (high >= MOST_MEAN || high == LEAST_MEAN)
        return outlook;
    for (int i = 0; i < BISECTIONS && high - low > 0.01; i++) {
        double middle = 0.5 * (low + high);
        if (worth(row_at(verdict, curve, potential, site, middle)))
            high = middle;
        else
            low = middle;
    }
    outlook.turns_at = high;
    return outlook;
}
