/* What is read, weighed or counted by hand, into a motor. */
#ifndef SPINWORTH_CLI_MEASURE_FACTS_H
#define SPINWORTH_CLI_MEASURE_FACTS_H

#include "shared/motor.h"
#include "shared/text.h"
#include "src/cli/command.h"

/* Meter readings, limits, names (facts, out of the same arguments) into the motor. A meter's
 * reading given in the same words is nothing new; another one takes the place of the first, unless
 * a loaded run or a table stands beside it: then they are averaged. What that was goes to remark.
 */
sw_status sw_measure_add_facts(const sw_arguments *arguments, const sw_motor *facts,
                               sw_motor *motor, sw_text *remark, sw_error *error);

/* Magnets and rest positions that were counted, where no recording is there to be measured with
 * them. */
sw_status sw_measure_add_counts(const sw_cli *cli, const sw_arguments *arguments, sw_motor *motor,
                                sw_text *remark, sw_error *error);

#endif
