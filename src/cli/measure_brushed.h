/* The measure command's loaded runs of a brushed motor. */
#ifndef SPINWORTH_CLI_MEASURE_BRUSHED_H
#define SPINWORTH_CLI_MEASURE_BRUSHED_H

#include "src/cli/measure_mechanics.h"

/* Every --loaded with its --load-ohm and --load-speed: ohms and brush drop into the motor. */
sw_status sw_mechanics_brushed(const sw_cli *cli, const sw_arguments *arguments,
                               const sw_measure_request *request, sw_motor *motor, sw_bench *bench,
                               sw_error *error);

#endif
