/* What the uncertainty of the voltage constant is made of. */
#ifndef SPINWORTH_MEASURE_BUDGET_H
#define SPINWORTH_MEASURE_BUDGET_H

#include "src/measure/analysis.h"

/* volts_per_hertz with its uncertainty, and the budget behind it, into the record. Stays unknown
 * without usable cycles or trusted volts. */
sw_status sw_budget_constant(sw_analysis *analysis, sw_error *error);

/* Relative standard uncertainty of the fundamental from a slow shaft that jerks within a cycle. */
double sw_budget_jerk_u(const sw_analysis *analysis);

#endif
