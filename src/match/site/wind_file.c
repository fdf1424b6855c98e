/* Reads memory: the wind column and its unit from the header, then numbers.
 * Time stamps do not matter: every row counts alike. Cells that are empty or say NA are left out
 * and counted; anything else that is no number is an error with its line. */
#include "src/match/site/wind_file.h"

#include "shared/files.h"
#include "shared/number.h"
#include "src/match/site/rows.h"

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { FILE_LIMIT_BYTES = 64 * 1024 * 1024, CELL_ROOM = 80 };

static const double HIGHEST_M_S = 120.0; /* no anemometer has seen more: a wrong unit or column */

typedef struct table {
    sw_rows rows;
    const char *path;
    size_t column; /* 0-based */
    char unit[CELL_ROOM];
} table;

static bool has_header(const table *in, const char *line) {
    sw_cell found;
    double value = 0;
    for (size_t i = 0; sw_rows_cell(&in->rows, line, i, &found); i++)
        if (sw_rows_number(&in->rows, found, &value))
            return false;
    return true;
}

static sw_status column_by_name(table *in, const char *header, const char *column,
                                sw_error *error) {
    sw_cell found;
    for (size_t i = 0; sw_rows_cell(&in->rows, header, i, &found); i++) {
        if (found.length == strlen(column) && memcmp(found.at, column, found.length) == 0) {
            in->column = i;
            sw_cell_unit(found, in->unit, sizeof in->unit);
            return SW_OK;
        }
    }
    return sw_fail(error, SW_VALUE, "%s: no column is called \"%.60s\"", in->path, column);
}

static sw_status column_by_look(table *in, const char *header, sw_error *error) {
    sw_cell found;
    size_t hits = 0;
    size_t columns = 0;
    for (size_t i = 0; sw_rows_cell(&in->rows, header, i, &found); i++, columns++) {
        bool hit = sw_cell_contains(found, "speed") ||
                   (sw_cell_contains(found, "wind") && !sw_cell_contains(found, "dir") &&
                    !sw_cell_contains(found, "gust"));
        if (!hit || sw_cell_contains(found, "gust"))
            continue;
        hits++;
        in->column = i;
        sw_cell_unit(found, in->unit, sizeof in->unit);
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
    sw_cell last;
    double number = 0;
    if (column != NULL && sw_number_parse(column, strlen(column), '.', &number)) {
        if (number < 1 || number > 1000 || number != floor(number))
            return sw_fail(error, SW_VALUE, "%s: wind column %s: expected a number from 1",
                           in->path, column);
        in->column = (size_t)number - 1;
        if (header && sw_rows_cell(&in->rows, line, in->column, &last))
            sw_cell_unit(last, in->unit, sizeof in->unit);
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
    while (sw_rows_cell(&in->rows, line, in->column + 1, &last))
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
    for (; line < in->rows.end; line = sw_rows_next(&in->rows, line), number++) {
        sw_cell found;
        double value = 0;
        if (sw_rows_blank(&in->rows, line))
            continue;
        bool there = sw_rows_cell(&in->rows, line, in->column, &found);
        if (!there || sw_rows_missing(found)) {
            file->left_out++;
            continue;
        }
        if (!sw_rows_number(&in->rows, found, &value))
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
    for (const char *c = in->rows.text; c < in->rows.end; c++)
        lines += *c == '\n';
    return lines;
}

static sw_status parse_table(table *in, const char *line, size_t number, const char *column,
                             const char *unit, const sw_units *units, sw_wind_file *file,
                             sw_error *error) {
    double factor = 1;
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
        line = sw_rows_next(&in->rows, line);
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
    table in = {.path = path};
    const char *line = NULL;
    size_t number = 1;
    *file = (sw_wind_file){NULL, 0, 0};
    sw_status status = sw_rows_open(text, length, path, true, &in.rows, &line, &number, error);
    if (status == SW_OK)
        status = parse_table(&in, line, number, column, unit, units, file, error);
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
