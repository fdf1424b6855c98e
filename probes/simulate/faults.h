/* What is wrong with a motor of the scrap pile, for practice: one of its coils, one of its phases,
 * one of its magnets, or all of them. */
#ifndef SPINWORTH_PROBES_SIMULATE_FAULTS_H
#define SPINWORTH_PROBES_SIMULATE_FAULTS_H

#include "probes/simulate/spec.h"
#include "probes/simulate/winding.h"

#include <gsl/gsl_rng.h>

/* Words of `fault`, NULL-terminated; the index is the enumerator's value. */
extern const char *const SW_SIM_FAULT_WORDS[];

/* Put magnets' faults into the motor, before it is built. */
void sw_sim_fault_magnets(sw_sim_motor *motor);

/* A factor on the strength of one magnet: rust eats one more than another, a hot spot or a strong
 * field takes from one side of the rotor. */
double sw_sim_fault_strength(const sw_sim_motor *motor, int pole, gsl_rng *random);

/* The first coil of the first phase gives nothing once its turns are bridged. */
void sw_sim_fault_coils(const sw_sim_motor *motor, sw_sim_coils *coils);

/* Which way round a phase is joined. */
double sw_sim_fault_sign(const sw_sim_motor *motor, int phase);

/* The phase that is broken, -1 = none. */
int sw_sim_fault_broken(const sw_sim_motor *motor);

#endif
