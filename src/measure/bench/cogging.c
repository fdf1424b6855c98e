#include "src/measure/bench/cogging.h"

#include <gsl/gsl_const_mksa.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_statistics_double.h>
#include <limits.h>
#include <math.h>

/* Not stated (common practice, no source): a luggage scale or weights, 2 % and 5 g; a ruler 1 mm.
 */
static const double SCALE_U = 0.02;
static const double SCALE_U_KG = 0.005;
static const double RULER_U_MM = 1;

typedef struct spread {
    double low;
    double high;
    double mean;
} spread;

static spread spread_of(const double *values, size_t count) {
    spread s = {NAN, NAN, NAN};
    if (count == 0)
        return s;
    gsl_stats_minmax(&s.low, &s.high, values, 1, count);
    s.mean = gsl_stats_mean(values, 1, count);
    return s;
}

static double reading_u(const sw_lever *lever, double kg) {
    return isfinite(lever->reading_kg.u) ? lever->reading_kg.u : hypot(SCALE_U * kg, SCALE_U_KG);
}

/* n positions evenly over a period miss the top of a sine by up to 1 - cos(pi / n); rectangular. */
static double missed(size_t positions) {
    return positions < 2 ? 1 : (1 - cos(M_PI / (double)positions)) / sqrt(3);
}

static sw_quantity torque(const sw_lever *lever, double kg, double u_kg) {
    double per_kg = GSL_CONST_MKSA_GRAV_ACCEL * lever->arm_mm.value / 1000;
    double arm_u = isfinite(lever->arm_mm.u) ? lever->arm_mm.u : RULER_U_MM;
    double arm_part = per_kg * kg * arm_u / lever->arm_mm.value;
    return sw_quantity_of(per_kg * kg, hypot(per_kg * u_kg, arm_part), "N m");
}

static void both_ways(const sw_lever *lever, sw_lever_result *result) {
    double half[SW_LEVER_READINGS] = {0};
    size_t count = lever->clockwise;
    double friction = 0;
    for (size_t i = 0; i < count; i++) {
        half[i] = (lever->clockwise_kg[i] - lever->counter_kg[i]) / 2;
        friction += (lever->clockwise_kg[i] + lever->counter_kg[i]) / 2 / (double)count;
    }
    spread s = spread_of(half, count);
    double cogging = (s.high - s.low) / 2;
    /* a half difference of two readings, and half of two such: u / 2 */
    double u = reading_u(lever, friction + cogging);
    result->cogging = torque(lever, cogging, hypot(u / 2, cogging * missed(count)));
    result->friction = torque(lever, friction, u / sqrt(2 * (double)count));
    result->paired = true;
}

/* Each direction by its own extremes; friction from both means where there are two. */
static void each_way(const sw_lever *lever, sw_lever_result *result) {
    spread one = spread_of(lever->clockwise_kg, lever->clockwise);
    spread other = spread_of(lever->counter_kg, lever->counter);
    size_t n1 = lever->clockwise;
    size_t n2 = lever->counter;
    double half1 = n1 > 1 ? (one.high - one.low) / 2 : 0;
    double half2 = n2 > 1 ? (other.high - other.low) / 2 : 0;
    double ways = (n1 > 1) + (n2 > 1);
    double middle1 = n1 > 1 ? (one.high + one.low) / 2 : 0;
    double middle2 = n2 > 1 ? (other.high + other.low) / 2 : 0;
    double friction = ways > 0 ? (middle1 + middle2) / ways : (one.mean + other.mean) / 2;
    double cogging = ways > 0 ? (half1 + half2) / ways : fabs(one.mean - other.mean) / 2;
    double u = reading_u(lever, friction + cogging);
    size_t positions = n1 > n2 ? n1 : n2;
    double unsure = cogging * missed(positions);
    result->cogging = torque(lever, cogging, hypot(u / sqrt(2 * fmax(1, ways)), unsure));
    result->friction = torque(lever, fmax(0, friction), hypot(u / sqrt(2 * fmax(1, ways)), unsure));
}

sw_status sw_lever_torques(const sw_lever *lever, sw_lever_result *result, sw_error *error) {
    if (lever->clockwise + lever->counter < 2)
        return sw_fail(error, SW_TOO_SHORT,
                       "found %zu readings of the lever, expected several, over one step of the "
                       "cogging and better both ways",
                       lever->clockwise + lever->counter);
    *result = (sw_lever_result){.paired = false};
    bool paired = lever->clockwise == lever->counter && lever->clockwise > 1;
    if (paired)
        both_ways(lever, result);
    else
        each_way(lever, result);
    spread one = spread_of(lever->clockwise_kg, lever->clockwise);
    spread other = spread_of(lever->counter_kg, lever->counter);
    double most = fmax(one.high, other.high); /* fmax passes over a NaN */
    result->starting = torque(lever, most, reading_u(lever, most));
    return SW_OK;
}

int sw_cogging_periods(int slots, int pole_pairs) {
    int a = slots;
    int b = 2 * pole_pairs;
    if (slots <= 0 || pole_pairs <= 0)
        return 0;
    while (b != 0) {
        int rest = a % b;
        a = b;
        b = rest;
    }
    long long periods = a > 0 ? (long long)(slots / a) * 2 * pole_pairs : 0;
    return periods <= INT_MAX ? (int)periods : 0;
}
