/* Tables of words. They hold what instruments of many kinds write, in several languages; nothing
 * here knows a maker. */
#include "probes/scope/words.h"

#include "shared/number.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

enum { WORD_ROOM = 64 };

/* ---- plain words ---- */

void sw_plain_words(const char *text, size_t length, char *out, size_t room) {
    size_t used = 0;
    int depth = 0;
    for (size_t i = 0; i < length && used + 1 < room; i++) {
        unsigned char c = (unsigned char)text[i];
        depth += c == '(' || c == '[';
        bool word = depth == 0 && (isalnum(c) || c >= 0x80);
        if (word)
            out[used++] = (char)tolower(c);
        else if (used > 0 && out[used - 1] != ' ')
            out[used++] = ' ';
        depth -= (c == ')' || c == ']') && depth > 0;
    }
    while (used > 0 && out[used - 1] == ' ')
        used--;
    out[used] = '\0';
}

static bool is_listed(const char *word, const char *const *words) {
    for (; *words != NULL; words++)
        if (strcmp(word, *words) == 0)
            return true;
    return false;
}

/* ---- units ---- */

/* Lower case, spaces and brackets around gone, every micro sign as 'u'. */
static void plain_unit(const char *text, size_t length, char *out, size_t room) {
    static const char *const MICRO[] = {"\xC2\xB5", "\xCE\xBC", "\xB5"};
    size_t used = 0;
    for (size_t i = 0; i < length && used + 1 < room;) {
        size_t skip = 0;
        for (size_t k = 0; k < 3 && skip == 0; k++)
            if (i + strlen(MICRO[k]) <= length && memcmp(text + i, MICRO[k], strlen(MICRO[k])) == 0)
                skip = strlen(MICRO[k]);
        char c = skip > 0 ? 'u' : (char)tolower((unsigned char)text[i]);
        if (strchr("()[] \"", c) == NULL)
            out[used++] = c;
        i += skip > 0 ? skip : 1;
    }
    out[used] = '\0';
}

typedef struct unit_row {
    const char *stem;
    sw_dimension dimension;
    const char *base;
    bool prefixes;
} unit_row;

static const unit_row UNITS[] = {
    {"s", SW_DIMENSION_TIME, "s", true},         {"sec", SW_DIMENSION_TIME, "s", true},
    {"secs", SW_DIMENSION_TIME, "s", false},     {"second", SW_DIMENSION_TIME, "s", false},
    {"seconds", SW_DIMENSION_TIME, "s", false},  {"sekunde", SW_DIMENSION_TIME, "s", false},
    {"sekunden", SW_DIMENSION_TIME, "s", false}, {"seconde", SW_DIMENSION_TIME, "s", false},
    {"secondes", SW_DIMENSION_TIME, "s", false}, {"segundo", SW_DIMENSION_TIME, "s", false},
    {"segundos", SW_DIMENSION_TIME, "s", false}, {"v", SW_DIMENSION_VOLTAGE, "V", true},
    {"volt", SW_DIMENSION_VOLTAGE, "V", true},   {"volts", SW_DIMENSION_VOLTAGE, "V", true},
    {"a", SW_DIMENSION_CURRENT, "A", true},      {"amp", SW_DIMENSION_CURRENT, "A", false},
    {"amps", SW_DIMENSION_CURRENT, "A", false},  {"ampere", SW_DIMENSION_CURRENT, "A", false},
    {"sequence", SW_DIMENSION_COUNT, "", false}, {"samples", SW_DIMENSION_COUNT, "", false},
    {"points", SW_DIMENSION_COUNT, "", false},   {"#", SW_DIMENSION_COUNT, "", false},
    {"hz", SW_DIMENSION_OTHER, "", true},        {"db", SW_DIMENSION_OTHER, "", false},
    {"dbv", SW_DIMENSION_OTHER, "", false},      {"dbm", SW_DIMENSION_OTHER, "", false},
    {"w", SW_DIMENSION_OTHER, "", true},         {"ohm", SW_DIMENSION_OTHER, "", true},
    {"div", SW_DIMENSION_OTHER, "", false},
};

