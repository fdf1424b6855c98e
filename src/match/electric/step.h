/* One implicit Runge-Kutta step with a fixed conduction pattern.
 *
 * Alexander (1977), SIAM J. Numer. Anal. 14: three-stage singly diagonally implicit method of
 * order 3, stiffly accurate and L-stable. Its three stages share one resistance, it damps
 * whatever is faster than the step (small inductances, small battery resistances), and its last
 * stage is the new state, so that circuits without inductance, which are algebraic, need no
 * other method.
 */
#ifndef SPINWORTH_MATCH_ELECTRIC_STEP_H
#define SPINWORTH_MATCH_ELECTRIC_STEP_H

#include "src/match/electric/pattern.h"

enum { SW_STAGES = 3 };

/* Weights of the stages in an integral over the step. */
extern const double sw_step_weight[SW_STAGES];

typedef struct sw_stage_result {
    double angle;
    double emf_v[SW_LEG_LIMIT];
    double drive_v[SW_LEG_LIMIT];
    double cap_v[SW_PORT_LIMIT];
    double load_a;
    sw_solution solution;
} sw_stage_result;

typedef struct sw_step {
    double length; /* rad */
    sw_stage_result stage[SW_STAGES];
} sw_step;

/* Step from state at angle. False when a stage does not settle. */
bool sw_step_try(const sw_circuit *circuit, const sw_pattern *pattern,
                 const sw_electric_state *state, double angle, double length, sw_step *step);

/* State at the end of a step. */
sw_electric_state sw_step_end(const sw_circuit *circuit, const sw_step *step);

#endif
