/* What the tests of wires ask of a finding. */
#ifndef SPINWORTH_TESTS_MEASURE_SUPPORT_WIRES_H
#define SPINWORTH_TESTS_MEASURE_SUPPORT_WIRES_H

#include "src/measure/wires/wires.h"

/* Of wires that do not contradict themselves. */
sw_wire_finding find_wires(const sw_wires *wires);

bool doubted(const sw_wire_finding *finding, sw_wire_doubt_code code);

/* How many wires are to be connected. */
int wires_used(const sw_wire_finding *finding);

#endif
