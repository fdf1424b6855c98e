#include "shared/unit_table.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

static const sw_unit_row ROWS[] = {
    {"1", "1", "", "plain number", "0.25", true},
    {"%", "percent", "%", "share", "20%", false},
    {"V", "V", "V", "voltage", "24V", true},
    {"A", "A", "A", "current", "2.5A", true},
    {"ohm", "ohm", "ohm", "resistance", "0.35ohm", true},
    {"Hz", "Hz", "Hz", "frequency", "50Hz", true},
    {"W", "W", "W", "power", "60W", true},
    {"mH", "mH", "mH", "inductance", "4.7mH", false},
    {"H", "H", "H", "inductance", "4.7mH", false},
    {"F", "F", "F", "capacitance", "1000uF", false},
    {"uF", "uF", "uF", "capacitance", "1000uF", false},
    {"rpm", "rpm", "rpm", "turning speed", "640rpm or '48 turns in 10 s'", false},
    {"m", "m", "m", "length", "1900mm or 75in", false},
    {"mm", "mm", "mm", "length", "1900mm or 75in", false},
    {"m2", "m2", "m\u00b2", "area", "1.2m2", false},
    {"mm2", "mm2", "mm\u00b2", "wire area", "2.5mm2 or '14 AWG'", false},
    {"m/s", "m/s", "m/s", "wind speed", "'5.5 m/s' or '12 mph'", false},
    {"s", "s", "s", "time", "12s", false},
    {"kg", "kg", "kg", "mass", "1.2kg or 2.6lb", false},
    {"N", "N", "N", "force", "30N, 3kg or 7lbf", false},
    {"N m", "N.m", "N m", "torque", "'0.2 N m' or '30 oz in'", false},
    {"N m s/rad", "N.m.s/rad", "N m s/rad", "torque per speed", "'0.001 N m s/rad'", false},
    {"N m s2/rad2", "N.m.s2/rad2", "N m s\u00b2/rad\u00b2", "torque per speed squared",
     "'1e-6 N m s2/rad2'", false},
    {"kg m2", "kg.m2", "kg m\u00b2", "moment of inertia", "'0.02 kg m2'", false},
    {"N/m", "N/m", "N/m", "spring rate", "'2 N/mm'", false},
    {"kWh", "1000 W.h", "kWh", "energy", "90kWh", false},
    {"Wh", "W.h", "Wh", "energy", "90Wh", false},
    {"Ah", "A.h", "Ah", "battery size", "100Ah", false},
    {"degC", "degC", "\u00b0C", "temperature", "'20 degC' or '70 degF'", false},
    {"deg", "degree", "\u00b0", "angle", "'120 deg'", false},
    {"V/Hz", "V/Hz", "V/Hz", "voltage per frequency", "'0.3 V/Hz'", false},
    {"V/rpm", "V/rpm", "V/rpm", "voltage per speed", "'0.12 V/rpm'", false},
    {"rpm/V", "rpm/V", "rpm/V", "speed per volt", "'11 rpm/V'", false},
    {"Wb", "Wb", "Wb", "flux linkage", "'33 mWb'", false},
    {"V s/rad", "V.s/rad", "V s/rad", "voltage per speed", "'0.9 V s/rad'", false},
    {"V/krpm", "V/krpm", "V per 1000 rpm", "voltage per speed", "'120 V/krpm'", false},
    {"K/W", "K/W", "K/W", "heat resistance", "'1.5 K/W'", false},
    {"kg/m3", "kg/m3", "kg/m\u00b3", "density", "'1.2 kg/m3'", false},
    {"rad/s2", "rad/s2", "rad/s\u00b2", "angular acceleration", "'5 rad/s2'", false},
    {"ohm/km", "ohm/km", "ohm/km", "resistance per length", "'7.4 ohm/km'", false},
};

static const sw_unit_row OTHER = {NULL, NULL, "", "value", "a number with its unit", false};

const sw_unit_row *sw_unit_row_of(const char *unit) {
    for (size_t i = 0; unit != NULL && i < sizeof ROWS / sizeof *ROWS; i++)
        if (strcmp(ROWS[i].unit, unit) == 0)
            return &ROWS[i];
    return &OTHER;
}

typedef struct spelling_row {
    const char *spelling;
    const char *udunits;
    const char *only_for; /* noun of the unit wanted, or NULL for any */
} spelling_row;

