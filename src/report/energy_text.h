/* The year's energy: what it is counted with, and where it goes. */
#ifndef SPINWORTH_REPORT_ENERGY_TEXT_H
#define SPINWORTH_REPORT_ENERGY_TEXT_H

#include "shared/text.h"
#include "src/match/match.h"

#include <stdbool.h>

/* match->full */
void sw_energy_text(const sw_match *match, bool us, sw_text *text);

#endif
