#include "src/match/rotor/rotor_set.h"

#include "shared/constants.h"

#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Kinematic viscosity of air near 15 degC, m2/s: 1.81e-5 / 1.225 (ISO 2533 rounded). */
static const double VISCOSITY_M2_S = 1.478e-5;

/* Below this ratio the first point of a curve says something about the torque at rest. */
static const double NEAR_REST = 0.5;

/* Of a rotor whose torque from rest nobody measured: worst angle over mean. Measured two-bucket
 * rotors have 0.1 to 0.25, three-bucket ones 0.3 to 0.55 (reference/rotors). */
static const double WORST_OF_MEAN = 1.0 / 3.0;

sw_status sw_rotor_curve_new(sw_rotor *rotor, sw_error *error) {
    rotor->curve = calloc(1, sizeof *rotor->curve);
    if (rotor->curve == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for a rotor");
    return SW_OK;
}

void sw_rotor_curve_free(struct sw_rotor_curve *curve) {
    for (size_t i = 0; curve != NULL && i < curve->sets; i++) {
        free(curve->set[i].ratio);
        free(curve->set[i].torque);
        gsl_interp_free(curve->set[i].interp);
    }
    free(curve);
}

void sw_rotor_add_static(sw_rotor *rotor, double reynolds, double mean, double min) {
    struct sw_rotor_curve *curve = rotor->curve;
    if (curve->statics < SW_SET_LIMIT)
        curve->rest[curve->statics++] =
            (sw_static_set){.reynolds = reynolds, .min = min, .mean = mean};
}

void sw_rotor_add_turn(sw_rotor *rotor, double reynolds, const double *torque, size_t angles) {
    if (angles > 0)
        sw_rotor_add_static(rotor, reynolds, gsl_stats_mean(torque, 1, angles),
                            gsl_stats_min(torque, 1, angles));
}

static int by_ratio(const void *left, const void *right) {
    double a = ((const sw_curve_point *)left)->tip_speed_ratio;
    double b = ((const sw_curve_point *)right)->tip_speed_ratio;
    return (a > b) - (a < b);
}

/* Largest Cp that Betz allows. */

static sw_status check_points(const sw_node *node, const sw_curve_point *points, size_t count,
                              sw_error *error) {
    if (count < 2)
        return sw_node_fail(node, NULL, error, SW_TOO_SHORT,
                            "found %zu points, a curve needs at least 2", count);
    bool any = false;
    for (size_t i = 0; i < count; i++) {
        if (points[i].power_coefficient > SW_BETZ)
            return sw_node_fail(node, NULL, error, SW_VALUE,
                                "power coefficient %g at tip-speed ratio %g: no rotor catches more "
                                "than 0.593 of the wind; is it in percent?",
                                points[i].power_coefficient, points[i].tip_speed_ratio);
        if (i > 0 && points[i].tip_speed_ratio - points[i - 1].tip_speed_ratio < 1e-9)
            return sw_node_fail(node, NULL, error, SW_VALUE, "tip-speed ratio %g stands twice",
                                points[i].tip_speed_ratio);
        any = any || points[i].power_coefficient > 0;
    }
    if (!any)
        return sw_node_fail(node, NULL, error, SW_VALUE,
                            "no point has a power coefficient above 0");
    return SW_OK;
}

/* Where rest was not measured: near rest the first point tells the mean; a curve that begins
 * further out (a lift rotor) is given no torque at rest. */
static void guess_static(sw_rotor *rotor, double reynolds, const sw_curve_point *first) {
    double mean = 0;
    if (first->tip_speed_ratio <= NEAR_REST && first->power_coefficient > 0)
        mean = first->power_coefficient / first->tip_speed_ratio;
    sw_rotor_add_static(rotor, reynolds, mean, mean * WORST_OF_MEAN);
    rotor->static_guessed = true;
}

/* Slope of the straight line beyond the last point: to the stated no-load ratio, else that of the
 * last two points, but falling at least as fast as from the highest torque to the last point. */
static double end_slope(const sw_rotor_set *set, double no_load) {
    size_t last = set->points - 1;
    double ratio = set->ratio[last];
    if (no_load > ratio && set->torque[last] > 0)
        return -set->torque[last] / (no_load - ratio);
    double slope = (set->torque[last] - set->torque[last - 1]) / (ratio - set->ratio[last - 1]);
    size_t top = 0;
    for (size_t i = 1; i <= last; i++)
        if (set->torque[i] > set->torque[top])
            top = i;
    double chord = top < last ? (set->torque[last] - set->torque[top]) / (ratio - set->ratio[top])
                              : -set->torque[last] / (0.5 * ratio);
    slope = fmin(slope, chord);
    return fmin(slope, -1e-6);
}

static sw_status set_fill(sw_rotor_set *set, double mean_at_rest, const sw_curve_point *points,
                          size_t count, sw_error *error) {
    set->ratio = calloc(count + 1, sizeof *set->ratio);
    set->torque = calloc(count + 1, sizeof *set->torque);
    if (set->ratio == NULL || set->torque == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for a curve");
    set->torque[0] = mean_at_rest;
    set->points = 1;
    for (size_t i = 0; i < count; i++) {
        if (points[i].tip_speed_ratio < 1e-9)
            continue;
        set->ratio[set->points] = points[i].tip_speed_ratio;
        set->torque[set->points++] = points[i].power_coefficient / points[i].tip_speed_ratio;
    }
    const gsl_interp_type *type = set->points > 2 ? gsl_interp_steffen : gsl_interp_linear;
    set->interp = gsl_interp_alloc(type, set->points);
    if (set->interp == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for a curve");
    gsl_interp_init(set->interp, set->ratio, set->torque, set->points);
    return SW_OK;
}

static void sort_sets(struct sw_rotor_curve *curve) {
    for (size_t i = curve->sets - 1; i > 0; i--) {
        if (curve->set[i].reynolds >= curve->set[i - 1].reynolds)
            break;
        sw_rotor_set other = curve->set[i];
        curve->set[i] = curve->set[i - 1];
        curve->set[i - 1] = other;
    }
}

sw_status sw_rotor_add_curve(sw_rotor *rotor, const sw_node *node, double reynolds,
                             sw_curve_point *points, size_t count, double no_load,
                             sw_error *error) {
    struct sw_rotor_curve *curve = rotor->curve;
    if (curve->sets == SW_SET_LIMIT)
        return sw_node_fail(node, NULL, error, SW_UNSUPPORTED, "more than %d curves", SW_SET_LIMIT);
    qsort(points, count, sizeof *points, by_ratio);
    sw_status status = check_points(node, points, count, error);
    if (status != SW_OK)
        return status;
    const sw_curve_point *first = points[0].tip_speed_ratio < 1e-9 ? &points[1] : &points[0];
    if (curve->statics == 0)
        guess_static(rotor, reynolds, first);
    double wind = reynolds * VISCOSITY_M2_S / (2 * rotor->radius_m);
    double at_rest = sw_rotor_set_static_mean(rotor, wind);
    sw_rotor_set *set = &curve->set[curve->sets++];
    set->reynolds = reynolds;
    status = set_fill(set, at_rest, points, count, error);
    if (status != SW_OK)
        return status;
    set->end_slope = end_slope(set, no_load);
    sort_sets(curve);
    return SW_OK;
}

static double set_torque(const sw_rotor_set *set, double ratio) {
    size_t last = set->points - 1;
    if (ratio >= set->ratio[last])
        return set->torque[last] + set->end_slope * (ratio - set->ratio[last]);
    return gsl_interp_eval(set->interp, set->ratio, set->torque, fmax(ratio, 0), NULL);
}

/* Place of this Reynolds number among `count` ascending ones, as the lower index and the share of
 * the upper, linear in log Re, held beyond the ends. */
static size_t place(double reynolds, const double *list, size_t count, double *share) {
    *share = 0;
    if (count < 2 || reynolds <= list[0])
        return 0;
    for (size_t i = 1; i < count; i++) {
        if (reynolds < list[i]) {
            *share = log(reynolds / list[i - 1]) / log(list[i] / list[i - 1]);
            return i - 1;
        }
    }
    return count - 1;
}

static double reynolds_of(const sw_rotor *rotor, double wind_m_s) {
    return wind_m_s * 2 * rotor->radius_m / VISCOSITY_M2_S;
}

double sw_rotor_set_wind(const sw_rotor *rotor, size_t i) {
    return rotor->curve->set[i].reynolds * VISCOSITY_M2_S / (2 * rotor->radius_m);
}

double sw_rotor_set_torque(const sw_rotor *rotor, double tip_speed_ratio, double wind_m_s) {
    const struct sw_rotor_curve *curve = rotor->curve;
    double list[SW_SET_LIMIT];
    double share = 0;
    for (size_t i = 0; i < curve->sets; i++)
        list[i] = curve->set[i].reynolds;
    size_t at = place(reynolds_of(rotor, wind_m_s), list, curve->sets, &share);
    double torque = set_torque(&curve->set[at], tip_speed_ratio);
    if (share > 0)
        torque += share * (set_torque(&curve->set[at + 1], tip_speed_ratio) - torque);
    return torque;
}

static const sw_static_set *static_place(const sw_rotor *rotor, double wind_m_s, double *share) {
    const struct sw_rotor_curve *curve = rotor->curve;
    double list[SW_SET_LIMIT];
    for (size_t i = 0; i < curve->statics; i++)
        list[i] = curve->rest[i].reynolds;
    return &curve->rest[place(reynolds_of(rotor, wind_m_s), list, curve->statics, share)];
}

double sw_rotor_set_static_min(const sw_rotor *rotor, double wind_m_s) {
    double share = 0;
    const sw_static_set *rest = static_place(rotor, wind_m_s, &share);
    return share > 0 ? rest->min + share * (rest[1].min - rest->min) : rest->min;
}

double sw_rotor_set_static_mean(const sw_rotor *rotor, double wind_m_s) {
    double share = 0;
    const sw_static_set *rest = static_place(rotor, wind_m_s, &share);
    return share > 0 ? rest->mean + share * (rest[1].mean - rest->mean) : rest->mean;
}
