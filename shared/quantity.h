/* Quantities: a value in a unit with its standard uncertainty, and how people write them.
 *
 * UDUNITS-2 does the conversions; its traps (mph, rpm against hertz, oz, degrees with an offset)
 * are taken care of here. Speeds of rotation are "rpm", never converted to or from hertz.
 */
#ifndef SPINWORTH_SHARED_QUANTITY_H
#define SPINWORTH_SHARED_QUANTITY_H

#include "shared/status.h"

#include <stdbool.h>
#include <stddef.h>

typedef struct sw_quantity {
    double value;     /* NaN = not known */
    double u;         /* standard uncertainty, k = 1, same unit; NaN = not stated */
    const char *unit; /* static text, e.g. "V/rpm"; NULL only when not known */
} sw_quantity;

/* A value in `unit` (static text) with standard uncertainty u (NaN when not stated). */
sw_quantity sw_quantity_of(double value, double u, const char *unit);

/* The quantity nobody knows. */
sw_quantity sw_quantity_unknown(void);

bool sw_quantity_known(sw_quantity quantity);

/* u, or relative * |value| when u is not stated. */
double sw_quantity_u_or(sw_quantity quantity, double relative);

/* The unit system, opaque: load once, pass along, free. */
typedef struct sw_units sw_units;
sw_status sw_units_new(sw_units **units, sw_error *error);
void sw_units_free(sw_units *units);

/* Convert value from one unit to another. SW_UNIT when unknown or of another dimension. */
sw_status sw_units_convert(const sw_units *units, double value, const char *from, const char *to,
                           double *result, sw_error *error);

/* Read a quantity as people write it, in any convertible unit, into `unit`:
 *   "27.5 in", "27-1/2 in", "6' 3 1/2\"", "1900mm", "5,5 m/s", "11 mph", "14 AWG", "70 °F",
 *   "0.35 ohm ± 0.02", "48 turns in 10 s", "9 frames a turn at 240 fps".
 * "±" is the half width of a 95 % interval (k = 2), as the program prints it.
 * A bare number is refused unless `unit` is one where only one unit is usual (V, A, ohm, Hz, W, 1).
 * The message has no prefix; callers add the option, file or key. */
sw_status sw_quantity_parse(const sw_units *units, const char *text, const char *unit,
                            sw_quantity *quantity, sw_error *error);

/* Would a bare number do for this unit? */
bool sw_quantity_bare_fine(const char *unit);

/* What kind of thing a unit measures ("turning speed"), the article before it, and how to write
 * one. */
const char *sw_unit_noun(const char *unit);
const char *sw_unit_article(const char *unit);
const char *sw_unit_example(const char *unit);

/* "8.53 ± 0.04 V" with the digits that u justifies (k = 2); "8.5 V" without u. */
void sw_quantity_print(sw_quantity quantity, char *out, size_t room);

#endif
