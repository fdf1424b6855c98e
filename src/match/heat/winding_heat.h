/* How much heat a motor's winding may make for long: what its housing gives off to still air while
 * the copper is as hot as it may be. An estimate with a wide range, never a promise. */
#ifndef SPINWORTH_MATCH_WINDING_HEAT_H
#define SPINWORTH_MATCH_WINDING_HEAT_H

#include "shared/motor.h"

#include <stdbool.h>

typedef struct sw_winding_heat {
    bool known;     /* the motor's size or weight is; else nothing below is filled */
    bool by_weight; /* the surface is that of a body of so much weight */
    double surface_m2;
    double winding_degc; /* of the copper, stated or the usual limit */
    double air_degc;
    double low_w; /* poor case: bare metal, half covered, cool housing round a hot winding */
    double middle_w;
    double high_w; /* good case: dull paint, air moving, housing nearly as hot as the winding */
} sw_winding_heat;

sw_winding_heat sw_winding_heat_of(const sw_motor *motor);

/* W that one of so many machines makes in its copper once it is that hot, from the loss of all of
 * them at 20 degC and the same current. */
double sw_winding_hot_w(const sw_winding_heat *heat, double cold_copper_w, int machines);

/* Weight of a motor: stated, or of a body of its size; NaN = neither is known. */
double sw_motor_weight_kg(const sw_motor *motor);

#endif
