/* An operating point of a rectifier circuit: solved, checked against a finer grid, and turned
 * into the figures people ask for. */
#ifndef SPINWORTH_MATCH_ELECTRIC_OPERATE_H
#define SPINWORTH_MATCH_ELECTRIC_OPERATE_H

#include "src/match/electric/option.h"

/* Electrical figures at a speed; shaft figures are left to sw_operate_shaft. The grid is refined
 * until the figures stand still. periodic may be warm from a neighbouring speed, else zeroed.
 * emf_w gets the power that the magnets give to the windings, all machines. */
sw_status sw_operate(const sw_electric_option *option, double speed_rpm, sw_periodic *periodic,
                     sw_operating_point *point, double *emf_w, sw_error *error);

/* Speed at which current begins. */
double sw_operate_cut_in_rpm(const sw_electric_option *option);

/* Add what the load gets, drag, shaft, torque and efficiency to a point with electrical
 * figures. */
void sw_operate_shaft(const sw_motor *motor, const sw_wiring *wiring, const sw_deliver_load *load,
                      double emf_w, sw_operating_point *point);

#endif
