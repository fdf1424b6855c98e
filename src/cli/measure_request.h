/* The measure command's options as a request, and what the person adds by hand. */
#ifndef SPINWORTH_CLI_MEASURE_REQUEST_H
#define SPINWORTH_CLI_MEASURE_REQUEST_H

#include "src/cli/command.h"
#include "src/measure/measure.h"

extern const sw_option SW_MEASURE_OPTIONS[];

/* Probe, speed evidence, what the clips were on. */
sw_status sw_measure_request_from(const sw_cli *cli, const sw_arguments *arguments,
                                  sw_measure_request *request, sw_error *error);

/* Which files, which rate, which difference. paths are borrowed from arguments. */
sw_status sw_recording_request_from(const sw_cli *cli, const sw_arguments *arguments,
                                    sw_recording_request *request, sw_error *error);

/* Facts given by hand (resistance, nameplate, name, ...) as a motor that knows nothing else;
 * *any tells whether there was one. */
sw_status sw_measure_facts_from(const sw_cli *cli, const sw_arguments *arguments, sw_motor *facts,
                                bool *any, sw_error *error);

#endif