/* Written-out prefixes ("millivolt") come first, so that "m" does not take their first letter. */
static const struct {
    const char *text;
    double scale;
} PREFIXES[] = {{"milli", 1e-3}, {"micro", 1e-6}, {"nano", 1e-9}, {"kilo", 1e3}, {"m", 1e-3},
                {"u", 1e-6},     {"n", 1e-9},     {"p", 1e-12},   {"k", 1e3}};

static const unit_row *find_stem(const char *word) {
    for (size_t i = 0; i < sizeof UNITS / sizeof *UNITS; i++)
        if (strcmp(UNITS[i].stem, word) == 0)
            return &UNITS[i];
    return NULL;
}

sw_scope_unit sw_unit_word(const char *text, size_t length) {
    sw_scope_unit none = {SW_DIMENSION_NONE, 1, ""};
    char word[WORD_ROOM];
    plain_unit(text, length, word, sizeof word);
    const unit_row *row = find_stem(word);
    if (row != NULL)
        return (sw_scope_unit){row->dimension, 1, row->base};
    for (size_t i = 0; i < sizeof PREFIXES / sizeof *PREFIXES; i++) {
        size_t width = strlen(PREFIXES[i].text);
        if (strncmp(word, PREFIXES[i].text, width) != 0)
            continue;
        row = find_stem(word + width);
        if (row != NULL && (row->prefixes || width > 1))
            return (sw_scope_unit){row->dimension, PREFIXES[i].scale, row->base};
    }
    return none;
}

void sw_unit_name(const sw_scope_unit *unit, char *out, size_t room) {
    static const char *const LETTERS[] = {"p", "n", "u", "m", "", "k"};
    int power = (int)lround(log10(unit->scale) / 3);
    bool known = power >= -4 && power <= 1 && unit->base[0] != '\0';
    snprintf(out, room, "%s%s", known ? LETTERS[power + 4] : "",
             known ? unit->base : "a unit other than volts");
}

/* ---- column names ---- */

static void copy_name(const char *text, size_t length, char *name, size_t room) {
    while (length > 0 && strchr(" \t:,;/_", text[length - 1]) != NULL)
        length--;
    snprintf(name, room, "%.*s", (int)(length < room ? length : room - 1), text);
}

/* Start of a unit in brackets at the end, or length. */
static size_t bracket_at(const sw_cell *cell) {
    if (cell->length < 3)
        return cell->length;
    char last = cell->text[cell->length - 1];
    char open = last == ')' ? '(' : last == ']' ? '[' : '\0';
    for (size_t i = cell->length - 1; open != '\0' && i-- > 0;)
        if (cell->text[i] == open)
            return i;
    return cell->length;
}

/* Start of the last word after " in ", "/", or a comma, or length. */
static size_t last_word_at(const sw_cell *cell) {
    for (size_t i = cell->length; i-- > 0;) {
        if (cell->text[i] == '/' || cell->text[i] == ',')
            return i;
        if (cell->text[i] != ' ')
            continue;
        bool in = (i == 2 && strncmp(cell->text, "in", 2) == 0) ||
                  (i >= 3 && strncmp(cell->text + i - 3, " in", 3) == 0);
        return in ? i : cell->length;
    }
    return cell->length;
}

void sw_split_name(const sw_cell *cell, char *name, size_t room, sw_scope_unit *unit) {
    size_t cut = bracket_at(cell);
    if (cut == cell->length)
        cut = last_word_at(cell);
    if (cut < cell->length) {
        *unit = sw_unit_word(cell->text + cut + 1, cell->length - cut - 1);
        if (unit->dimension != SW_DIMENSION_NONE) {
            if (cell->text[cut] == ' ' && cut >= 2)
                cut -= cut >= 3 ? 3 : 2; /* " in" or "in" */
            copy_name(cell->text, cut, name, room);
            return;
        }
    }
    *unit = sw_unit_word(cell->text, cell->length);
    bool letter = cell->length == 1 && unit->dimension == SW_DIMENSION_CURRENT;
    if (letter) /* a channel called A */
        unit->dimension = SW_DIMENSION_NONE;
    if (unit->dimension != SW_DIMENSION_NONE)
        name[0] = '\0';
    else
        copy_name(cell->text, cell->length, name, room);
}

