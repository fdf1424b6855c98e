/* Quantities as people write them. The text is cut into a number part, an optional "± half
 * width" and a unit; the number part may be a mixed fraction ("27-1/2") or feet and inches. A
 * few whole phrases for speeds come first. */
#include "shared/constants.h"
#include "shared/number.h"
#include "shared/quantity.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

enum { TEXT_ROOM = 160 };

/* A turn counted by eye is good to a quarter; a stopwatch in the hand to 0.2 s; a frame to half
 * a frame (rectangular). Common practice, no source. */
static const double COUNT_U_TURNS = 0.25;
static const double STOPWATCH_U_S = 0.2;

static size_t skip_spaces(const char *text, size_t at) {
    while (isspace((unsigned char)text[at]))
        at++;
    return at;
}

static size_t glyph_at(const char *text, const char *glyph) {
    size_t width = strlen(glyph);
    return strncmp(text, glyph, width) == 0 ? width : 0;
}

static size_t plus_minus_at(const char *text) {
    size_t width = glyph_at(text, "\u00b1");
    if (width == 0)
        width = glyph_at(text, "+/-");
    return width != 0 ? width : glyph_at(text, "+-");
}

/* Which sign is the decimal one? "5,5" and "5.5" are clear; "1,500" is not. */
static sw_status decimal_sign(const char *text, char *decimal, sw_error *error) {
    *decimal = '.';
    const char *comma = strchr(text, ',');
    if (comma == NULL || !isdigit((unsigned char)comma[1]))
        return SW_OK;
    size_t digits = strspn(comma + 1, "0123456789");
    size_t before = 0;
    while (comma - before > text && isdigit((unsigned char)comma[-1 - (int)before]))
        before++;
    bool grouped = digits == 3 && before > 0 && before <= 3 && comma[-(int)before] != '0';
    if (grouped || strchr(text, '.') != NULL)
        return sw_fail(error, SW_VALUE,
                       "\"%s\" can be read in two ways; write thousands without a comma", text);
    *decimal = ',';
    return SW_OK;
}

/* "1/2" or " 1/2" or "-1/2" after a whole number, or a fraction alone. */
static size_t fraction_at(const char *text, double *value) {
    double top = 0;
    double bottom = 0;
    size_t used = sw_number_scan(text, strspn(text, "0123456789"), '.', &top);
    if (used == 0 || text[used] != '/')
        return 0;
    size_t more =
        sw_number_scan(text + used + 1, strspn(text + used + 1, "0123456789"), '.', &bottom);
    if (more == 0 || bottom == 0)
        return 0;
    *value = top / bottom;
    return used + 1 + more;
}

/* A number, possibly a mixed fraction. */
static size_t mixed_at(const char *text, char decimal, double *value) {
    size_t used = fraction_at(text, value);
    if (used > 0)
        return used;
    used = sw_number_scan(text, strlen(text), decimal, value);
    if (used == 0)
        return 0;
    size_t gap = used;
    if (text[gap] == '-')
        gap++;
    else
        gap = skip_spaces(text, gap);
    double part = 0;
    size_t more = gap > used ? fraction_at(text + gap, &part) : 0;
    if (more == 0)
        return used;
    *value += *value < 0 ? -part : part;
    return gap + more;
}

static size_t mark_at(const char *text, const char *const *marks) {
    for (; *marks != NULL; marks++) {
        size_t width = glyph_at(text, *marks);
        if (width > 0 && !isalpha((unsigned char)text[width]))
            return width;
    }
    return 0;
}

/* 6' 3 1/2", 6ft 3in, 6 feet 3 inches: only when both marks are there. */
static bool feet_and_inches(const char *text, char decimal, double *inches) {
    static const char *const FEET[] = {"feet", "foot", "ft", "\u2032", "\u2019", "'", NULL};
    static const char *const INCHES[] = {"inches", "inch", "in", "\u2033",
                                         "\u201d", "''",   "\"", NULL};
    double feet = 0;
    double rest = 0;
    size_t at = mixed_at(text, decimal, &feet);
    if (at == 0)
        return false;
    at = skip_spaces(text, at);
    size_t width = mark_at(text + at, FEET);
    if (width == 0)
        return false;
    at = skip_spaces(text, at + width);
    size_t used = mixed_at(text + at, decimal, &rest);
    if (used == 0)
        return false;
    at = skip_spaces(text, at + used);
    at += mark_at(text + at, INCHES);
    if (text[skip_spaces(text, at)] != '\0')
        return false;
    *inches = 12 * feet + rest;
    return true;
}

