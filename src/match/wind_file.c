/* Reads memory, in three steps: rows (delimiter, header), the wind column and its unit, numbers.
 * Time stamps do not matter: every row counts alike. Cells that are empty or say NA are left out
 * and counted; anything else that is no number is an error with its line. */
#include "src/match/wind_file.h"

#include "shared/files.h"
#include "shared/number.h"

#include <ctype.h>
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { FILE_LIMIT_BYTES = 64 * 1024 * 1024, CELL_ROOM = 80 };

static const double HIGHEST_M_S = 120.0; /* no anemometer has seen more: a wrong unit or column */

typedef struct table {
    const char *text;
    const char *end;
    const char *path;
    char delimiter; /* ' ' = any run of blanks */
    char decimal;
    size_t column; /* 0-based */
    char unit[CELL_ROOM];
} table;

typedef struct cell {
    const char *at;
    size_t length;
} cell;

static const char *line_end(const table *in, const char *line) {
    const char *end = memchr(line, '\n', (size_t)(in->end - line));
    return end == NULL ? in->end : end;
}

static cell trim(const char *at, const char *end) {
    while (at < end && (isspace((unsigned char)*at) || *at == '"'))
        at++;
    while (end > at && (isspace((unsigned char)end[-1]) || end[-1] == '"'))
        end--;
    return (cell){at, (size_t)(end - at)};
}

static const char *next_delimiter(const table *in, const char *at, const char *end) {
    bool quoted = false;
    for (; at < end; at++) {
        quoted ^= *at == '"';
        if (!quoted && (in->delimiter == ' ' ? *at == ' ' || *at == '\t' : *at == in->delimiter))
            break;
    }
    return at;
}

/* Cell number index of a line; false beyond the last. */
static bool cell_at(const table *in, const char *line, size_t index, cell *out) {
    const char *end = line_end(in, line);
    const char *at = line;
    for (size_t i = 0;; i++) {
        while (in->delimiter == ' ' && at < end && (*at == ' ' || *at == '\t'))
            at++;
        const char *stop = next_delimiter(in, at, end);
        if (i == index) {
            *out = trim(at, stop);
            return at < end || i == 0;
        }
        if (stop >= end)
            return false;
        at = stop + 1;
    }
}

static bool line_blank(const table *in, const char *line) {
    return trim(line, line_end(in, line)).length == 0 || *line == '#';
}

static const char *next_line(const table *in, const char *line) {
    const char *end = line_end(in, line);
    return end < in->end ? end + 1 : in->end;
}

static void find_delimiter(table *in, const char *line) {
    const char *end = line_end(in, line);
    static const char CANDIDATES[] = {';', '\t', ',', ' '};
    in->delimiter = ',';
    for (size_t i = 0; i < sizeof CANDIDATES; i++) {
        if (memchr(line, CANDIDATES[i], (size_t)(end - line)) != NULL) {
            in->delimiter = CANDIDATES[i];
            break;
        }
    }
    in->decimal = in->delimiter == ';' || in->delimiter == '\t' ? ',' : '.';
}

/* A decimal comma is possible with ; and tab; a point is then tried too. */
static bool number_of(const table *in, cell found, double *value) {
    return sw_number_parse(found.at, found.length, in->decimal, value) ||
           sw_number_parse(found.at, found.length, '.', value);
}

static bool missing(cell found) {
    static const char *const WORDS[] = {"", "NA", "N/A", "NaN", "nan", "-", "--", "null", "M"};
    for (size_t i = 0; i < sizeof WORDS / sizeof *WORDS; i++)
        if (strlen(WORDS[i]) == found.length && memcmp(WORDS[i], found.at, found.length) == 0)
            return true;
    return false;
}

static bool has_header(const table *in, const char *line) {
    cell found;
    double value = 0;
    for (size_t i = 0; cell_at(in, line, i, &found); i++)
        if (number_of(in, found, &value))
            return false;
    return true;
}

