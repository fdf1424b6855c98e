/* Inside of a rotor: torque coefficients over tip-speed ratio at one or several Reynolds numbers,
 * and the torque from rest. Only rotor*.c use this.
 *
 * Torque, not power, is interpolated: a Steffen spline (monotone between points, so it cannot
 * invent humps) through (0, mean static torque) and (lambda, Cp / lambda). Cp then is exact at
 * every given point and the torque is finite and continuous at rest. Beyond the last point the
 * torque goes on as a straight line. Between Reynolds numbers Cp is interpolated in log Re at the
 * same tip-speed ratio, and held beyond the ends: there is no law to go further by.
 */
#ifndef SPINWORTH_MATCH_ROTOR_SET_H
#define SPINWORTH_MATCH_ROTOR_SET_H

#include "shared/json_read.h"
#include "shared/status.h"
#include "src/match/rotor/rotor.h"

#include <gsl/gsl_interp.h>
#include <stddef.h>

enum { SW_SET_LIMIT = 8, SW_CURVE_POINT_LIMIT = 2000 };

/* Curve at one Reynolds number (on rotor diameter; 0 = holds for all). */
typedef struct sw_rotor_set {
    double reynolds;
    size_t points;
    double *ratio;  /* ascending, ratio[0] = 0 */
    double *torque; /* Ct */
    gsl_interp *interp;
    double end_slope; /* dCt/dlambda beyond the last point, < 0 */
} sw_rotor_set;

/* Torque from rest at one Reynolds number: at the worst angle, and over a turn. */
typedef struct sw_static_set {
    double reynolds;
    double min;
    double mean;
} sw_static_set;

struct sw_rotor_curve {
    size_t sets; /* ascending Reynolds numbers */
    sw_rotor_set set[SW_SET_LIMIT];
    size_t statics;
    sw_static_set rest[SW_SET_LIMIT];
};

/* One point of a curve as given. */
typedef struct sw_curve_point {
    double tip_speed_ratio;
    double power_coefficient;
} sw_curve_point;

/* How a kind of rotor reads itself: fills area, radius, vanes, curve and flags. The frame has
 * read the common keys before and works out peak, no-load and defaults afterwards. */
typedef struct sw_rotor_reader {
    const char *name;
    const char *const *keys; /* besides the common ones, NULL-terminated */
    sw_status (*read)(const sw_node *node, const char *reference_dir, sw_rotor *rotor,
                      sw_error *error);
} sw_rotor_reader;

extern const sw_rotor_reader SW_ROTOR_READER_CURVE;
extern const sw_rotor_reader SW_ROTOR_READER_CUPS;
extern const sw_rotor_reader SW_ROTOR_READER_MEASURED;
extern const sw_rotor_reader SW_ROTOR_READER_PUBLISHED;

/* Give the rotor an empty curve; SW_MEMORY. */
sw_status sw_rotor_curve_new(sw_rotor *rotor, sw_error *error);
void sw_rotor_curve_free(struct sw_rotor_curve *curve);

/* Add torque from rest: its mean and its worst, or angles evenly over a turn. */
void sw_rotor_add_static(sw_rotor *rotor, double reynolds, double mean, double min);
void sw_rotor_add_turn(sw_rotor *rotor, double reynolds, const double *torque, size_t angles);

/* Add a curve; points in any order with ratios >= 0, each ratio once (the node names what is
 * wrong). no_load NaN = go on with the last slope. Statics must be there first when known: else the
 * torque at rest is guessed and rotor->static_guessed set. */
sw_status sw_rotor_add_curve(sw_rotor *rotor, const sw_node *node, double reynolds,
                             sw_curve_point *points, size_t count, double no_load, sw_error *error);

/* Wind at which curve number i holds alone. */
double sw_rotor_set_wind(const sw_rotor *rotor, size_t i);

/* Ct at the Reynolds number of this wind. */
double sw_rotor_set_torque(const sw_rotor *rotor, double tip_speed_ratio, double wind_m_s);

/* Static torque at this wind: worst, mean. */
double sw_rotor_set_static_min(const sw_rotor *rotor, double wind_m_s);
double sw_rotor_set_static_mean(const sw_rotor *rotor, double wind_m_s);

/* Read swept_area, width, height, radius, axis of a node into the rotor, with the check that a
 * stated area is no vane surface. */
sw_status sw_rotor_read_size(const sw_node *node, sw_rotor *rotor, sw_error *error);

#endif
