/* More evidence into a motor that was measured before. */
#ifndef SPINWORTH_MEASURE_MERGE_H
#define SPINWORTH_MEASURE_MERGE_H

#include "shared/motor.h"
#include "shared/status.h"

/* Put what `more` knows into `motor`: a value only one of them has is taken; two values of the
 * same thing become their weighted mean, or an error (SW_MISMATCH) when they contradict each
 * other beyond four standard uncertainties. Warnings are joined. Constants are derived anew. */
sw_status sw_motor_merge(sw_motor *motor, const sw_motor *more, sw_error *error);

/* The same recording, measured again: what it gave before gives way to what it gives now. What else
 * is known (winding, drag, limits, name) stays. Without volts this time those of before stay. */
sw_status sw_motor_renew(sw_motor *motor, const sw_motor *again, sw_error *error);

/* Other pole pairs, with everything that was worked out by the old ones: the speed of the stretch
 * and a run-down's torques. Constants are left to sw_motor_derive. */
void sw_motor_set_poles(sw_motor *motor, const sw_pole_pairs *poles);

/* Winding resistance from what a meter showed: lead resistance taken off, brought to 20 degC by
 * R20 = R / (1 + 0.00393 (T - 20)) (copper, IEC 60228 annex). lead_ohm and temperature may be
 * unknown: then nothing is taken off, or 20 +- 5 degC assumed. An unstated uncertainty counts as
 * 1 % and 0.05 ohm (an ordinary meter; common practice, no source). */
sw_quantity sw_meter_resistance(sw_quantity shown_ohm, sw_quantity lead_ohm,
                                sw_quantity temperature_degc);

#endif
