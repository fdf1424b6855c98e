/* The electrical options of a motor with a load: connections and rectifiers, the reachable ones
 * and those that need the motor opened, each with its table over speed. */
#ifndef SPINWORTH_MATCH_ELECTRICAL_H
#define SPINWORTH_MATCH_ELECTRICAL_H

#include "src/match/search.h"

/* Fill electrical[] without tables; returns how many. */
size_t sw_electrical_list(const sw_motor *motor, const sw_load *load,
                          sw_electrical electrical[SW_ELECTRICAL_LIMIT]);
/* Make its table, up to top_rpm or so far as the machine still changes; on failure why_not is
 * filled and generator stays NULL. */
void sw_electrical_tabulate(const sw_motor *motor, const sw_load *load, double top_rpm,
                            sw_electrical *electrical);

#endif
