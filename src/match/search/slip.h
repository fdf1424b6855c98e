/* Does a pressed wheel hold the rim in the hardest working wind, with a friction that is drawn? */
#ifndef SPINWORTH_MATCH_SLIP_H
#define SPINWORTH_MATCH_SLIP_H

#include "src/match/contact/grip.h"
#include "src/match/plant.h"

#include <stdbool.h>

/* Drive force that one wheel must pass on, over the contact force that the spring leaves at its
 * least: the friction that this takes. INFINITY when the wheel leaves the rim. */
double sw_slip_friction(const sw_plant *plant, const sw_press *press, double working_wind);

#endif
