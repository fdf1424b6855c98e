/* Running the circuit through a stretch of angle, switching where diodes switch.
 *
 * Steps of a regular grid are tried with the pattern held. When a step ends with a broken
 * condition, the instant at which that condition reaches zero is found by regula falsi on the
 * length of the step (Illinois variant: Dowell and Jarratt 1971, BIT 11), the step is made to end
 * there, and the pattern that holds afterwards is settled. Landing on the instants keeps the
 * order of the method and makes the end state a smooth function of the start state, which the
 * shooting needs.
 */
#ifndef SPINWORTH_MATCH_ELECTRIC_MARCH_H
#define SPINWORTH_MATCH_ELECTRIC_MARCH_H

#include "src/match/electric/tally.h"

typedef struct sw_stretch {
    double from; /* rad */
    double span;
    int steps;
} sw_stretch;

/* Advance *state over the stretch; tally may be NULL. False when it got stuck. */
bool sw_march(const sw_circuit *circuit, const sw_stretch *stretch,
              const sw_circulation *circulation, sw_electric_state *state, sw_tally *tally);

#endif
