/* The winds are even steps with three added: the starting wind just reached, the wind at which
 * current begins while running, and a twin just above each so that the jump at the starting wind
 * is as steep as it is. */
#include "src/match/power_curve.h"

#include <math.h>
#include <stdlib.h>

enum { BISECTIONS = 24 };

static const double JUST_ABOVE = 1 + 1e-6;

static void fill_point(const sw_plant *plant, size_t balance_steps, sw_power_point *point) {
    double wind_m_s = point->wind_m_s;
    *point = (sw_power_point){.wind_m_s = wind_m_s};
    if (wind_m_s <= 0)
        return;
    sw_balance balance = sw_plant_settle(plant, wind_m_s, balance_steps);
    point->running_rad_s = balance.running_rad_s;
    point->started_rad_s = balance.from_rest_rad_s;
    point->running_w = sw_plant_at(plant, SW_GENERATOR_DC_POWER, balance.running_rad_s);
    point->started_w = sw_plant_at(plant, SW_GENERATOR_DC_POWER, balance.from_rest_rad_s);
}

static bool makes_power(const sw_plant *plant, double running_rad_s) {
    double speed_rpm = sw_plant_generator_rpm(plant, running_rad_s);
    return speed_rpm * plant->constant_factor > sw_generator_cut_in_rpm(plant->generator);
}

/* Least wind that keeps current flowing while running, between two points of the curve. */
static double find_cut_in(const sw_plant *plant, const sw_power_curve *curve,
                          size_t balance_steps) {
    size_t first = 0;
    while (first < curve->count && !makes_power(plant, curve->point[first].running_rad_s))
        first++;
    if (first == curve->count)
        return INFINITY;
    double low = first == 0 ? 0 : curve->point[first - 1].wind_m_s;
    double high = curve->point[first].wind_m_s;
    for (int i = 0; i < BISECTIONS && high - low > 1e-5 * high; i++) {
        double middle = 0.5 * (low + high);
        sw_balance balance = sw_plant_settle(plant, middle, balance_steps);
        if (makes_power(plant, balance.running_rad_s))
            high = middle;
        else
            low = middle;
    }
    return high;
}

static int by_wind(const void *a, const void *b) {
    double x = ((const sw_power_point *)a)->wind_m_s;
    double y = ((const sw_power_point *)b)->wind_m_s;
    return (x > y) - (x < y);
}

static void add_wind(const sw_plant *plant, size_t balance_steps, sw_power_curve *curve,
                     double wind_m_s) {
    if (wind_m_s > curve->top_wind || curve->count == SW_CURVE_LIMIT)
        return;
    sw_power_point *point = &curve->point[curve->count++];
    point->wind_m_s = wind_m_s;
    fill_point(plant, balance_steps, point);
}

void sw_power_curve_make(const sw_plant *plant, double top_wind, double step, size_t balance_steps,
                         sw_power_curve *curve) {
    double least_step = top_wind / (SW_CURVE_LIMIT - 8);
    curve->count = 0;
    curve->top_wind = top_wind;
    curve->start_wind = sw_plant_start_wind(plant);
    for (int i = 0; i * fmax(step, least_step) < top_wind * (1 - 1e-9); i++)
        add_wind(plant, balance_steps, curve, i * fmax(step, least_step));
    add_wind(plant, balance_steps, curve, top_wind);
    curve->cut_in_wind = find_cut_in(plant, curve, balance_steps);
    add_wind(plant, balance_steps, curve, curve->start_wind / JUST_ABOVE);
    add_wind(plant, balance_steps, curve, curve->start_wind * JUST_ABOVE);
    add_wind(plant, balance_steps, curve, curve->cut_in_wind / JUST_ABOVE);
    add_wind(plant, balance_steps, curve, curve->cut_in_wind);
    qsort(curve->point, curve->count, sizeof *curve->point, by_wind);
}

double sw_power_curve_running_w(const sw_power_curve *curve, double wind_m_s) {
    for (size_t i = 1; i < curve->count; i++) {
        const sw_power_point *low = &curve->point[i - 1];
        const sw_power_point *high = &curve->point[i];
        if (wind_m_s > high->wind_m_s || high->wind_m_s <= low->wind_m_s)
            continue;
        double part = (wind_m_s - low->wind_m_s) / (high->wind_m_s - low->wind_m_s);
        return low->running_w + part * (high->running_w - low->running_w);
    }
    return 0;
}
