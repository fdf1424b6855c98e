/* The periodic steady state, by Newton shooting.
 *
 * Running a part of a period maps a start state x to P(x); the steady state is the fixed point.
 * Marching there takes L/R or R C many periods; Newton's method on P(x) - x = 0 does not care
 * (Aprille and Trick 1972, Proc. IEEE 60). The derivative of P (the monodromy matrix) is taken by
 * differences, which includes what moves when switching instants shift, and is kept up to date
 * by Broyden's rank-one formula. Symmetry cuts the period: a sixth is enough for three phases
 * whose waves have odd harmonics only.
 */
#ifndef SPINWORTH_MATCH_ELECTRIC_SHOOT_H
#define SPINWORTH_MATCH_ELECTRIC_SHOOT_H

#include "shared/status.h"
#include "src/match/electric/march.h"

enum { SW_STATE_LIMIT = SW_LEG_LIMIT + SW_PORT_LIMIT };

/* A steady state with the derivative of its map: where the next, similar one starts from. */
typedef struct sw_periodic {
    bool warm;       /* the state is near the steady one */
    bool slope_warm; /* and so is the slope */
    sw_electric_state state;
    double slope[SW_STATE_LIMIT][SW_STATE_LIMIT];
    double misfit; /* estimated relative error of the state */
    int maps;      /* how often the map was run */
} sw_periodic;

/* Find the steady state on a grid of `steps` a period and collect its tally over one part of the
 * period. SW_NO_CONVERGENCE when the misfit does not get small. */
sw_status sw_shoot(const sw_circuit *circuit, const sw_circulation *circulation, int steps,
                   sw_periodic *periodic, sw_tally *tally, sw_error *error);

#endif
