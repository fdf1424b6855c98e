/* A resistor across the two recorded lines of the simulated motor, the third line open.
 *
 * Between those lines the winding is its EMF behind R and L, so that the terminal voltage is the
 * EMF through a divider and one pole: V = E Rl / (Rl + R + i w L). Divider and input stand in
 * parallel with the resistor. The drill holds the speed against the braking current. */
#ifndef SPINWORTH_PROBES_SIMULATE_LOADED_H
#define SPINWORTH_PROBES_SIMULATE_LOADED_H

#include "probes/simulate/spec.h"
#include "shared/status.h"

/* What lies across the winding, ohm; 0 = nothing that draws current. */
double sw_sim_terminal_ohm(const sw_sim_front *front);

/* SW_UNSUPPORTED where a load cannot be simulated: several channels (each would see another part
 * of the winding drop) or a run-down (the current would brake it). */
sw_status sw_sim_check_load(const sw_sim_spec *spec, sw_error *error);

#endif
