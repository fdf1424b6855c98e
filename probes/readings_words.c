#include "probes/readings_table.h"

#include "probes/scope/words.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

typedef struct word_row {
    const char *words;
    sw_reading_column column;
    bool is_dc;
} word_row;

static const word_row WORDS[] = {
    {"rpm", SW_READING_SPEED, false},
    {"speed", SW_READING_SPEED, false},
    {"turns", SW_READING_SPEED, false},
    {"turns per minute", SW_READING_SPEED, false},
    {"turns a minute", SW_READING_SPEED, false},
    {"turns min", SW_READING_SPEED, false},
    {"revolutions", SW_READING_SPEED, false},
    {"revs", SW_READING_SPEED, false},
    {"rev min", SW_READING_SPEED, false},
    {"r min", SW_READING_SPEED, false},
    {"1 min", SW_READING_SPEED, false},
    {"min 1", SW_READING_SPEED, false},
    {"u min", SW_READING_SPEED, false},
    {"upm", SW_READING_SPEED, false},
    {"tr min", SW_READING_SPEED, false},
    {"drehzahl", SW_READING_SPEED, false},
    {"vitesse", SW_READING_SPEED, false},
    {"hz", SW_READING_FREQUENCY, false},
    {"hertz", SW_READING_FREQUENCY, false},
    {"f", SW_READING_FREQUENCY, false},
    {"freq", SW_READING_FREQUENCY, false},
    {"frequency", SW_READING_FREQUENCY, false},
    {"electrical frequency", SW_READING_FREQUENCY, false},
    {"frequenz", SW_READING_FREQUENCY, false},
    {"v", SW_READING_VOLTS, false},
    {"volt", SW_READING_VOLTS, false},
    {"volts", SW_READING_VOLTS, false},
    {"voltage", SW_READING_VOLTS, false},
    {"emf", SW_READING_VOLTS, false},
    {"u", SW_READING_VOLTS, false},
    {"spannung", SW_READING_VOLTS, false},
    {"tension", SW_READING_VOLTS, false},
    {"vac", SW_READING_VOLTS, false},
    {"v ac", SW_READING_VOLTS, false},
    {"ac volts", SW_READING_VOLTS, false},
    {"volts ac", SW_READING_VOLTS, false},
    {"vrms", SW_READING_VOLTS, false},
    {"v rms", SW_READING_VOLTS, false},
    {"vdc", SW_READING_VOLTS, true},
    {"v dc", SW_READING_VOLTS, true},
    {"dc volts", SW_READING_VOLTS, true},
    {"volts dc", SW_READING_VOLTS, true},
    {"dc voltage", SW_READING_VOLTS, true},
    {"a", SW_READING_AMPS, false},
    {"amp", SW_READING_AMPS, false},
    {"amps", SW_READING_AMPS, false},
    {"ampere", SW_READING_AMPS, false},
    {"current", SW_READING_AMPS, false},
    {"i", SW_READING_AMPS, false},
    {"aac", SW_READING_AMPS, false},
    {"adc", SW_READING_AMPS, false},
    {"strom", SW_READING_AMPS, false},
    {"ohm", SW_READING_OHMS, false},
    {"ohms", SW_READING_OHMS, false},
    {"\xce\xa9", SW_READING_OHMS, false},
    {"\xe2\x84\xa6", SW_READING_OHMS, false},
    {"r", SW_READING_OHMS, false},
    {"resistor", SW_READING_OHMS, false},
    {"load", SW_READING_OHMS, false},
    {"load resistor", SW_READING_OHMS, false},
    {"load resistance", SW_READING_OHMS, false},
    {"load ohm", SW_READING_OHMS, false},
    {"load ohms", SW_READING_OHMS, false},
    {"resistance", SW_READING_OHMS, false},
    {"s", SW_READING_TIME, false},
    {"t", SW_READING_TIME, false},
    {"sec", SW_READING_TIME, false},
    {"seconds", SW_READING_TIME, false},
};