/* The next number, after spaces. */
static bool take_number(const char **at, char decimal, double *value) {
    const char *start = *at + skip_spaces(*at, 0);
    size_t used = sw_number_scan(start, strlen(start), decimal, value);
    *at = start + used;
    return used > 0 && isfinite(*value);
}

/* The next word, after spaces, in the singular or the plural. */
static bool take_word(const char **at, const char *word) {
    const char *start = *at + skip_spaces(*at, 0);
    size_t length = glyph_at(start, word);
    if (length == 0)
        return false;
    length += start[length] == 's';
    if (isalpha((unsigned char)start[length]))
        return false;
    *at = start + length;
    return true;
}

static bool take_any(const char **at, const char *const *words) {
    for (; *words != NULL; words++) {
        const char *start = *at;
        if (take_word(&start, *words)) {
            *at = start;
            return true;
        }
    }
    return false;
}

static bool at_end(const char *at) {
    return at[skip_spaces(at, 0)] == '\0';
}

/* ASTM B258: d = 0.127 mm * 92^((36 - n) / 39). */
static bool wire_gauge(const char *text, double *area_mm2) {
    double gauge = 0;
    bool before = take_word(&text, "AWG");
    bool number = take_number(&text, '.', &gauge);
    if (!number || (!before && !take_word(&text, "AWG")))
        return false;
    if (!at_end(text) || gauge != floor(gauge) || gauge < 0 || gauge > 40)
        return false;
    double diameter_mm = 0.127 * pow(92, (36 - gauge) / 39.0);
    *area_mm2 = M_PI / 4 * diameter_mm * diameter_mm;
    return true;
}

/* "48 turns in 10 s", "48 turns in 2 min". */
static bool turns_in_time(const char *text, char decimal, sw_quantity *quantity) {
    static const char *const MINUTES[] = {"min", "minute", NULL};
    static const char *const SECONDS[] = {"s", "sec", "second", NULL};
    double turns = 0;
    double seconds = 0;
    if (!take_number(&text, decimal, &turns) || !take_word(&text, "turn") ||
        !take_word(&text, "in") || !take_number(&text, decimal, &seconds))
        return false;
    if (take_any(&text, MINUTES))
        seconds *= 60;
    else if (!take_any(&text, SECONDS))
        return false;
    double rpm = 60 * turns / seconds;
    if (!at_end(text) || !(turns > 0) || !(seconds > 0) || !isfinite(rpm))
        return false;
    double relative = hypot(COUNT_U_TURNS / turns, STOPWATCH_U_S / seconds);
    *quantity = sw_quantity_of(rpm, rpm * relative, "rpm");
    return true;
}

/* "9 frames a turn at 240 fps". */
static bool frames_a_turn(const char *text, char decimal, sw_quantity *quantity) {
    double frames = 0;
    double rate_hz = 0;
    if (!take_number(&text, decimal, &frames) || !take_word(&text, "frame") ||
        !take_word(&text, "a") || !take_word(&text, "turn") || !take_word(&text, "at") ||
        !take_number(&text, decimal, &rate_hz) || !take_word(&text, "fps"))
        return false;
    double rpm = 60 * rate_hz / frames;
    if (!at_end(text) || !(frames > 0) || !(rate_hz > 0) || !isfinite(rpm))
        return false;
    *quantity = sw_quantity_of(rpm, rpm * 0.5 / sqrt(3) / frames, "rpm");
    return true;
}

typedef struct pieces {
    double number;
    double half_width; /* NaN without "±" */
    bool half_width_percent;
    char unit[TEXT_ROOM];
} pieces;

/* Reads "± 0.02" or "± 2 %" at text; returns the characters used. */
static size_t half_width_at(const char *text, char decimal, pieces *found) {
    size_t at = plus_minus_at(text);
    if (at == 0)
        return 0;
    at = skip_spaces(text, at);
    size_t used = mixed_at(text + at, decimal, &found->half_width);
    if (used == 0)
        return 0;
    at += used;
    size_t after = skip_spaces(text, at);
    if (text[after] == '%') {
        found->half_width_percent = true;
        at = after + 1;
    }
    return at;
}

