/* What a motor delivers at a speed: EMF behind winding resistance and inductance, through a
 * rectifier, into a battery, a resistor or a converter. */
#ifndef SPINWORTH_MATCH_DELIVER_H
#define SPINWORTH_MATCH_DELIVER_H

#include "src/match/wiring.h"

/* Steady state at speed; a converter with a window has found its best volts. Needs voltage
 * constant, pole pairs and resistance of the motor (SW_MISSING_KEY names the one that is missing);
 * unknown inductance and drag count as zero. SW_NO_CONVERGENCE rather than a wrong answer. */
sw_status sw_deliver(const sw_motor *motor, const sw_wiring *wiring, const sw_deliver_load *load,
                     double speed_rpm, sw_operating_point *point, sw_error *error);

/* Speed at which DC current begins to flow; exact for the open-circuit waveform. */
sw_status sw_deliver_cut_in(const sw_motor *motor, const sw_wiring *wiring,
                            const sw_deliver_load *load, double *speed_rpm, sw_error *error);

/* DC volts between the rails at speed with nothing connected and ideal diodes: the peak of the
 * open-circuit waveform (doubler: of both halves). SW_UNSUPPORTED without a rectifier. */
sw_status sw_deliver_open_volts(const sw_motor *motor, const sw_wiring *wiring,
                                const sw_deliver_load *load, double speed_rpm, double *volts,
                                sw_error *error);

#endif