sw_reading_column sw_reading_column_of(const char *text, size_t length, bool *is_dc) {
    char words[64];
    sw_plain_words(text, length, words, sizeof words);
    *is_dc = false;
    for (size_t i = 0; i < sizeof WORDS / sizeof *WORDS; i++) {
        if (strcmp(WORDS[i].words, words) != 0)
            continue;
        *is_dc = WORDS[i].is_dc;
        return WORDS[i].column;
    }
    if (sw_is_time_name(words))
        return SW_READING_TIME;
    /* "mV AC" */
    sw_scope_unit unit = sw_unit_word(words, strcspn(words, " "));
    if (unit.dimension == SW_DIMENSION_VOLTAGE || unit.dimension == SW_DIMENSION_CURRENT) {
        *is_dc = strstr(words, " dc") != NULL;
        return unit.dimension == SW_DIMENSION_VOLTAGE ? SW_READING_VOLTS : SW_READING_AMPS;
    }
    /* "motor rpm", "shaft speed" */
    size_t used = strlen(words);
    if (used > 4 && strcmp(words + used - 4, " rpm") == 0)
        return SW_READING_SPEED;
    if (used > 6 && strcmp(words + used - 6, " speed") == 0)
        return SW_READING_SPEED;
    return SW_READING_NONE;
}

const char *sw_reading_unit(sw_reading_column column) {
    static const char *const UNITS[SW_READING_COLUMNS] = {
        [SW_READING_SPEED] = "rpm", [SW_READING_FREQUENCY] = "Hz", [SW_READING_VOLTS] = "V",
        [SW_READING_AMPS] = "A",    [SW_READING_OHMS] = "ohm",
    };
    return column < SW_READING_COLUMNS ? UNITS[column] : "";
}

static int known_columns(const sw_row *row) {
    int seen[SW_READING_NONE + 1] = {0};
    bool is_dc = false;
    for (size_t i = 0; i < row->count; i++)
        seen[sw_reading_column_of(row->cell[i].text, row->cell[i].length, &is_dc)]++;
    bool beside = seen[SW_READING_SPEED] || seen[SW_READING_FREQUENCY];
    if (seen[SW_READING_TIME] || !beside || !seen[SW_READING_VOLTS])
        return 0;
    int known = 0;
    for (int c = 0; c < SW_READING_COLUMNS; c++)
        known += seen[c];
    return known;
}

bool sw_readings_is_header(const char *text, size_t length, char *delimiter) {
    static const char DELIMITERS[] = {',', ';', '\t', '|', ' '};
    int best = 1;
    for (size_t i = 0; i < sizeof DELIMITERS; i++) {
        sw_row row;
        sw_row_split(text, length, DELIMITERS[i], &row);
        int known = known_columns(&row);
        if (known > best) {
            best = known;
            *delimiter = DELIMITERS[i];
        }
    }
    return best > 1;
}

/* ---- remarks ---- */

static const char *after_mark(const char *text) {
    while (*text != '\0' && strchr("#;%/ \t", *text) != NULL)
        text++;
    return text;
}

/* The word after "key:" or "key =", or NULL. */
static const char *value_of(const char *text, const char *key) {
    size_t width = strlen(key);
    for (size_t i = 0; i < width; i++)
        if (tolower((unsigned char)text[i]) != key[i])
            return NULL;
    text += width;
    text += strspn(text, " \t");
    if (*text != ':' && *text != '=')
        return NULL;
    text++;
    return text + strspn(text, " \t");
}

static sw_status read_meter(const char *name, const sw_line *line, const char *value,
                            sw_readings *readings, sw_error *error) {
    char word[40];
    sw_error inner;
    size_t length = strcspn(value, " \t,;");
    length = length < sizeof word - 1 ? length : sizeof word - 1;
    memcpy(word, value, length);
    word[length] = '\0';
    sw_status status = sw_meter_find(word, &readings->meter, &inner);
    if (status != SW_OK)
        return sw_fail(error, status, "%s: line %ld: %s", name, line->number, inner.message);
    readings->meter_said = true;
    return SW_OK;
}

sw_status sw_readings_remark(const char *name, const sw_line *line, sw_readings *readings,
                             bool *is_remark, sw_error *error) {
    const char *text = after_mark(line->text);
    const char *meter = value_of(text, "meter");
    const char *phases = value_of(text, "phases");
    *is_remark = line->text[0] == '#' || line->text[0] == '%' || meter != NULL || phases != NULL;
    if (meter != NULL)
        return read_meter(name, line, meter, readings, error);
    if (phases == NULL)
        return SW_OK;
    readings->phases = (int)strtol(phases, NULL, 10);
    if (readings->phases < 1 || readings->phases > 3)
        return sw_fail(error, SW_VALUE, "%s: line %ld: found \"%.20s\" phases, expected 1, 2 or 3",
                       name, line->number, phases);
    return SW_OK;
}
