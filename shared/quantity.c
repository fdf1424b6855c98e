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

/* Less than this of a value is no uncertainty that anybody measured. */
static const double U_LEAST = 1e-6;
enum { DECIMALS_MOST = 6 };

/* Place of the second figure of an expanded uncertainty, as a power of ten: 0.0996 is 0.10. */
static int place_of(double expanded) {
    int place = (int)floor(log10(expanded)) - 1;
    return round(expanded / pow(10, place)) >= 100 ? place + 1 : place;
}

static int decimals_without_u(double value) {
    double size = fabs(value);
    int decimals = size > 0 ? 2 - (int)floor(log10(size)) : 0;
    return decimals < 0 ? 0 : decimals;
}

/* Both to the second figure of the uncertainty (JCGM 100, 7.2.6); what is small is told by a power
 * of ten, before its zeros are hard to count. */
static void print_with_u(double value, double expanded, const char *gap, const char *unit,
                         char *out, size_t room) {
    int place = place_of(expanded);
    double step = pow(10, place > 0 ? place : 0);
    int decimals = place < 0 ? -place : 0;
    double size = fmax(fabs(value), expanded);
    int power = (int)floor(log10(size));
    if (decimals > DECIMALS_MOST && power < -3) {
        double scale = pow(10, -power);
        snprintf(out, room, "(%.*f \u00b1 %.*f)e%d%s%s", decimals + power, value * scale,
                 decimals + power, expanded * scale, power, gap, unit);
        return;
    }
    snprintf(out, room, "%.*f \u00b1 %.*f%s%s", decimals,
             place > 0 ? step * round(value / step) : value, decimals,
             place > 0 ? step * round(expanded / step) : expanded, gap, unit);
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
    if (isnan(expanded) || expanded <= U_LEAST * fabs(quantity.value)) {
        int decimals = decimals_without_u(quantity.value);
        bool small = decimals > DECIMALS_MOST;
        snprintf(out, room, small ? "%.*e%s%s" : "%.*f%s%s", small ? 2 : decimals, quantity.value,
                 gap, unit);
        return;
    }
    print_with_u(quantity.value, expanded, gap, unit, out, room);
}
