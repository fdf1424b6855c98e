#include "src/report/say.h"

#include "shared/constants.h"
#include "shared/unit_table.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

const double SW_LEAST_KWH = 0.05;

/* A smaller share is none. */
static const double LEAST_PERCENT = 0.05;

typedef struct us_row {
    const char *unit;
    double factor;
    const char *shown;
} us_row;

static const us_row US_ROWS[] = {
    {"mm", 1 / SW_INCH_MM, "in"},
    {"m", 1 / SW_FOOT_M, "ft"},
    {"m2", 1 / (SW_FOOT_M * SW_FOOT_M), "ft\u00b2"},
    {"m/s", 3600 / SW_MILE_M, "mph"},
    {"kg", 1 / SW_POUND_KG, "lb"},
    {"N", 1 / SW_POUND_FORCE_N, "lbf"},
    {"N m", 1 / (SW_POUND_FORCE_N * SW_FOOT_M), "lbf ft"},
    {"kg m2", 1 / (SW_POUND_KG * SW_FOOT_M * SW_FOOT_M), "lb ft\u00b2"},
};

static const us_row *us_row_of(bool us, const char *unit) {
    for (size_t i = 0; us && i < sizeof US_ROWS / sizeof *US_ROWS; i++)
        if (strcmp(US_ROWS[i].unit, unit) == 0)
            return &US_ROWS[i];
    return NULL;
}

/* Places behind the point that leave so many figures of a value, four at most: nothing here is
 * known finer; below zero for tens, hundreds. */
static int places_of(double value, int figures) {
    enum { MOST = 4 };
    if (!(fabs(value) > 0))
        return 0;
    int places = figures - 1 - (int)floor(log10(fabs(value)) + 1e-9);
    return places > MOST ? MOST : places;
}

/* Rounded to so many places: 137 to -1 of them is 140. */
static double rounded(double value, int places) {
    double step = pow(10, -places);
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

/* A number rounded to so many places, without zeros at its end unless they are kept. */
static void number_of(double value, int places, bool keep_zeros, char *out, size_t room) {
    double round_value = rounded(value, places);
    /* no "-0" */
    snprintf(out, room, "%.*f", places > 0 ? places : 0, fabs(round_value) > 0 ? round_value : 0);
    if (!keep_zeros)
        strip_zeros(out);
}

static sw_said plain(double value, int figures, const char *shown) {
    sw_said said;
    char number[24];
    number_of(value, places_of(value, figures), false, number, sizeof number);
    snprintf(said.text, sizeof said.text, "%s%s%s", number, *shown == '\0' ? "" : " ", shown);
    return said;
}

/* "2.19 \u00b1 0.42 A": two figures of the \u00b1, but never more of the value than it is said to
 * anyway; a \u00b1 that vanishes beside those is left out. */
static sw_said with_range(double value, double expanded, int figures, const char *shown) {
    sw_said said;
    char number[24];
    char range[24];
    int places = places_of(expanded, 2);
    int most = places_of(fmax(fabs(value), expanded), figures);
    if (places > most)
        places = most;
    if (!(rounded(expanded, places) > 0))
        return plain(value, figures, shown);
    number_of(value, places, true, number, sizeof number);
    number_of(expanded, places, true, range, sizeof range);
    snprintf(said.text, sizeof said.text, "%s \u00b1 %s%s%s", number, range,
             *shown == '\0' ? "" : " ", shown);
    return said;
}

sw_said sw_say(bool us, sw_quantity quantity) {
    sw_said said;
    if (!sw_quantity_known(quantity) || !isfinite(quantity.value)) {
        snprintf(said.text, sizeof said.text, "%s", isinf(quantity.value) ? "never" : "not known");
        return said;
    }
    bool energy = strcmp(quantity.unit, "kWh") == 0;
    bool share = strcmp(quantity.unit, "%") == 0;
    if ((energy && fabs(quantity.value) < SW_LEAST_KWH) ||
        (share && fabs(quantity.value) < LEAST_PERCENT))
        quantity.value = 0;
    const us_row *row = us_row_of(us, quantity.unit);
    const char *shown = row != NULL ? row->shown : sw_unit_row_of(quantity.unit)->shown;
    double factor = row != NULL ? row->factor : 1;
    double expanded = 2 * factor * quantity.u;
    int figures = figures_of(quantity.unit);
    if (!(expanded > 0) || !isfinite(expanded))
        return plain(factor * quantity.value, figures, shown);
    return with_range(factor * quantity.value, expanded, figures, shown);
}

sw_said sw_say_value(bool us, double value, const char *unit) {
    return sw_say(us, sw_quantity_of(value, NAN, unit));
}

/* What a tape shows: sixteenths on small parts, eighths from 6 in, quarters from 20 in on. */
static long parts_of_inch(double inch) {
    if (inch >= 20)
        return 4;
    return inch >= 6 ? 8 : 16;
}

/* In lowest terms. */
static sw_said in_fractions(double inch) {
    sw_said said;
    long parts = parts_of_inch(inch);
    long sixteenths = lround((double)parts * inch) * (16 / parts);
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
    return ruler ? in_fractions(millimetre / SW_INCH_MM) : sw_say_value(us, millimetre, "mm");
}

sw_said sw_say_scale(bool us, double newton) {
    const us_row *row = us_row_of(us, "kg");
    double mass = newton / SW_GRAVITY_M_S2 * (row != NULL ? row->factor : 1);
    return plain(mass, 2, row != NULL ? row->shown : "kg");
}

sw_said sw_say_energy_range(double low_kwh, double high_kwh) {
    enum { FIGURES = 2 };
    sw_said said;
    char from[24];
    char to[24];
    double low = low_kwh < SW_LEAST_KWH ? 0 : low_kwh;
    if (high_kwh < SW_LEAST_KWH) {
        snprintf(said.text, sizeof said.text, "less than %g kWh", SW_LEAST_KWH);
        return said;
    }
    number_of(low, places_of(low, FIGURES), false, from, sizeof from);
    number_of(high_kwh, places_of(high_kwh, FIGURES), false, to, sizeof to);
    if (strcmp(from, to) == 0)
        snprintf(said.text, sizeof said.text, "about %s kWh", to);
    else
        snprintf(said.text, sizeof said.text, "%s to %s kWh", from, to);
    return said;
}

void sw_sink_say(double k_w, char *out, size_t room) {
    snprintf(out, room,
             "Heat sink marked %s or a smaller number, which is a larger sink (K/W: degrees it "
             "warms by for each watt).",
             sw_say_value(false, k_w, "K/W").text);
}
