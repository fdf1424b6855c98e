/* The machine at its terminals: EMF over shaft angle for each recorded channel.
 *
 * A table holds d(flux linkage)/d(shaft angle) in V s/rad at equal steps of one turn, so that the
 * EMF at any moment is its value at the angle times the speed.
 */
#ifndef SPINWORTH_PROBES_SIMULATE_MACHINE_H
#define SPINWORTH_PROBES_SIMULATE_MACHINE_H

#include "probes/simulate/spec.h"
#include "probes/simulate/truth.h"
#include "shared/status.h"

#include <stddef.h>

typedef struct sw_sim_machine {
    size_t channels;
    size_t points; /* a power of two */
    double *table[SW_SIM_PHASE_LIMIT];
    double peak; /* largest |table| of all channels */
} sw_sim_machine;

/* Build the tables for the channels that the front end records, and fill in what the truth says
 * of the motor. sw_machine_free releases them. */
sw_status sw_machine_build(const sw_sim_spec *spec, sw_sim_machine *machine, sw_sim_truth *truth,
                           sw_error *error);
void sw_machine_free(sw_sim_machine *machine);

/* Value of a channel's table at a shaft angle (any real angle, radians). */
double sw_machine_value(const sw_sim_machine *machine, size_t channel, double angle_rad);

/* Combine phases into what channel `channel` records: weights of the phases. SW_UNSUPPORTED when
 * the winding has no such pair of wires. */
sw_status sw_clips_weights(const sw_sim_spec *spec, int channel, double weights[SW_SIM_PHASE_LIMIT],
                           sw_error *error);

/* The EMF between two wires of three phases, open, as weights of the phases (added up). */
void sw_clips_between(const sw_sim_motor *motor, int plus, int minus,
                      double weights[SW_SIM_PHASE_LIMIT]);

/* Brushed motors: volts at the brushes over the angle, in machine->table[0] (commutator.c). */
sw_status sw_commutator_table(const sw_sim_spec *spec, sw_sim_machine *machine, sw_sim_truth *truth,
                              sw_error *error);

#endif
