#include "shared/quantity.h"

#include "shared/unit_table.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

sw_quantity sw_quantity_of(double value, double u, const char *unit) {
    return (sw_quantity){value, u, unit};
}

sw_quantity sw_quantity_unknown(void) {
    return (sw_quantity){NAN, NAN, NULL};
}

bool sw_quantity_known(sw_quantity quantity) {
    return quantity.unit != NULL && !isnan(quantity.value);
}

double sw_quantity_u_or(sw_quantity quantity, double relative) {
    return isnan(quantity.u) ? relative * fabs(quantity.value) : quantity.u;
}

bool sw_quantity_bare_fine(const char *unit) {
    return sw_unit_row_of(unit)->bare_fine;
}

const char *sw_unit_noun(const char *unit) {
    return sw_unit_row_of(unit)->noun;
}

const char *sw_unit_article(const char *unit) {
    return strchr("aeiou", sw_unit_noun(unit)[0]) != NULL ? "an" : "a";
}

const char *sw_unit_example(const char *unit) {
    return sw_unit_row_of(unit)->example;
}

/* Decimals so that the expanded uncertainty shows two digits; at most 9, at least 0. */
static int decimals_for(double expanded) {
    int decimals = 1 - (int)floor(log10(expanded));
    return decimals < 0 ? 0 : decimals > 9 ? 9 : decimals;
}

static int decimals_without_u(double value) {
    double size = fabs(value);
    int decimals = size > 0 ? 2 - (int)floor(log10(size)) : 0;
    return decimals < 0 ? 0 : decimals > 9 ? 9 : decimals;
}

void sw_quantity_print(sw_quantity quantity, char *out, size_t room) {
    if (!sw_quantity_known(quantity)) {
        snprintf(out, room, "not known");
        return;
    }
    const char *gap = strcmp(quantity.unit, "1") == 0 ? "" : " ";
    const char *shown = sw_unit_row_of(quantity.unit)->shown;
    const char *unit = *gap == '\0' || *shown != '\0' ? shown : quantity.unit;
    double expanded = 2 * quantity.u;
    if (isnan(expanded) || expanded <= 0) {
        snprintf(out, room, "%.*f%s%s", decimals_without_u(quantity.value), quantity.value, gap,
                 unit);
        return;
    }
    int decimals = decimals_for(expanded);
    snprintf(out, room, "%.*f \u00b1 %.*f%s%s", decimals, quantity.value, decimals, expanded, gap,
             unit);
}
