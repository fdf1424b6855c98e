/* What comes of other winds: watts in each steady wind, the year at other means, the months. */
#ifndef SPINWORTH_REPORT_WINDS_TEXT_H
#define SPINWORTH_REPORT_WINDS_TEXT_H

#include "shared/text.h"
#include "src/match/match.h"

#include <stdbool.h>

/* match->full. With details every wind, else every second. */
void sw_winds_text(const sw_match *match, bool us, bool details, sw_text *text);

#endif
