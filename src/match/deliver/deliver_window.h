/* A converter that may choose its input volts: at each speed the one that gives most power. */
#ifndef SPINWORTH_MATCH_DELIVER_WINDOW_H
#define SPINWORTH_MATCH_DELIVER_WINDOW_H

#include "src/match/wiring.h"

bool sw_deliver_seeks(const sw_deliver_load *load);

/* The same load held at the volts of its window that give most power at this speed: its lower end
 * where nothing flows, its upper end where more volts would give more. */
sw_status sw_deliver_seek(const sw_motor *motor, const sw_wiring *wiring,
                          const sw_deliver_load *load, double speed_rpm, sw_deliver_load *held,
                          sw_error *error);

/* Held at the lower end: where current begins. */
sw_deliver_load sw_deliver_lowest(const sw_deliver_load *load);

#endif
