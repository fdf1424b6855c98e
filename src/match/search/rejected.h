/* Which of the stock sizes were left out with the recommended wiring, and why: neighbours with the
 * same reason are one row. */
#ifndef SPINWORTH_MATCH_REJECTED_H
#define SPINWORTH_MATCH_REJECTED_H

#include "src/match/search/search.h"

enum { SW_REJECTED_LIMIT = 12 };

typedef struct sw_rejected_row {
    sw_rejection why;
    double from_mm; /* wheels of a pressed drive */
    double to_mm;
    size_t sizes;
} sw_rejected_row;

/* Rising sizes; returns how many rows. Nothing for belt, chain and direct drives. */
size_t sw_rejected_list(const sw_search *search, size_t electrical,
                        sw_rejected_row row[SW_REJECTED_LIMIT]);

/* "grip", "no_power" ... */
const char *sw_rejection_name(sw_rejection why);

#endif