/* number [± w] unit, or number unit ± w [unit]. */
static sw_status cut(const char *text, char decimal, pieces *found, sw_error *error) {
    *found = (pieces){.half_width = NAN};
    size_t at = mixed_at(text, decimal, &found->number);
    if (at == 0 || !isfinite(found->number))
        return sw_fail(error, SW_VALUE, "\"%s\" does not begin with a number", text);
    at = skip_spaces(text, at);
    at += half_width_at(text + at, decimal, found);
    at = skip_spaces(text, at);
    size_t length = 0;
    while (text[at + length] != '\0' && plus_minus_at(text + at + length) == 0)
        length++;
    if (length >= sizeof found->unit)
        return sw_fail(error, SW_UNIT, "\"%.40s...\": the unit is too long", text);
    memcpy(found->unit, text + at, length);
    found->unit[length] = '\0';
    while (length > 0 && isspace((unsigned char)found->unit[length - 1]))
        found->unit[--length] = '\0';
    at += length;
    at = skip_spaces(text, at);
    if (text[at] == '\0')
        return SW_OK;
    at += half_width_at(text + at, decimal, found);
    at = skip_spaces(text, at);
    if (text[at] != '\0' && strcmp(text + at, found->unit) != 0)
        return sw_fail(error, SW_VALUE, "\"%s\": \"%s\" at the end is not understood", text,
                       text + at);
    return SW_OK;
}

/* UDUNITS-2 reads "V 13" as 13 V: a number inside a unit is refused unless it is an exponent or
 * the 1 of "1/min". */
static bool has_stray_number(const char *unit) {
    for (size_t i = 0; unit[i] != '\0'; i++) {
        bool digit = isdigit((unsigned char)unit[i]);
        bool alone = i == 0 || strchr(" .*/", unit[i - 1]) != NULL;
        bool one_over = i == 0 && unit[0] == '1' && unit[1] == '/';
        if (digit && alone && !one_over)
            return true;
    }
    return false;
}

static sw_status from_pieces(const sw_units *units, const pieces *found, const char *unit,
                             sw_quantity *quantity, sw_error *error) {
    double value = 0;
    sw_status status = sw_units_convert(units, found->number, found->unit, unit, &value, error);
    if (status != SW_OK)
        return status;
    double u = NAN;
    if (found->half_width_percent) {
        u = fabs(value) * found->half_width / 200;
    } else if (!isnan(found->half_width)) {
        double other = 0;
        status = sw_units_convert(units, found->number + found->half_width, found->unit, unit,
                                  &other, error);
        u = fabs(other - value) / 2;
    }
    *quantity = sw_quantity_of(value, u, unit);
    return status;
}

static bool special_form(const char *text, char decimal, const char *unit, sw_quantity *quantity) {
    double number = 0;
    if (strcmp(unit, "rpm") == 0 &&
        (turns_in_time(text, decimal, quantity) || frames_a_turn(text, decimal, quantity)))
        return true;
    if (strcmp(unit, "mm2") == 0 && wire_gauge(text, &number)) {
        *quantity = sw_quantity_of(number, NAN, unit);
        return true;
    }
    bool metres = strcmp(unit, "m") == 0;
    if ((metres || strcmp(unit, "mm") == 0) && feet_and_inches(text, decimal, &number)) {
        *quantity = sw_quantity_of(number * (metres ? 0.0254 : 25.4), NAN, unit);
        return true;
    }
    return false;
}

sw_status sw_quantity_parse(const sw_units *units, const char *text, const char *unit,
                            sw_quantity *quantity, sw_error *error) {
    size_t start = skip_spaces(text, 0);
    text += start;
    if (*text == '\0')
        return sw_fail(error, SW_VALUE, "is empty; write for example %s", sw_unit_example(unit));
    if (strlen(text) >= TEXT_ROOM)
        return sw_fail(error, SW_VALUE, "\"%.40s...\" is too long for a value", text);
    char decimal = '.';
    sw_status status = decimal_sign(text, &decimal, error);
    if (status != SW_OK)
        return status;
    if (special_form(text, decimal, unit, quantity))
        return SW_OK;
    pieces found;
    status = cut(text, decimal, &found, error);
    if (status != SW_OK)
        return status;
    if (has_stray_number(found.unit))
        return sw_fail(error, SW_UNIT, "\"%s\" is no unit; write for example %s", found.unit,
                       sw_unit_example(unit));
    if (found.unit[0] != '\0')
        return from_pieces(units, &found, unit, quantity, error);
    if (!sw_quantity_bare_fine(unit))
        return sw_fail(error, SW_UNIT, "\"%s\" has no unit; %s %s is written for example %s", text,
                       sw_unit_article(unit), sw_unit_noun(unit), sw_unit_example(unit));
    snprintf(found.unit, sizeof found.unit, "%s", unit);
    return from_pieces(units, &found, unit, quantity, error);
}
