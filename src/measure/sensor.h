/* A washer's speed-sensor coil, found out by its greatest watts. */
#ifndef SPINWORTH_MEASURE_SENSOR_H
#define SPINWORTH_MEASURE_SENSOR_H

#include "shared/motor.h"

#include <stdbool.h>

/* The most that two wires can give, E^2 / 4R, at 1000 rpm (at the recorded speed while the speed
 * is not known); "W", unknown without volts and ohms. */
sw_quantity sw_sensor_watts(const sw_motor *motor);

/* Warn sensor_coil when one winding of many ohms shows volts and hardly any watts. */
void sw_sensor_check(sw_motor *motor);

/* Could it be one? One winding with so few volts that only its ohms would tell, and they were not
 * read. */
bool sw_sensor_possible(const sw_motor *motor);

#endif
