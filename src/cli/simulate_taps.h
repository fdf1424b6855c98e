/* simulate --taps: a battery touched to the simulated divider. */
#ifndef SPINWORTH_CLI_SIMULATE_TAPS_H
#define SPINWORTH_CLI_SIMULATE_TAPS_H

#include "probes/simulate/spec.h"
#include "src/cli/command.h"

/* --taps with what it needs, and nothing that belongs to a spin. */
sw_status sw_simulate_taps_check(const sw_arguments *arguments, sw_error *error);

/* Simulate, save and tell. */
sw_status sw_simulate_taps(const sw_cli *cli, const sw_arguments *arguments,
                           const sw_sim_spec *spec, sw_error *error);

#endif