bool sw_is_time_name(const char *name) {
    static const char *const WORDS[] = {"time",
                                        "times",
                                        "t",
                                        "zeit",
                                        "temps",
                                        "tiempo",
                                        "tempo",
                                        "tid",
                                        "tijd",
                                        "czas",
                                        "aika",
                                        "zaman",
                                        "timestamp",
                                        "x axis",
                                        "xaxis",
                                        "time axis",
                                        "x time",
                                        "horizontal",
                                        "\u010das",
                                        "\u0412\u0440\u0435\u043c\u044f",
                                        "\u0432\u0440\u0435\u043c\u044f",
                                        "\u65f6\u95f4",
                                        "\u6642\u9593",
                                        NULL};
    char word[WORD_ROOM];
    sw_plain_words(name, strlen(name), word, sizeof word);
    size_t length = strlen(word);
    /* "time ch1", "ch1 time", "time1" */
    return is_listed(word, WORDS) || strncmp(word, "time", 4) == 0 ||
           (length > 5 && strcmp(word + length - 5, " time") == 0);
}

bool sw_is_index_name(const char *name) {
    static const char *const WORDS[] = {
        "sample", "samples", "index", "no", "nr",  "n",         "number",        "sequence",
        "point",  "points",  "row",   "i",  "seq", "sample no", "sample number", NULL};
    char word[WORD_ROOM];
    sw_plain_words(name, strlen(name), word, sizeof word);
    return is_listed(word, WORDS);
}

bool sw_is_math_name(const char *name) {
    char word[WORD_ROOM];
    sw_plain_words(name, strlen(name), word, sizeof word);
    bool numbered = (word[0] == 'm' || word[0] == 'f') && isdigit((unsigned char)word[1]);
    return (numbered && word[2] == '\0') || strncmp(word, "math", 4) == 0 ||
           strncmp(word, "fft", 3) == 0;
}

/* ---- keys ---- */

typedef struct key_row {
    const char *words;
    sw_header_key key;
} key_row;

static const key_row KEYS[] = {
    {"sample interval", SW_KEY_INTERVAL},
    {"sampling interval", SW_KEY_INTERVAL},
    {"sample period", SW_KEY_INTERVAL},
    {"sampling period", SW_KEY_INTERVAL},
    {"sample time", SW_KEY_INTERVAL},
    {"sampling time", SW_KEY_INTERVAL},
    {"increment", SW_KEY_INTERVAL},
    {"time increment", SW_KEY_INTERVAL},
    {"x increment", SW_KEY_INTERVAL},
    {"xincrement", SW_KEY_INTERVAL},
    {"xincr", SW_KEY_INTERVAL},
    {"x incr", SW_KEY_INTERVAL},
    {"interval", SW_KEY_INTERVAL},
    {"time interval", SW_KEY_INTERVAL},
    {"sample spacing", SW_KEY_INTERVAL},
    {"time step", SW_KEY_INTERVAL},
    {"timestep", SW_KEY_INTERVAL},
    {"delta t", SW_KEY_INTERVAL},
    {"delta x", SW_KEY_INTERVAL},
    {"dt", SW_KEY_INTERVAL},
    {"tinc", SW_KEY_INTERVAL},
    {"t inc", SW_KEY_INTERVAL},
    {"time per sample", SW_KEY_INTERVAL},
    {"horizontal interval", SW_KEY_INTERVAL},
    {"sampleinterval", SW_KEY_INTERVAL},
    {"samplinginterval", SW_KEY_INTERVAL},
    {"sample rate", SW_KEY_RATE},
    {"sampling rate", SW_KEY_RATE},
    {"samplerate", SW_KEY_RATE},
    {"samplingrate", SW_KEY_RATE},
    {"sample frequency", SW_KEY_RATE},
    {"sampling frequency", SW_KEY_RATE},
    {"sampling freq", SW_KEY_RATE},
    {"sample freq", SW_KEY_RATE},
    {"samplefrequency", SW_KEY_RATE},
    {"samplingfrequency", SW_KEY_RATE},
    {"samples per second", SW_KEY_RATE},
    {"acquisition rate", SW_KEY_RATE},
    {"fs", SW_KEY_RATE},
    {"rate", SW_KEY_RATE},
    {"abtastrate", SW_KEY_RATE},
    {"start", SW_KEY_START},
    {"start time", SW_KEY_START},
    {"x zero", SW_KEY_START},
    {"xzero", SW_KEY_START},
    {"x origin", SW_KEY_START},
    {"xorigin", SW_KEY_START},
    {"time start", SW_KEY_START},
    {"record length", SW_KEY_COUNT},
    {"number of data points", SW_KEY_COUNT},
    {"nr of samples", SW_KEY_COUNT},
    {"number of samples", SW_KEY_COUNT},
    {"memory length", SW_KEY_COUNT},
    {"number of points", SW_KEY_COUNT},
    {"source", SW_KEY_SOURCE},
    {"channel", SW_KEY_SOURCE},
    {"channel data", SW_KEY_SOURCE},
    {"channel name", SW_KEY_SOURCE},
    {"trace", SW_KEY_SOURCE},
    {"vertical units", SW_KEY_UNIT},
    {"vertical unit", SW_KEY_UNIT},
    {"y unit", SW_KEY_UNIT},
    {"y units", SW_KEY_UNIT},
    {"yunit", SW_KEY_UNIT},
    {"units", SW_KEY_UNIT},
    {"unit", SW_KEY_UNIT},
};

