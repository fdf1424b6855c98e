/* The winds are even steps with some added: the starting wind, the wind at which current begins
 * while running, and the winds at which a rotor jumps from one branch of steady speeds to another
 * (a lift rotor that stalls, a battery's clamp that it breaks through). Each of these has a twin
 * beside it, so that a jump is as steep as it is and the bins of the year end there. */
#include "src/match/year/power_curve.h"

#include <math.h>
#include <stdlib.h>

enum { BISECTIONS = 24, HALVINGS = 10 };

static const double JUST_ABOVE = 1 + 1e-6;

/* Points closer than this are the two sides of one jump. */
static const double TWIN = 1 + 1e-5;

/* On a smooth branch speed rises hardly more than so many times as fast as the wind. */
static const double STEEP = 3;

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

typedef double (*speed_of)(const sw_balance *balance);

static double running_of(const sw_balance *balance) {
    return balance->running_rad_s;
}

static double started_of(const sw_balance *balance) {
    return balance->from_rest_rad_s;
}

/* Does speed change faster between two winds than a smooth branch would? */
static bool may_jump(double low_wind, double low_speed, double high_wind, double high_speed) {
    double usual = STEEP * (high_wind - low_wind) / high_wind * fmax(low_speed, high_speed);
    return fabs(high_speed - low_speed) > usual;
}

/* Halve towards the larger change: true when it stays, then *low and *high hold the jump. */
static bool close_in(const sw_plant *plant, size_t balance_steps, speed_of speed, double *low,
                     double *high, double low_speed, double high_speed) {
    double whole = fabs(high_speed - low_speed);
    for (int i = 0; i < HALVINGS; i++) {
        double middle = 0.5 * (*low + *high);
        sw_balance balance = sw_plant_settle(plant, middle, balance_steps);
        double at_middle = speed(&balance);
        if (fabs(at_middle - low_speed) > fabs(high_speed - at_middle)) {
            *high = middle;
            high_speed = at_middle;
        } else {
            *low = middle;
            low_speed = at_middle;
        }
    }
    return fabs(high_speed - low_speed) > 0.2 * whole;
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

/* Add both sides of every jump between the points that are there, sorted. */
static void add_jumps(const sw_plant *plant, size_t balance_steps, bool running,
                      sw_power_curve *curve) {
    size_t count = curve->count;
    for (size_t i = 1; i < count; i++) {
        double low = curve->point[i - 1].wind_m_s;
        double high = curve->point[i].wind_m_s;
        double low_speed =
            running ? curve->point[i - 1].running_rad_s : curve->point[i - 1].started_rad_s;
        double high_speed = running ? curve->point[i].running_rad_s : curve->point[i].started_rad_s;
        if (high < low * TWIN || !may_jump(low, low_speed, high, high_speed) ||
            !close_in(plant, balance_steps, running ? running_of : started_of, &low, &high,
                      low_speed, high_speed))
            continue;
        add_wind(plant, balance_steps, curve, low);
        add_wind(plant, balance_steps, curve, high);
    }
    qsort(curve->point, curve->count, sizeof *curve->point, by_wind);
}

static void add_even_winds(const sw_plant *plant, double top_wind, double step,
                           size_t balance_steps, sw_power_curve *curve) {
    double least_step = 2 * top_wind / SW_CURVE_LIMIT;
    curve->count = 0;
    curve->top_wind = top_wind;
    curve->start_wind = sw_plant_start_wind(plant);
    for (int i = 0; i * fmax(step, least_step) < top_wind * (1 - 1e-9); i++)
        add_wind(plant, balance_steps, curve, i * fmax(step, least_step));
    add_wind(plant, balance_steps, curve, top_wind);
}

/* Both sides of the starting wind. */
static void add_start(const sw_plant *plant, size_t balance_steps, sw_power_curve *curve) {
    add_wind(plant, balance_steps, curve, curve->start_wind / JUST_ABOVE);
    add_wind(plant, balance_steps, curve, curve->start_wind * JUST_ABOVE);
}

void sw_power_curve_make(const sw_plant *plant, double top_wind, double step, size_t balance_steps,
                         sw_power_curve *curve) {
    add_even_winds(plant, top_wind, step, balance_steps, curve);
    curve->cut_in_wind = find_cut_in(plant, curve, balance_steps);
    add_start(plant, balance_steps, curve);
    add_wind(plant, balance_steps, curve, curve->cut_in_wind / JUST_ABOVE);
    add_wind(plant, balance_steps, curve, curve->cut_in_wind);
    qsort(curve->point, curve->count, sizeof *curve->point, by_wind);
    add_jumps(plant, balance_steps, true, curve);
    add_jumps(plant, balance_steps, false, curve);
}

void sw_power_curve_sketch(const sw_plant *plant, double top_wind, double step,
                           size_t balance_steps, sw_power_curve *curve) {
    add_even_winds(plant, top_wind, step, balance_steps, curve);
    curve->cut_in_wind = INFINITY;
    for (size_t i = curve->count; i-- > 0;)
        if (curve->point[i].running_w > 0)
            curve->cut_in_wind = curve->point[i].wind_m_s;
    add_start(plant, balance_steps, curve);
    qsort(curve->point, curve->count, sizeof *curve->point, by_wind);
}
