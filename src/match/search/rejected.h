/* What the search left out, and why: stock sizes with the recommended wiring (neighbours with the
 * same reason are one row), and wirings that no size makes work. */
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

/* An electrical option that no size makes work. */
typedef struct sw_rejected_way {
    size_t electrical;
    sw_rejection why; /* of the size that came closest; SW_REJECTED_NOT = see its why_not */
} sw_rejected_way;

/* In the search's order; returns how many. */
size_t sw_rejected_ways(const sw_search *search, sw_rejected_way way[SW_ELECTRICAL_LIMIT]);

/* "grip", "no_power" ... */
const char *sw_rejection_name(sw_rejection why);

#endif