/* What UDUNITS-2 would misread (mph is milli-phot, oz a volume) or does not know. */
static const spelling_row SPELLINGS[] = {
    {"mph", "mile/hour", NULL},
    {"mi/h", "mile/hour", NULL},
    {"kph", "km/hour", NULL},
    {"kmh", "km/hour", NULL},
    {"km/h", "km/hour", NULL},
    {"kn", "knot", NULL},
    {"kt", "knot", NULL},
    {"kts", "knot", NULL},
    {"knots", "knot", NULL},
    {"fps", "ft/s", "wind speed"},
    {"RPM", "rpm", NULL},
    {"Rpm", "rpm", NULL},
    {"1/min", "rpm", "turning speed"},
    {"r/min", "rpm", NULL},
    {"rev/min", "rpm", NULL},
    {"turns/min", "rpm", NULL},
    {"turn/min", "rpm", NULL},
    {"rev/s", "revolution/s", NULL},
    {"turns/s", "revolution/s", NULL},
    {"turn/s", "revolution/s", NULL},
    {"inches", "inch", NULL},
    {"feet", "foot", NULL},
    {"\"", "inch", NULL},
    {"'", "foot", NULL},
    {"oz", "ounce_force", "force"},
    {"oz", "avoirdupois_ounce", "mass"},
    {"lbs", "lb", NULL},
    {"lb", "lbf", "force"},
    {"lbs", "lbf", "force"},
    {"kg", "kgf", "force"},
    {"g", "gf", "force"},
    {"oz in", "ounce_force.inch", NULL},
    {"oz-in", "ounce_force.inch", NULL},
    {"oz.in", "ounce_force.inch", NULL},
    {"ozf in", "ounce_force.inch", NULL},
    {"oz*in", "ounce_force.inch", NULL},
    {"in lb", "lbf.inch", NULL},
    {"in lbf", "lbf.inch", NULL},
    {"in-lb", "lbf.inch", NULL},
    {"lb in", "lbf.inch", "torque"},
    {"lbf in", "lbf.inch", NULL},
    {"ft lb", "lbf.foot", NULL},
    {"ft-lb", "lbf.foot", NULL},
    {"ft lbf", "lbf.foot", NULL},
    {"lb ft", "lbf.foot", "torque"},
    {"lbf ft", "lbf.foot", NULL},
    {"kg cm", "kgf.cm", "torque"},
    {"kgf cm", "kgf.cm", NULL},
    {"Nm", "N.m", NULL},
    {"Ncm", "N.cm", NULL},
    {"Nmm", "N.mm", NULL},
    {"mNm", "mN.m", NULL},
    {"gcm2", "g.cm2", NULL},
    {"kgm2", "kg.m2", NULL},
    {"deg", "degree", NULL},
    {"degrees", "degree", NULL},
    {"C", "degC", "temperature"},
    {"F", "degF", "temperature"},
    {"deg C", "degC", NULL},
    {"deg F", "degF", NULL},
    {"Ohm", "ohm", NULL},
    {"Ohms", "ohm", NULL},
    {"ohms", "ohm", NULL},
    {"R", "ohm", "resistance"},
    {"k", "kohm", "resistance"},
    {"kOhm", "kohm", NULL},
    {"mOhm", "mohm", NULL},
    {"volts", "volt", NULL},
    {"VAC", "V", NULL},
    {"VDC", "V", NULL},
    {"amps", "ampere", NULL},
    {"kWh", "1000 W.h", NULL},
    {"Wh", "W.h", NULL},
    {"Ah", "A.h", NULL},
    {"mAh", "mA.h", NULL},
    {"sec", "s", NULL},
    {"hz", "Hz", NULL},
    {"cycles/s", "Hz", NULL},
    {"cps", "Hz", NULL},
    {"sq mm", "mm2", NULL},
    {"sqmm", "mm2", NULL},
    {"sq m", "m2", NULL},
    {"sq ft", "ft2", NULL},
    {"sqft", "ft2", NULL},
    {"sq in", "in2", NULL},
    {"sqin", "in2", NULL},
};

typedef struct glyph_row {
    const char *glyph;
    const char *plain;
} glyph_row;

static const glyph_row GLYPHS[] = {
    {"\u00b0C", "degC"}, {"\u00b0F", "degF"}, {"\u00b0", "degree"}, {"\u03a9", "ohm"},
    {"\u2126", "ohm"},   {"\u00b5", "u"},     {"\u03bc", "u"},      {"\u00b2", "2"},
    {"\u00b3", "3"},     {"\u00b7", "."},     {"\u22c5", "."},      {"\u2032", "'"},
    {"\u2033", "\""},    {"\u201d", "\""},    {"\u2019", "'"},      {"\u00a0", " "},
    {"\u202f", " "},
};

/* Replace the glyphs people paste, and squeeze white space to single spaces. */
static void tidy(const char *spelling, size_t length, char *out, size_t room) {
    size_t used = 0;
    for (size_t at = 0; at < length && used + 8 < room;) {
        const glyph_row *hit = NULL;
        for (size_t i = 0; i < sizeof GLYPHS / sizeof *GLYPHS && hit == NULL; i++) {
            size_t width = strlen(GLYPHS[i].glyph);
            if (at + width <= length && memcmp(spelling + at, GLYPHS[i].glyph, width) == 0)
                hit = &GLYPHS[i];
        }
        if (hit != NULL) {
            used += (size_t)snprintf(out + used, room - used, "%s", hit->plain);
            at += strlen(hit->glyph);
            continue;
        }
        char c = isspace((unsigned char)spelling[at]) ? ' ' : spelling[at];
        at++;
        if (c == ' ' && (used == 0 || out[used - 1] == ' '))
            continue;
        out[used++] = c;
    }
    while (used > 0 && out[used - 1] == ' ')
        used--;
    out[used] = '\0';
}

void sw_unit_translate(const char *spelling, size_t length, const char *for_unit, char *out,
                       size_t room) {
    tidy(spelling, length, out, room);
    const char *noun = sw_unit_row_of(for_unit)->noun;
    const spelling_row *any = NULL;
    for (size_t i = 0; i < sizeof SPELLINGS / sizeof *SPELLINGS; i++) {
        const spelling_row *row = &SPELLINGS[i];
        if (strcmp(row->spelling, out) != 0)
            continue;
        if (row->only_for != NULL && strcmp(row->only_for, noun) == 0) {
            snprintf(out, room, "%s", row->udunits);
            return;
        }
        if (row->only_for == NULL && any == NULL)
            any = row;
    }
    if (any != NULL)
        snprintf(out, room, "%s", any->udunits);
}
