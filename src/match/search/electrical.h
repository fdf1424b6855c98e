/* The electrical options of a motor: connections and rectifiers, batteries of other voltages,
 * several equal machines, coils wound anew; the ones at hand and those that need the motor opened
 * or another battery, each with its table over speed. */
#ifndef SPINWORTH_MATCH_ELECTRICAL_H
#define SPINWORTH_MATCH_ELECTRICAL_H

#include "src/match/search/search.h"

/* Fill electrical[] without tables, and count them. The first is the motor as it comes, alone, with
 * the first possible battery. SW_UNSUPPORTED when there are more than SW_ELECTRICAL_LIMIT. */
sw_status sw_electrical_list(const sw_search_request *request,
                             sw_electrical electrical[SW_ELECTRICAL_LIMIT], size_t *count,
                             sw_error *error);

/* Make its table, up to top_rpm or so far as the machine still changes, exactly or as a sketch; an
 * earlier table goes. On failure why_not is filled and generator is NULL. */
void sw_electrical_tabulate(const sw_motor *motor, double top_rpm, bool exact,
                            sw_electrical *electrical);

#endif
