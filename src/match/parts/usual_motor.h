/* What nobody measured of a motor, taken as it usually is for one of that size. */
#ifndef SPINWORTH_MATCH_USUAL_MOTOR_H
#define SPINWORTH_MATCH_USUAL_MOTOR_H

#include "shared/motor.h"

#include <stdbool.h>

/* Logarithmic standard deviation of an assumed value: two in three lie between a 2.2th of it and
 * 2.2 times as much. */
#define SW_USUAL_SPREAD 0.8

/* So many of these to the bad side only one motor in ten is worse. */
#define SW_USUAL_CAUTIOUS 1.28

typedef struct sw_assumed {
    bool drag;
    bool cogging;
    bool inductance;
} sw_assumed;

bool sw_assumed_any(const sw_assumed *assumed);

/* A copy with what is not known filled in, `worse` standard deviations to the bad side of the usual
 * value; what was filled. Nothing without voltage constant and resistance, which tell the size. */
sw_assumed sw_usual_motor(const sw_motor *motor, double worse, sw_motor *filled);

#endif
