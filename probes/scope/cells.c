#include "probes/scope/cells.h"

#include "shared/number.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static bool is_blank(char c) {
    return c == ' ' || c == '\t' || c == '\f' || c == '\v';
}

static sw_cell trimmed(const char *text, size_t length) {
    while (length > 0 && is_blank(text[0])) {
        text++;
        length--;
    }
    while (length > 0 && is_blank(text[length - 1]))
        length--;
    return (sw_cell){text, length};
}

static sw_cell unquoted(sw_cell cell) {
    if (cell.length >= 2 && cell.text[0] == '"' && cell.text[cell.length - 1] == '"')
        return trimmed(cell.text + 1, cell.length - 2);
    return cell;
}

static void add_cell(sw_row *row, const char *text, size_t length) {
    if (row->count == SW_CELL_LIMIT)
        row->too_many = true;
    else
        row->cell[row->count++] = unquoted(trimmed(text, length));
}

/* Where the cell that starts at `at` ends. */
static size_t cell_end(const char *text, size_t length, size_t at, char delimiter) {
    bool quoted = false;
    for (; at < length; at++) {
        if (text[at] == '"')
            quoted = !quoted;
        if (!quoted && text[at] == delimiter)
            return at;
    }
    return length;
}

static void split_at_spaces(const char *text, size_t length, sw_row *row) {
    size_t at = 0;
    while (at < length) {
        while (at < length && text[at] == ' ')
            at++;
        size_t end = cell_end(text, length, at, ' ');
        if (end > at)
            add_cell(row, text + at, end - at);
        at = end;
    }
}

void sw_row_split(const char *text, size_t length, char delimiter, sw_row *row) {
    row->count = 0;
    row->too_many = false;
    if (delimiter == ' ') {
        split_at_spaces(text, length, row);
        return;
    }
    for (size_t at = 0; at <= length;) {
        size_t end = delimiter == 0 ? length : cell_end(text, length, at, delimiter);
        add_cell(row, text + at, end - at);
        at = end + 1;
    }
}

/* ---- what a cell holds ---- */

static bool same_word(const char *text, size_t length, const char *word) {
    size_t i = 0;
    for (; i < length && word[i] != '\0'; i++)
        if (tolower((unsigned char)text[i]) != (unsigned char)word[i])
            return false;
    return i == length && word[i] == '\0';
}

static bool one_of(const char *text, size_t length, const char *const *words) {
    for (; *words != NULL; words++)
        if (same_word(text, length, *words))
            return true;
    return false;
}

static sw_cell_kind read_word(const char *text, size_t length, double *value) {
    static const char *const INFINITE[] = {"\xe2\x88\x9e", "inf", "infinity", "1.#inf",  "1.#inf00",
                                           "ol",           "o.l", "over",     "clipped", NULL};
    static const char *const ABSENT[] = {"nan", "1.#qnan", "1.#ind", "n/a",  "na",
                                         "-",   "--",      "---",    "null", NULL};
    if (one_of(text, length, ABSENT)) {
        *value = NAN;
        return SW_CELL_MISSING;
    }
    bool minus = text[0] == '-';
    size_t sign = minus || text[0] == '+';
    /* The minus sign proper, U+2212. */
    if (length > 3 && memcmp(text, "\xe2\x88\x92", 3) == 0) {
        minus = true;
        sign = 3;
    }
    if (!one_of(text + sign, length - sign, INFINITE))
        return SW_CELL_TEXT;
    *value = minus ? -INFINITY : INFINITY;
    return SW_CELL_CLIPPED;
}

/* Length of a label and colon at the front ("CH1:"), 0 when there is none. */
static size_t label_length(const char *text, size_t length) {
    if (length == 0 || !isalpha((unsigned char)text[0]))
        return 0;
    for (size_t i = 1; i < length && i < 16; i++) {
        if (text[i] == ':')
            return i + 1;
        if (!isalnum((unsigned char)text[i]) && text[i] != ' ' && text[i] != '_')
            return 0;
    }
    return 0;
}

sw_cell_kind sw_cell_read(const sw_cell *cell, char decimal, double *value) {
    *value = NAN;
    if (cell->length == 0)
        return SW_CELL_EMPTY;
    if (sw_number_parse(cell->text, cell->length, decimal, value))
        return SW_CELL_NUMBER;
    size_t label = label_length(cell->text, cell->length);
    if (label > 0 && label < cell->length &&
        sw_number_parse(cell->text + label, cell->length - label, decimal, value))
        return SW_CELL_NUMBER;
    return read_word(cell->text, cell->length, value);
}

bool sw_cell_is_value(sw_cell_kind kind) {
    return kind == SW_CELL_NUMBER || kind == SW_CELL_CLIPPED || kind == SW_CELL_MISSING;
}

int sw_cell_decimals(const sw_cell *cell, char decimal) {
    int decimals = 0;
    bool after = false;
    for (size_t i = 0; i < cell->length; i++) {
        char c = cell->text[i];
        if (c == decimal)
            after = true;
        else if (isdigit((unsigned char)c))
            decimals += after;
        else if (c == 'e' || c == 'E') {
            char exponent[8] = "";
            size_t left = cell->length - i - 1;
            memcpy(exponent, cell->text + i + 1, left < 7 ? left : 7);
            return decimals - (int)strtol(exponent, NULL, 10);
        }
    }
    return decimals;
}

const char *sw_delimiter_name(char delimiter) {
    switch (delimiter) {
    case ',':
        return "comma";
    case ';':
        return "semicolon";
    case '\t':
        return "tab";
    case ' ':
        return "spaces";
    case '|':
        return "bar";
    default:
        return "none";
    }
}
