/* A tachometer beside the motor: marks on the shaft pass a sensor, one channel more. */
#ifndef SPINWORTH_PROBES_SIMULATE_TACH_H
#define SPINWORTH_PROBES_SIMULATE_TACH_H

#include "probes/simulate/spec.h"

#include <stddef.h>

/* Channels of the record: the motor's and, where there are marks, the tachometer's as the last. */
size_t sw_sim_channels(const sw_sim_front *front);

/* What the sensor shows at a shaft angle, -1 .. 1: a short pulse for each mark, the first at angle
 * zero, or a sine with as many periods a turn. */
double sw_sim_tach_at(const sw_sim_front *front, double angle_rad);

#endif