static bool contains(cell found, const char *word) {
    size_t length = strlen(word);
    for (size_t i = 0; i + length <= found.length; i++) {
        size_t same = 0;
        while (same < length && tolower((unsigned char)found.at[i + same]) == word[same])
            same++;
        if (same == length)
            return true;
    }
    return false;
}

/* "wind [m/s]", "speed (mph)", "wind_mph": what stands in brackets, or after the last _ or blank.
 */
static void unit_of_header(cell header, char out[CELL_ROOM]) {
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
    if (open != NULL && (size_t)(close - open) < CELL_ROOM)
        snprintf(out, CELL_ROOM, "%.*s", (int)(close - open), open);
}

static sw_status column_by_name(table *in, const char *header, const char *column,
                                sw_error *error) {
    cell found;
    for (size_t i = 0; cell_at(in, header, i, &found); i++) {
        if (found.length == strlen(column) && memcmp(found.at, column, found.length) == 0) {
            in->column = i;
            unit_of_header(found, in->unit);
            return SW_OK;
        }
    }
    return sw_fail(error, SW_VALUE, "%s: no column is called \"%.60s\"", in->path, column);
}

static sw_status column_by_look(table *in, const char *header, sw_error *error) {
    cell found;
    size_t hits = 0;
    size_t columns = 0;
    for (size_t i = 0; cell_at(in, header, i, &found); i++, columns++) {
        bool hit = contains(found, "speed") ||
                   (contains(found, "wind") && !contains(found, "dir") && !contains(found, "gust"));
        if (!hit || contains(found, "gust"))
            continue;
        hits++;
        in->column = i;
        unit_of_header(found, in->unit);
    }
    if (hits == 0 && columns == 1)
        hits = 1; /* the only column there is */
    if (hits == 1)
        return SW_OK;
    return sw_fail(error, SW_VALUE,
                   "%s: found %zu columns that could be the wind; name one with \"wind_column\"",
                   in->path, hits);
}

static sw_status find_column(table *in, const char *line, bool header, const char *column,
                             sw_error *error) {
    cell last;
    double number = 0;
    if (column != NULL && sw_number_parse(column, strlen(column), '.', &number)) {
        if (number < 1 || number > 1000 || number != floor(number))
            return sw_fail(error, SW_VALUE, "%s: wind column %s: expected a number from 1",
                           in->path, column);
        in->column = (size_t)number - 1;
        if (header && cell_at(in, line, in->column, &last))
            unit_of_header(last, in->unit);
        return SW_OK;
    }
    if (!header && column != NULL)
        return sw_fail(error, SW_VALUE,
                       "%s: the file has no header, so \"%.60s\" names no column; give its number",
                       in->path, column);
    if (column != NULL)
        return column_by_name(in, line, column, error);
    if (header)
        return column_by_look(in, line, error);
    while (cell_at(in, line, in->column + 1, &last))
        in->column++;
    return SW_OK;
}

static sw_status find_scale(const table *in, const char *unit, const sw_units *units,
                            double *factor, sw_error *error) {
    sw_error inner;
    const char *from = unit != NULL ? unit : in->unit;
    sw_status status = SW_UNIT;
    if (*from != '\0')
        status = sw_units_convert(units, 1, from, "m/s", factor, &inner);
    if (status == SW_OK)
        return SW_OK;
    if (unit != NULL)
        return sw_fail(error, status, "%s: wind unit: %s", in->path, inner.message);
    return sw_fail(error, SW_UNIT,
                   "%s: the unit of the wind is not in the header; say \"wind_unit\": \"m/s\", "
                   "\"mph\", \"km/h\" or \"knots\"",
                   in->path);
}

