#include "src/match/site/rows.h"

#include "shared/number.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

static const char *line_end(const sw_rows *in, const char *line) {
    const char *end = memchr(line, '\n', (size_t)(in->end - line));
    return end == NULL ? in->end : end;
}

static sw_cell trim(const char *at, const char *end) {
    while (at < end && (isspace((unsigned char)*at) || *at == '"'))
        at++;
    while (end > at && (isspace((unsigned char)end[-1]) || end[-1] == '"'))
        end--;
    return (sw_cell){at, (size_t)(end - at)};
}

static const char *next_delimiter(const sw_rows *in, const char *at, const char *end) {
    bool quoted = false;
    for (; at < end; at++) {
        quoted ^= *at == '"';
        if (!quoted && (in->delimiter == ' ' ? *at == ' ' || *at == '\t' : *at == in->delimiter))
            break;
    }
    return at;
}

bool sw_rows_cell(const sw_rows *rows, const char *line, size_t index, sw_cell *out) {
    const char *end = line_end(rows, line);
    const char *at = line;
    for (size_t i = 0;; i++) {
        while (rows->delimiter == ' ' && at < end && (*at == ' ' || *at == '\t'))
            at++;
        const char *stop = next_delimiter(rows, at, end);
        if (i == index) {
            *out = trim(at, stop);
            return at < end || i == 0;
        }
        if (stop >= end)
            return false;
        at = stop + 1;
    }
}

bool sw_rows_blank(const sw_rows *rows, const char *line) {
    sw_cell all = trim(line, line_end(rows, line));
    return all.length == 0 || *all.at == '#';
}

const char *sw_rows_next(const sw_rows *rows, const char *line) {
    const char *end = line_end(rows, line);
    return end < rows->end ? end + 1 : rows->end;
}

/* A blank in the first row may stand within one name ("wind [m/s]"): the second row tells. */
static bool second_has_blanks(const sw_rows *in, const char *line) {
    do
        line = sw_rows_next(in, line);
    while (line < in->end && sw_rows_blank(in, line));
    sw_cell row = trim(line, line_end(in, line));
    return row.length == 0 || memchr(row.at, ' ', row.length) != NULL;
}

static void find_delimiter(sw_rows *in, const char *line, bool blanks) {
    static const char CANDIDATES[] = {';', '\t', ',', ' '};
    const char *end = line_end(in, line);
    blanks = blanks && second_has_blanks(in, line);
    in->delimiter = ',';
    for (size_t i = 0; i < sizeof CANDIDATES - (blanks ? 0 : 1); i++) {
        if (memchr(line, CANDIDATES[i], (size_t)(end - line)) != NULL) {
            in->delimiter = CANDIDATES[i];
            break;
        }
    }
    in->decimal = in->delimiter == ';' || in->delimiter == '\t' ? ',' : '.';
}

sw_status sw_rows_open(const char *text, size_t length, const char *path, bool blanks,
                       sw_rows *rows, const char **line, size_t *number, sw_error *error) {
    *rows = (sw_rows){.text = text, .end = text + length, .path = path};
    if (memchr(text, '\0', length) != NULL)
        return sw_fail(error, SW_FORMAT, "%s: is binary, expected a table of text", path);
    if (length >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0)
        rows->text += 3;
    *number = 1;
    for (*line = rows->text; *line < rows->end && sw_rows_blank(rows, *line);
         *line = sw_rows_next(rows, *line))
        (*number)++;
    if (*line >= rows->end)
        return sw_fail(error, SW_EMPTY, "%s: has no rows", path);
    find_delimiter(rows, *line, blanks);
    return SW_OK;
}

bool sw_rows_number(const sw_rows *rows, sw_cell cell, double *value) {
    return sw_number_parse(cell.at, cell.length, rows->decimal, value) ||
           sw_number_parse(cell.at, cell.length, '.', value) ||
           sw_number_parse(cell.at, cell.length, ',', value);
}

bool sw_rows_missing(sw_cell cell) {
    static const char *const WORDS[] = {"", "NA", "N/A", "NaN", "nan", "-", "--", "null", "M"};
    for (size_t i = 0; i < sizeof WORDS / sizeof *WORDS; i++)
        if (strlen(WORDS[i]) == cell.length && memcmp(WORDS[i], cell.at, cell.length) == 0)
            return true;
    return false;
}

bool sw_cell_contains(sw_cell cell, const char *word) {
    size_t length = strlen(word);
    for (size_t i = 0; i + length <= cell.length; i++) {
        size_t same = 0;
        while (same < length && tolower((unsigned char)cell.at[i + same]) == word[same])
            same++;
        if (same == length)
            return true;
    }
    return false;
}

void sw_cell_unit(sw_cell header, char *out, size_t room) {
    out[0] = '\0';
    const char *end = header.at + header.length;
    const char *open = NULL;
    for (const char *c = header.at; c < end; c++)
        if (*c == '[' || *c == '(')
            open = c + 1;
    const char *close = end;
    if (open != NULL)
        for (close = open; close < end && *close != ']' && *close != ')';)
            close++;
    else
        for (const char *c = header.at; c < end; c++)
            if (*c == '_' || *c == ' ')
                open = c + 1;
    if (open != NULL && (size_t)(close - open) < room)
        snprintf(out, room, "%.*s", (int)(close - open), open);
}
