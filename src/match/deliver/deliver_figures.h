/* The figures of an operating point by name, unit and place, for whoever walks over all of them. */
#ifndef SPINWORTH_MATCH_DELIVER_FIGURES_H
#define SPINWORTH_MATCH_DELIVER_FIGURES_H

#include "src/match/deliver/deliver.h"

#include <stddef.h>

typedef struct sw_figure {
    const char *key;  /* as in documents */
    const char *unit; /* "1" = a plain number */
    size_t offset;    /* of the double in sw_operating_point */
} sw_figure;

extern const sw_figure sw_figures[];
extern const size_t sw_figure_count;

double sw_figure_value(const sw_figure *figure, const sw_operating_point *point);

/* Why a figure means nothing with this wiring and load; NULL when it does mean something. */
const char *sw_figure_absent(const sw_figure *figure, const sw_wiring *wiring,
                             const sw_deliver_load *load);

#endif
