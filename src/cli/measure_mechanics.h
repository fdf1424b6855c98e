/* The measure command's workshop evidence: run-down, inertia, loaded runs, lever, heat. */
#ifndef SPINWORTH_CLI_MEASURE_MECHANICS_H
#define SPINWORTH_CLI_MEASURE_MECHANICS_H

#include "src/cli/command.h"
#include "src/measure/bench/bench.h"
#include "src/measure/bench/inertia.h"
#include "src/measure/measure.h"

#include <stdbool.h>

/* Is any of its options there that needs no recording? */
bool sw_mechanics_given(const sw_arguments *arguments);

/* A wrong call that can be seen before anything is read: half of a pair of options. */
sw_status sw_mechanics_check(const sw_arguments *arguments, sw_error *error);

/* Everything that was asked for into the motor (merged already with what was saved) and bench.
 * course: of the main recording, empty when there was none. request: as the main recording was
 * analysed. */
sw_status sw_mechanics_add(const sw_cli *cli, const sw_arguments *arguments,
                           const sw_measure_request *request, const sw_course *course,
                           sw_motor *motor, sw_bench *bench, sw_error *error);

/* One further recording, read as the main one is; a table of readings is refused. The caller frees
 * it (sw_recording_free). */
sw_status sw_mechanics_record(const sw_cli *cli, const sw_arguments *arguments, const char *path,
                              sw_recording *recording, sw_error *error);

/* Options as inputs (measure_mechanics_options.c). */
/* The n-th --load-ohm, which has its --loaded. */
sw_status sw_mechanics_load_ohm(const sw_cli *cli, const sw_arguments *arguments, size_t n,
                                sw_quantity *ohm, sw_error *error);
sw_status sw_mechanics_disc(const sw_cli *cli, const sw_arguments *arguments, bool added,
                            sw_quantity *inertia, sw_error *error);
sw_status sw_mechanics_weight(const sw_cli *cli, const sw_arguments *arguments,
                              sw_falling_weight *weight, sw_error *error);
sw_status sw_mechanics_lever(const sw_cli *cli, const sw_arguments *arguments, sw_lever *lever,
                             sw_error *error);

#endif
