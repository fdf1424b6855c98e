#include "src/report/say.h"

#include "shared/constants.h"
#include "shared/unit_table.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Less a year is nothing. */
static const double LEAST_KWH = 0.05;

typedef struct us_row {
    const char *unit;
    double factor;
    const char *shown;
} us_row;

/* Exact: 1 in = 25.4 mm, 1 mile = 1609.344 m, 1 lb = 0.45359237 kg, g = 9.80665 m/s2. */
static const us_row US_ROWS[] = {
    {"mm", 1 / 25.4, "in"},
    {"m", 1 / 0.3048, "ft"},
    {"m2", 1 / (0.3048 * 0.3048), "ft\u00b2"},
    {"m/s", 3600 / 1609.344, "mph"},
    {"kg", 1 / SW_POUND_KG, "lb"},
    {"N", 1 / (SW_POUND_KG * SW_GRAVITY_M_S2), "lbf"},
    {"N m", 1 / (SW_POUND_KG * SW_GRAVITY_M_S2 * 0.3048), "lbf ft"},
};

static const us_row *us_row_of(bool us, const char *unit) {
    for (size_t i = 0; us && i < sizeof US_ROWS / sizeof *US_ROWS; i++)
        if (strcmp(US_ROWS[i].unit, unit) == 0)
            return &US_ROWS[i];
    return NULL;
}

/* Decimals that leave so many figures of a value. */
static int decimals_of(double value, int figures) {
    if (!(fabs(value) > 0))
        return 0;
    int decimals = figures - 1 - (int)floor(log10(fabs(value)) + 1e-9);
    return decimals < 0 ? 0 : decimals > 9 ? 9 : decimals;
}

/* To so many figures, with zeros before the point: 137 -> 140. */
static double rounded(double value, int figures) {
    if (!(fabs(value) > 0))
        return 0;
    double step = pow(10, floor(log10(fabs(value)) + 1e-9) + 1 - figures);
    return round(value / step) * step;
}

/* Wind, energy and shares are said to two figures, everything else to three. */
static int figures_of(const char *unit) {
    return strcmp(unit, "m/s") == 0 || strcmp(unit, "kWh") == 0 || strcmp(unit, "%") == 0 ? 2 : 3;
}

/* "52.0" -> "52", "2.50" -> "2.5" */
static void strip_zeros(char *number) {
    size_t length = strlen(number);
    if (strchr(number, '.') == NULL)
        return;
    while (length > 0 && number[length - 1] == '0')
        number[--length] = '\0';
    if (length > 0 && number[length - 1] == '.')
        number[--length] = '\0';
}

static sw_said plain(double value, int figures, const char *shown) {
    sw_said said;
    char number[32];
    snprintf(number, sizeof number, "%.*f", decimals_of(value, figures), rounded(value, figures));
    strip_zeros(number);
    snprintf(said.text, sizeof said.text, "%s%s%s", number, *shown == '\0' ? "" : " ", shown);
    return said;
}

sw_said sw_say(bool us, sw_quantity quantity) {
    sw_said said;
    if (!sw_quantity_known(quantity) || !isfinite(quantity.value)) {
        snprintf(said.text, sizeof said.text, "%s", isinf(quantity.value) ? "never" : "not known");
        return said;
    }
    if (strcmp(quantity.unit, "kWh") == 0 && fabs(quantity.value) < LEAST_KWH)
        quantity.value = 0;
    const us_row *row = us_row_of(us, quantity.unit);
    const char *shown = row != NULL ? row->shown : sw_unit_row_of(quantity.unit)->shown;
    double factor = row != NULL ? row->factor : 1;
    double expanded = 2 * factor * quantity.u;
    if (!(expanded > 0))
        return plain(factor * quantity.value, figures_of(quantity.unit), shown);
    int decimals = decimals_of(expanded, 2);
    snprintf(said.text, sizeof said.text, "%.*f \u00b1 %.*f%s%s", decimals, factor * quantity.value,
             decimals, expanded, *shown == '\0' ? "" : " ", shown);
    return said;
}

sw_said sw_say_value(bool us, double value, const char *unit) {
    return sw_say(us, sw_quantity_of(value, NAN, unit));
}

/* To the nearest sixteenth, in lowest terms. */
static sw_said in_fractions(double inch) {
    sw_said said;
    long sixteenths = lround(16 * inch);
    long whole = sixteenths / 16;
    long part = sixteenths % 16;
    long below = 16;
    for (; part > 0 && part % 2 == 0; part /= 2)
        below /= 2;
    if (part == 0)
        snprintf(said.text, sizeof said.text, "%ld in", whole);
    else if (whole == 0)
        snprintf(said.text, sizeof said.text, "%ld/%ld in", part, below);
    else
        snprintf(said.text, sizeof said.text, "%ld %ld/%ld in", whole, part, below);
    return said;
}

sw_said sw_say_size(bool us, double millimetre) {
    bool ruler = us && isfinite(millimetre) && millimetre >= 1 && millimetre < 1e5;
    return ruler ? in_fractions(millimetre / 25.4) : sw_say_value(us, millimetre, "mm");
}

sw_said sw_say_scale(bool us, double newton) {
    const us_row *row = us_row_of(us, "kg");
    double mass = newton / SW_GRAVITY_M_S2 * (row != NULL ? row->factor : 1);
    return plain(mass, 2, row != NULL ? row->shown : "kg");
}

sw_said sw_say_range(double low, double high, const char *unit) {
    sw_said said;
    double from = rounded(fmax(low, 0), 2);
    double to = rounded(high, 2);
    const char *shown = sw_unit_row_of(unit)->shown;
    if (from == to)
        snprintf(said.text, sizeof said.text, "about %.*f %s", decimals_of(to, 2), to, shown);
    else
        snprintf(said.text, sizeof said.text, "%.*f to %.*f %s", decimals_of(from, 2), from,
                 decimals_of(to, 2), to, shown);
    return said;
}
