/* The two circuits that need no periodic solution: a brushed motor, whose EMF is steady, and a
 * winding on plain resistors, which is a phasor sum. */
#ifndef SPINWORTH_MATCH_ELECTRIC_SIMPLE_H
#define SPINWORTH_MATCH_ELECTRIC_SIMPLE_H

#include "src/match/electric/option.h"

/* Brushed: the operating point at a speed in rpm, *emf_w the power of the EMF of all machines; and
 * the speed from which current flows. SW_UNSUPPORTED for a rectifier that makes no sense there. */
sw_status sw_operate_brushed(const sw_motor *motor, const sw_wiring *wiring,
                             const sw_deliver_load *load, double speed_rpm,
                             sw_operating_point *point, double *emf_w, sw_error *error);
sw_status sw_brushed_cut_in_rpm(const sw_motor *motor, const sw_wiring *wiring,
                                const sw_deliver_load *load, double *speed_rpm, sw_error *error);

/* Resistors across each line pair (three phases) or each winding, of all machines alike. */
sw_status sw_operate_resistors(const sw_motor *motor, const sw_wiring *wiring,
                               const sw_deliver_load *load, double speed_rpm,
                               sw_operating_point *point, double *emf_w, sw_error *error);

#endif