static sw_status read_rows(const table *in, const char *line, size_t number, double factor,
                           sw_wind_file *file, sw_error *error) {
    for (; line < in->end; line = next_line(in, line), number++) {
        cell found;
        double value = 0;
        if (line_blank(in, line))
            continue;
        bool there = cell_at(in, line, in->column, &found);
        if (!there || missing(found)) {
            file->left_out++;
            continue;
        }
        if (!number_of(in, found, &value))
            return sw_fail(error, SW_FORMAT, "%s: line %zu: found \"%.*s\", expected a wind speed",
                           in->path, number, (int)(found.length < 40 ? found.length : 40),
                           found.at);
        value *= factor;
        if (!(value >= 0 && value <= HIGHEST_M_S))
            return sw_fail(error, SW_VALUE,
                           "%s: line %zu: found %.4g m/s, expected a wind of 0 to 120 m/s; is it "
                           "the right column and unit?",
                           in->path, number, value);
        file->sample_m_s[file->samples++] = value;
    }
    return SW_OK;
}

static int ascending(const void *left, const void *right) {
    double a = *(const double *)left;
    double b = *(const double *)right;
    return (a > b) - (a < b);
}

static size_t count_lines(const table *in) {
    size_t lines = 1;
    for (const char *c = in->text; c < in->end; c++)
        lines += *c == '\n';
    return lines;
}

static sw_status parse_table(table *in, const char *column, const char *unit, const sw_units *units,
                             sw_wind_file *file, sw_error *error) {
    const char *line = in->text;
    size_t number = 1;
    double factor = 1;
    for (; line < in->end && line_blank(in, line); line = next_line(in, line))
        number++;
    if (line >= in->end)
        return sw_fail(error, SW_EMPTY, "%s: has no rows", in->path);
    find_delimiter(in, line);
    bool header = has_header(in, line);
    sw_status status = find_column(in, line, header, column, error);
    if (status == SW_OK)
        status = find_scale(in, unit, units, &factor, error);
    if (status != SW_OK)
        return status;
    file->sample_m_s = calloc(count_lines(in), sizeof *file->sample_m_s);
    if (file->sample_m_s == NULL)
        return sw_fail(error, SW_MEMORY, "%s: not enough memory", in->path);
    if (header) {
        line = next_line(in, line);
        number++;
    }
    status = read_rows(in, line, number, factor, file, error);
    if (status == SW_OK && file->samples < 2)
        status = sw_fail(error, SW_TOO_SHORT, "%s: found %zu wind speeds, expected at least 2",
                         in->path, file->samples);
    if (status == SW_OK)
        qsort(file->sample_m_s, file->samples, sizeof *file->sample_m_s, ascending);
    return status;
}

sw_status sw_wind_file_parse(const char *text, size_t length, const char *path, const char *column,
                             const char *unit, const sw_units *units, sw_wind_file *file,
                             sw_error *error) {
    table in = {.text = text, .end = text + length, .path = path};
    *file = (sw_wind_file){NULL, 0, 0};
    if (memchr(text, '\0', length) != NULL)
        return sw_fail(error, SW_FORMAT, "%s: is binary, expected a table of wind speeds", path);
    if (length >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0)
        in.text += 3;
    sw_status status = parse_table(&in, column, unit, units, file, error);
    if (status != SW_OK)
        sw_wind_file_free(file);
    return status;
}

sw_status sw_wind_file_read(const char *path, const char *column, const char *unit,
                            const sw_units *units, sw_wind_file *file, sw_error *error) {
    char *text = NULL;
    size_t length = 0;
    *file = (sw_wind_file){NULL, 0, 0};
    sw_status status = sw_file_read(path, FILE_LIMIT_BYTES, &text, &length, error);
    if (status != SW_OK)
        return status;
    status = sw_wind_file_parse(text, length, path, column, unit, units, file, error);
    free(text);
    return status;
}

void sw_wind_file_free(sw_wind_file *file) {
    free(file->sample_m_s);
    *file = (sw_wind_file){NULL, 0, 0};
}
