/* The units the program itself uses, and the spellings people use for theirs. */
#ifndef SPINWORTH_SHARED_UNIT_TABLE_H
#define SPINWORTH_SHARED_UNIT_TABLE_H

#include <stdbool.h>
#include <stddef.h>

typedef struct sw_unit_row {
    const char *unit;    /* as in documents */
    const char *udunits; /* the same for UDUNITS-2 */
    const char *shown;   /* as printed for people */
    const char *noun;    /* what it measures */
    const char *example; /* how to write one */
    bool bare_fine;      /* only one unit is usual, so that a bare number is clear */
} sw_unit_row;

/* Row of a document unit; a row that says "value" for a unit not in the table. Never NULL. */
const sw_unit_row *sw_unit_row_of(const char *unit);

/* Translate a spelling ("mph", "Nm", "°F", "oz in") for UDUNITS-2; out gets the translation or a
 * tidied copy. for_unit is the unit wanted: "C" is a temperature where one is wanted. */
void sw_unit_translate(const char *spelling, size_t length, const char *for_unit, char *out,
                       size_t room);

#endif
