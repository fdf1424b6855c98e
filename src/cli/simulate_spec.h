/* The options that describe a simulated motor, its spin and its input. */
#ifndef SPINWORTH_CLI_SIMULATE_SPEC_H
#define SPINWORTH_CLI_SIMULATE_SPEC_H

#include "probes/simulate/spec.h"
#include "src/cli/command.h"

/* Motor, spin and input that are wished for, the family by --family or --simulate; with --probe the
 * input is as that document says, within its uncertainty. Options that a command does not offer
 * count as not given. */
sw_status sw_simulate_spec_from(const sw_cli *cli, const sw_arguments *arguments, sw_sim_spec *spec,
                                sw_error *error);

/* Where the truth of a recording goes: rec.truth.json for rec.wav. */
sw_status sw_simulate_truth_path(const char *recording, char *out, size_t room, sw_error *error);

#endif
