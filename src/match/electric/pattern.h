/* Which diodes conduct: what a pattern breaks, and how it is mended.
 *
 * A pattern is right at an instant when no conducting diode would carry current backwards and no
 * idle one would be pushed beyond its threshold. Because the network is passive the right pattern
 * exists and is unique; a few exchanges of the worst breach find it, and if they run in circles
 * all patterns (at most 3^4) are tried.
 */
#ifndef SPINWORTH_MATCH_ELECTRIC_PATTERN_H
#define SPINWORTH_MATCH_ELECTRIC_PATTERN_H

#include "src/match/electric/stage.h"

/* The worst condition of a pattern: its margin is negative when it is broken. */
typedef struct sw_breach {
    double margin; /* relative to the circuit's scales */
    int leg;
    int sign;    /* what the leg should do instead: 1, -1, or 0 = stop */
    int partner; /* leg that begins with it (idle floating group), -1 = none */
} sw_breach;

/* Margins below this count as broken. */
static const double sw_breach_tolerance = 1e-9;

sw_breach sw_pattern_worst(const sw_circuit *circuit, const sw_pattern *pattern,
                           const double *drive_v, const sw_solution *solution);

/* The margin of one condition, also when it is not the worst. */
double sw_pattern_margin(const sw_circuit *circuit, const sw_pattern *pattern,
                         const double *drive_v, const sw_solution *solution,
                         const sw_breach *which);

/* Signs of the leg currents. */
sw_pattern sw_pattern_of_state(const sw_circuit *circuit, const sw_electric_state *state);

/* Find the pattern that holds just after `angle`, starting from *pattern. `reach` is a very
 * small angle. */
bool sw_pattern_settle(const sw_circuit *circuit, double angle, double reach,
                       const sw_electric_state *state, sw_pattern *pattern);

#endif
