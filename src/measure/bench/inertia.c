#include "src/measure/bench/inertia.h"

#include "shared/uncertainty.h"

#include <gsl/gsl_const_mksa.h>
#include <gsl/gsl_math.h>
#include <math.h>

/* What is not stated (common practice, no source): a kitchen scale 1 %, a ruler 0.5 mm, a tape
 * 3 mm, a stopwatch in the hand 0.1 s, the string's thickness 0.3 mm. */
static const double MASS_U = 0.01;
static const double RULER_U_MM = 0.5;
static const double TAPE_U_M = 0.003;
static const double WATCH_U_S = 0.1;
static const double STRING_U_MM = 0.3;
/* A rotor with rim and hub against an even disc of its mass and size. */
static const double ROUGH_U = 0.1;
static const double FRICTION_MOST = 0.2; /* of the weight */

static double or_absolute(sw_quantity quantity, double u) {
    return isfinite(quantity.u) ? quantity.u : u;
}

static sw_input relative_input(const char *name, sw_quantity quantity, double relative) {
    return (sw_input){name, quantity.value, sw_quantity_u_or(quantity, relative), INFINITY};
}

static sw_status result_of(sw_measurement *measure, const void *user, const sw_input *inputs,
                           size_t count, sw_quantity *inertia, sw_error *error) {
    sw_propagated result;
    sw_status status = sw_propagate(measure, user, inputs, count, NULL, &result, error);
    if (status == SW_OK)
        *inertia = sw_quantity_of(result.value, result.u, "kg m2");
    return status;
}

/* mass kg, outer and inner diameter mm, shape; J = m (ri^2 + ro^2) / 2 */
static double disc(const double *x, const void *user) {
    (void)user;
    return x[3] * x[0] * (x[1] * x[1] + x[2] * x[2]) / 8 * 1e-6;
}

/* As thick as steel of that mass would be: a rotor is no pole and no foil. Spoked wheels and fans
 * lie between (judged, no source). */
static sw_status check_shape(double mass_kg, double diameter_mm, double bore_mm, sw_error *error) {
    static const double STEEL_KG_M3 = 7800;
    static const double LONGEST = 20; /* diameters */
    static const double THINNEST = 1e-6;
    double area_m2 = M_PI / 4 * (diameter_mm * diameter_mm - bore_mm * bore_mm) * 1e-6;
    double thick = mass_kg / (STEEL_KG_M3 * area_m2) / (diameter_mm * 1e-3);
    if (thick >= THINNEST && thick <= LONGEST)
        return SW_OK;
    return sw_fail(error, SW_VALUE,
                   "a disc of %.4g kg and %.4g mm across would be a %s: look at both again",
                   mass_kg, diameter_mm, thick > LONGEST ? "pole of steel" : "foil");
}

sw_status sw_disc_inertia(const sw_disc *of, sw_quantity *inertia, sw_error *error) {
    bool bored = sw_quantity_known(of->bore_mm);
    sw_quantity bore = bored ? of->bore_mm : sw_quantity_of(0, 0, "mm");
    if (bore.value >= of->diameter_mm.value)
        return sw_fail(error, SW_VALUE,
                       "the bore of %g mm leaves nothing of a disc of %g mm; expected a smaller "
                       "bore",
                       bore.value, of->diameter_mm.value);
    sw_status status = check_shape(of->mass_kg.value, of->diameter_mm.value, bore.value, error);
    if (status != SW_OK)
        return status;
    const sw_input inputs[] = {
        relative_input("mass", of->mass_kg, MASS_U),
        {"diameter", of->diameter_mm.value, or_absolute(of->diameter_mm, RULER_U_MM), INFINITY},
        {"bore", bore.value, or_absolute(bore, RULER_U_MM), INFINITY},
        {"shape", 1, of->rough ? ROUGH_U : 0, INFINITY},
    };
    return result_of(disc, NULL, inputs, 4, inertia, error);
}

/* ---- falling weight ---- */

enum { MASS, DROP, TIME, RADIUS, FRICTION };

/* FRICTION is a mass that balances it, or the slowing that it causes (user points to true). */
static double falling(const double *x, const void *user) {
    const bool *by_slowing = user;
    double g = GSL_CONST_MKSA_GRAV_ACCEL;
    double r = x[RADIUS] / 1000;
    double a = 2 * x[DROP] / (x[TIME] * x[TIME]);
    if (*by_slowing)
        return x[MASS] * (g - a) * r / (a / r + x[FRICTION]);
    return (x[MASS] * (g - a) - x[FRICTION] * g) * r * r / a;
}

double sw_falling_weight_speed(const sw_falling_weight *weight) {
    return weight->drop_m.value / weight->time_s.value / (weight->drum_radius_mm.value / 1000);
}

static sw_input friction_of(const sw_falling_weight *weight) {
    if (sw_quantity_known(weight->balance_kg))
        return relative_input("friction", weight->balance_kg, 0.1);
    if (sw_quantity_known(weight->slowing_rad_s2))
        return relative_input("friction", weight->slowing_rad_s2, 0.1);
    /* Anything from nothing to FRICTION_MOST: rectangular, JCGM 100 clause 4.3.7. */
    double most = FRICTION_MOST * weight->mass_kg.value;
    return (sw_input){"friction, guessed", most / 2, most / sqrt(12), INFINITY};
}

sw_status sw_falling_weight_inertia(const sw_falling_weight *weight, sw_quantity *inertia,
                                    sw_error *error) {
    bool balanced = sw_quantity_known(weight->balance_kg);
    bool by_slowing = !balanced && sw_quantity_known(weight->slowing_rad_s2);
    double fall = 2 * weight->drop_m.value / pow(weight->time_s.value, 2);
    if (fall > 0.9 * GSL_CONST_MKSA_GRAV_ACCEL)
        return sw_fail(error, SW_VALUE,
                       "%g m in %g s is as fast as a free fall; take a smaller weight or drum, or "
                       "a longer drop",
                       weight->drop_m.value, weight->time_s.value);
    const sw_input inputs[] = {
        relative_input("mass", weight->mass_kg, MASS_U),
        {"drop", weight->drop_m.value, or_absolute(weight->drop_m, TAPE_U_M), INFINITY},
        {"time", weight->time_s.value, or_absolute(weight->time_s, WATCH_U_S), INFINITY},
        {"drum", weight->drum_radius_mm.value, or_absolute(weight->drum_radius_mm, STRING_U_MM),
         INFINITY},
        friction_of(weight),
    };
    sw_status status = result_of(falling, &by_slowing, inputs, 5, inertia, error);
    if (status == SW_OK && inertia->value <= 0)
        return sw_fail(error, SW_VALUE,
                       "a weight of %g kg that overcomes a friction of %g kg cannot take %g s; "
                       "expected a smaller balance",
                       weight->mass_kg.value, weight->balance_kg.value, weight->time_s.value);
    return status;
}
