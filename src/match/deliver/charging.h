/* From which speed a motor charges: one answer for every command.
 *
 * "12 V" means a 12 V lead battery at rest, 12.6 V, behind the usual silicon diodes, whose knee
 * (0.25 V each) is where an ammeter begins to move. `deliver --battery` states the rest voltage
 * itself and is taken at its word.
 */
#ifndef SPINWORTH_MATCH_CHARGING_H
#define SPINWORTH_MATCH_CHARGING_H

#include "shared/motor.h"
#include "src/match/load/load.h"

/* rpm of the motor, wired as it comes; NaN = its volts per turn are not known. */
double sw_charging_rpm(const sw_motor *motor, const sw_load *load);

/* The same for a lead battery of so many nominal volts (12, 24, 48). */
double sw_charging_rpm_of(const sw_motor *motor, double nominal_v);

#endif
