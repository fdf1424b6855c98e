/* Cogging and starting torque by a weight on a lever, or a spring scale on a string.
 *
 * At a rest position x the torque that just moves the rotor is Tf + Tc(x) one way and Tf - Tc(x)
 * the other, Tf the friction (dry and of hysteresis), Tc the cogging. So with readings both ways
 * at the same positions, half their sum is the friction and half their difference the cogging;
 * its peak is (Tmax - Tmin) / 2. Readings one way alone give the same from their own largest and
 * smallest. (Wheel, string and known weights over one period of cogging.)
 */
#ifndef SPINWORTH_MEASURE_COGGING_H
#define SPINWORTH_MEASURE_COGGING_H

#include "shared/quantity.h"
#include "shared/status.h"

#include <stdbool.h>
#include <stddef.h>

enum { SW_LEVER_READINGS = 64 };

typedef struct sw_lever {
    sw_quantity arm_mm;     /* axis to the string, or radius of the wheel it pulls on */
    sw_quantity reading_kg; /* only u: of one reading; NaN = an ordinary scale */
    size_t clockwise;
    double clockwise_kg[SW_LEVER_READINGS];
    size_t counter;
    double counter_kg[SW_LEVER_READINGS];
} sw_lever;

typedef struct sw_lever_result {
    sw_quantity cogging;  /* "N m", peak */
    sw_quantity friction; /* "N m"; not known with readings one way that do not differ */
    sw_quantity starting; /* "N m": what moves it from the worst position */
    bool paired;          /* both ways at the same positions */
} sw_lever_result;

/* SW_TOO_SHORT with less than two readings in all. */
sw_status sw_lever_torques(const sw_lever *lever, sw_lever_result *result, sw_error *error);

/* Periods of the cogging torque in a turn: the least common multiple of slots and poles. 0 when
 * one of them is not known or it is beyond the range of int. */
int sw_cogging_periods(int slots, int pole_pairs);

#endif