/* Scale of "Hz", "kHz", "MSa/s" and of "s", "us" in a key's brackets or after a number. */
static bool unit_scale(const char *text, size_t length, sw_header_key key, double *scale) {
    sw_scope_unit unit = sw_unit_word(text, length);
    *scale = 1;
    if (key != SW_KEY_RATE) {
        *scale = unit.scale;
        return unit.dimension == SW_DIMENSION_TIME;
    }
    char word[WORD_ROOM];
    plain_unit(text, length, word, sizeof word);
    static const char *const PLAIN[] = {"hz", "sa/s", "s/s", "sps", "samples/s", "sample/s", NULL};
    if (is_listed(word, PLAIN))
        return true;
    *scale = word[0] == 'k' ? 1e3 : word[0] == 'm' ? 1e6 : word[0] == 'g' ? 1e9 : 0;
    return *scale > 0 && is_listed(word + 1, PLAIN);
}

sw_header_key sw_key_of(const sw_cell *cell, double *scale, bool *has_unit) {
    char word[WORD_ROOM];
    sw_plain_words(cell->text, cell->length, word, sizeof word);
    *scale = 1;
    *has_unit = false;
    for (size_t i = 0; i < sizeof KEYS / sizeof *KEYS; i++) {
        if (strcmp(KEYS[i].words, word) != 0)
            continue;
        const char *open = memchr(cell->text, '(', cell->length);
        const char *close =
            open == NULL ? NULL : memchr(open, ')', cell->length - (size_t)(open - cell->text));
        double found = 1;
        if (close != NULL &&
            unit_scale(open + 1, (size_t)(close - open - 1), KEYS[i].key, &found)) {
            *scale = found;
            *has_unit = true;
        }
        return KEYS[i].key;
    }
    return SW_KEY_NONE;
}

bool sw_key_value(const sw_cell *cell, sw_header_key key, char decimal, double *value,
                  double *half_digit, bool *has_unit) {
    const char *text = cell->text;
    size_t length = cell->length;
    const char *colon = memchr(text, ':', length);
    if (colon != NULL) {
        length -= (size_t)(colon + 1 - text);
        text = colon + 1;
    }
    for (; length > 0 && isspace((unsigned char)*text); length--)
        text++;
    size_t used = sw_number_scan(text, length, decimal, value);
    if (used == 0)
        used = sw_number_scan(text, length, decimal == '.' ? ',' : '.', value);
    if (used == 0 || !isfinite(*value))
        return false;
    sw_cell number = {text, used};
    double scale = 1;
    *has_unit = used < length;
    if (used < length && !unit_scale(text + used, length - used, key, &scale))
        return false;
    *half_digit = 0.5 * scale * pow(10, -sw_cell_decimals(&number, decimal));
    *value *= scale;
    return true;
}
