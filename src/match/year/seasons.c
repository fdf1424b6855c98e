/* A month has the year's shape of wind with a mean of its own: the year's sum over the scaled wind,
 * shared over its days. Hot magnets only lower the EMF here (the coefficient of remanence from
 * reference/magnets.json); that the copper's resistance rises too, a quarter at 80 degC, is left
 * to `measure --running-at`, because the table over speed holds the cold one. */
#include "src/match/year/seasons.h"

#include "shared/table.h"

#include <math.h>

static const double DAYS = 365;
static const double HOT_DEGC = 80;
static const double COLD_DEGC = 20;

/* Power at the rails and what is left of it in the load, over the curve's winds. */
typedef struct powers {
    size_t count;
    double wind[SW_CURVE_LIMIT];
    double rails[SW_CURVE_LIMIT];
    double stored[SW_CURVE_LIMIT];
} powers;

static void powers_of(const sw_seasons_request *request, powers *it) {
    double efficiency = request->load->kind == SW_LOAD_CONVERTER ? request->load->efficiency : 1;
    it->count = request->curve->count;
    for (size_t i = 0; i < it->count; i++) {
        const sw_power_point *point = &request->curve->point[i];
        it->wind[i] = point->wind_m_s;
        it->rails[i] = point->started_w;
        it->stored[i] =
            efficiency * sw_plant_at(request->plant, SW_GENERATOR_STORED, point->started_rad_s);
    }
}

static void fill_months(const sw_seasons_request *request, sw_seasons *seasons) {
    powers it;
    powers_of(request, &it);
    seasons->monthly = request->site->monthly;
    for (int i = 0; i < SW_SITE_MONTHS && seasons->monthly; i++) {
        double factor = request->site->month_mean_m_s[i] / request->site->mean_wind.value;
        seasons->month_wind_m_s[i] = request->site->month_mean_m_s[i];
        double rails = sw_year_kwh(it.wind, it.rails, it.count, request->site, factor);
        double stored = sw_year_kwh(it.wind, it.stored, it.count, request->site, factor);
        seasons->month_wh_day[i] = 1000 * rails / DAYS;
        seasons->usable_wh_day[i] = fmax(0, 1000 * stored / DAYS - 24 * request->load->standby_w);
        if (seasons->usable_wh_day[i] < seasons->usable_wh_day[seasons->leanest])
            seasons->leanest = i;
    }
}

static void fill_hot(const sw_seasons_request *request, double percent_per_k, sw_seasons *seasons) {
    static const double WIND_STEP = 0.4;
    sw_power_curve curve;
    sw_plant hot = *request->plant;
    seasons->hot_degc = HOT_DEGC;
    seasons->hot_emf = 1 + 0.01 * percent_per_k * (HOT_DEGC - COLD_DEGC);
    hot.constant_factor *= seasons->hot_emf;
    sw_power_curve_make(&hot, request->curve->top_wind, WIND_STEP, 0, &curve);
    seasons->hot_kwh = sw_year_started_kwh(&curve, request->site, 1);
    seasons->hot_cut_in_rpm = sw_generator_cut_in_rpm(hot.generator) / hot.constant_factor;
}

/* Of unknown magnets as of the most usual ones, which lose most. */
static const char *magnets_of(const sw_seasons_request *request) {
    const char *name = sw_magnet_kind_name(request->plant->motor->magnet_kind);
    return name != NULL ? name : "ferrite";
}

sw_status sw_seasons_of(const sw_seasons_request *request, sw_seasons *seasons, sw_error *error) {
    sw_table table;
    sw_node row;
    double coefficient = 0;
    *seasons = (sw_seasons){0};
    sw_status status =
        sw_table_find(request->reference_dir, "magnets", magnets_of(request), &table, &row, error);
    if (status != SW_OK)
        return status;
    status = sw_row_number(&row, "coefficient", &coefficient, error);
    sw_table_close(&table);
    if (status != SW_OK)
        return status;
    fill_months(request, seasons);
    fill_hot(request, coefficient, seasons);
    return SW_OK;
}
