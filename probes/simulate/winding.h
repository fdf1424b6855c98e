/* The coils of a stator: which phase, where, which way round. */
#ifndef SPINWORTH_PROBES_SIMULATE_WINDING_H
#define SPINWORTH_PROBES_SIMULATE_WINDING_H

#include "probes/simulate/spec.h"
#include "shared/status.h"

#include <stddef.h>

enum { SW_SIM_COIL_LIMIT = 256 };

typedef struct sw_sim_coil {
    int phase;        /* 0 .. phases - 1 */
    double angle_rad; /* mechanical, of the coil's middle */
    double span_rad;  /* mechanical width of the window it links */
    double weight;    /* turns, relative; negative when wound the other way round */
} sw_sim_coil;

typedef struct sw_sim_coils {
    size_t count;
    sw_sim_coil coil[SW_SIM_COIL_LIMIT];
} sw_sim_coils;

/* Lay the winding without tolerances. SW_UNSUPPORTED when slots and poles allow no balanced
 * winding of that many phases. */
sw_status sw_winding_lay(const sw_sim_motor *motor, sw_sim_coils *coils, sw_error *error);

/* Give each coil its tolerance: turns, standing gap error, a shorted share. */
sw_status sw_winding_tolerances(const sw_sim_motor *motor, unsigned long seed, sw_sim_coils *coils,
                                sw_error *error);

/* Winding factor of `phase` for a field of `order` periods a turn: pitch and distribution. */
double sw_winding_factor(const sw_sim_coils *coils, int phase, int order);

/* Greatest common divisor of slots and pole pairs: how often the winding repeats in a turn. */
int sw_winding_symmetry(const sw_sim_motor *motor);

#endif
