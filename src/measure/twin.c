/* Magnets that are weak all round leave no pattern: the wave is as it was, only lower, and lower
 * than what only an equal motor tells. Between two windings in the same slots the volts K go with
 * the turns and the ohms R with their square, so that K / sqrt(R) is the same whatever the wire,
 * and proportional to the magnets' strength. Motors of one make differ in it by some per cent
 * (magnets, gap, how full the slots are; common practice, no source). */
#include "src/measure/twin.h"

#include "shared/uncertainty.h"

#include <math.h>

static const double EQUAL_U = 0.03;      /* of two motors alike */
static const double OHM_U = 0.02;        /* not stated */
static const double VOLTS_U = 0.01;      /* not stated */
static const double LACK_LEAST = 0.08;   /* that is worth a word */
static const double OTHER_WINDING = 2.0; /* ratio of ohms from which the wire is another */

enum { VOLTS, OHMS, GOOD_VOLTS, GOOD_OHMS, ALIKE, INPUTS };

static double strength(const double *x, const void *user) {
    (void)user;
    return x[VOLTS] / x[GOOD_VOLTS] * sqrt(x[GOOD_OHMS] / x[OHMS]) * x[ALIKE];
}

static sw_status check(const sw_motor *motor, const sw_motor *good, sw_error *error) {
    if (motor->kind != good->kind)
        return sw_fail(error, SW_MISMATCH, "found a %s motor, expected a %s one like this",
                       sw_motor_kind_name(good->kind), sw_motor_kind_name(motor->kind));
    if (motor->pole_pairs.value > 0 && good->pole_pairs.value > 0 &&
        motor->pole_pairs.value != good->pole_pairs.value)
        return sw_fail(error, SW_MISMATCH,
                       "found %d pole pairs, expected %d as this motor has: they are not equal",
                       good->pole_pairs.value, motor->pole_pairs.value);
    if (motor->phases > 0 && good->phases > 0 && motor->phases != good->phases)
        return sw_fail(error, SW_MISMATCH,
                       "found %d phases, expected %d as this motor has: they are not equal",
                       good->phases, motor->phases);
    if (!sw_quantity_known(motor->winding_resistance) ||
        !sw_quantity_known(good->winding_resistance))
        return sw_fail(error, SW_MISSING_KEY,
                       "two motors are compared by volts and ohms: the ohms of %s are not known "
                       "(--resistance)",
                       sw_quantity_known(motor->winding_resistance) ? "the other" : "this one");
    return SW_OK;
}

/* Hertz need no pole pairs; volts per rpm where that is all there is. */
static bool volts_of(const sw_motor *motor, const sw_motor *good, sw_quantity *own,
                     sw_quantity *other) {
    *own = motor->volts_per_hertz;
    *other = good->volts_per_hertz;
    if (sw_quantity_known(*own) && sw_quantity_known(*other))
        return true;
    *own = motor->voltage_constant;
    *other = good->voltage_constant;
    return sw_quantity_known(*own) && sw_quantity_known(*other);
}

static sw_input input_of(sw_quantity quantity, double relative) {
    return (sw_input){NULL, quantity.value, sw_quantity_u_or(quantity, relative), INFINITY};
}

static void warn(const sw_twin *twin, sw_motor *motor) {
    double lack = 1 - twin->strength.value;
    if (lack < fmax(LACK_LEAST, 2 * twin->strength.u))
        return;
    bool other = twin->ohms > OTHER_WINDING || twin->ohms < 1 / OTHER_WINDING;
    sw_motor_warn(
        motor, SW_WARN_WEAK_MAGNET,
        "by volts and ohms its magnets are %.0f +- %.0f %% weaker than those of its like: "
        "demagnetised all round (heat, a short circuit, taken out of its iron), if the "
        "two are equal%s",
        100 * lack, 200 * twin->strength.u,
        other ? ". Their ohms are far apart: see whether they are" : "");
}

sw_status sw_twin_compare(sw_motor *motor, const sw_motor *good, sw_twin *twin, sw_error *error) {
    sw_quantity own;
    sw_quantity other;
    sw_propagated result;
    *twin = (sw_twin){.strength = sw_quantity_unknown()};
    sw_status status = check(motor, good, error);
    if (status != SW_OK)
        return status;
    if (!volts_of(motor, good, &own, &other))
        return sw_fail(error, SW_MISSING_KEY,
                       "two motors are compared by volts and ohms: the volts of one are not known");
    const sw_input inputs[INPUTS] = {
        [VOLTS] = input_of(own, VOLTS_U),
        [OHMS] = input_of(motor->winding_resistance, OHM_U),
        [GOOD_VOLTS] = input_of(other, VOLTS_U),
        [GOOD_OHMS] = input_of(good->winding_resistance, OHM_U),
        [ALIKE] = {NULL, 1, EQUAL_U, INFINITY},
    };
    status = sw_propagate(strength, NULL, inputs, INPUTS, NULL, &result, error);
    if (status != SW_OK)
        return status;
    twin->known = true;
    twin->strength = sw_quantity_of(result.value, result.u, "1");
    twin->ohms = motor->winding_resistance.value / good->winding_resistance.value;
    warn(twin, motor);
    return SW_OK;
}
