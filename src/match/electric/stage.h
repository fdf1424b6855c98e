/* One algebraic instant of the circuit with a given conduction pattern.
 *
 * An implicit integration step turns every inductance into a resistance plus a voltage, and
 * every capacitor likewise, so that what remains per stage is a network of resistances, constant
 * voltages and diodes that conduct: for each conducting leg of sign s
 *
 *     ohm i + s v_diode(s i) + s v_port + v_neutral = u
 *
 * and the currents of a floating group sum to zero. Newton's method on currents and neutrals; the
 * matrix is symmetric and quasi-definite (positive for legs, negative for neutrals), so it
 * factors without pivoting.
 */
#ifndef SPINWORTH_MATCH_ELECTRIC_STAGE_H
#define SPINWORTH_MATCH_ELECTRIC_STAGE_H

#include "src/match/electric/circuit.h"

#include <stdbool.h>

/* Which diode of each leg conducts: 1 upper, -1 lower, 0 none. */
typedef struct sw_pattern {
    signed char leg[SW_LEG_LIMIT];
} sw_pattern;

/* State of the circuit: leg currents and capacitor voltages (smoothing: one; doubler: two a
 * unit, upper then lower). */
typedef struct sw_electric_state {
    double leg_a[SW_LEG_LIMIT];
    double cap_v[SW_PORT_LIMIT];
} sw_electric_state;

/* The resistive network of a stage. */
typedef struct sw_stage {
    double ohm;                 /* resistance of a leg, inductance included */
    double drive[SW_LEG_LIMIT]; /* EMF of a leg, history of its inductance included */
    int ports;
    double port_v[SW_PORT_LIMIT];                  /* port voltages without current */
    double port_ohm[SW_PORT_LIMIT][SW_PORT_LIMIT]; /* and their resistance matrix */
} sw_stage;

/* What a stage comes to. */
typedef struct sw_solution {
    double leg_a[SW_LEG_LIMIT];
    double drop_v[SW_LEG_LIMIT]; /* of the conducting diode */
    double neutral_v[SW_GROUP_LIMIT];
    double port_a[SW_PORT_LIMIT];
    double port_v[SW_PORT_LIMIT];
} sw_solution;

/* Number of capacitor voltages in the state. */
int sw_circuit_caps(const sw_circuit *circuit);

/* Fill the ports of a stage whose implicit step is `reach` (rad) with capacitor history. */
void sw_stage_ports(const sw_circuit *circuit, const double *cap_history_v, double reach,
                    sw_stage *stage);

/* Capacitor voltages and load current that follow from a solution. */
void sw_stage_caps(const sw_circuit *circuit, const double *cap_history_v, double reach,
                   const sw_solution *solution, double *cap_v, double *load_a);

/* Solve; solution->leg_a holds the first guess. False when Newton does not settle. */
bool sw_stage_solve(const sw_circuit *circuit, const sw_stage *stage, const sw_pattern *pattern,
                    sw_solution *solution);

#endif
