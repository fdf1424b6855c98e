/* A table of hand readings: remarks, a row of names, rows of numbers. Numbers may carry a unit in
 * their cell or in the name of their column. */
#include "probes/readings_table.h"

#include "probes/scope/words.h"
#include "shared/number.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { ROW_LIMIT = 10000, TEXT_ROOM = 80 };

typedef struct table {
    const char *name;
    const sw_units *units;
    char delimiter;
    size_t columns;
    sw_reading_column column[SW_CELL_LIMIT];
    double scale[SW_CELL_LIMIT]; /* of bare numbers, by the unit in the column's name */
    size_t room;
} table;

static double *member_of(sw_reading *reading, sw_reading_column column) {
    switch (column) {
    case SW_READING_SPEED:
        return &reading->speed_rpm;
    case SW_READING_FREQUENCY:
        return &reading->frequency_hz;
    case SW_READING_VOLTS:
        return &reading->volts;
    case SW_READING_AMPS:
        return &reading->amps;
    default:
        return &reading->load_ohm;
    }
}

double sw_reading_value(const sw_reading *reading, sw_reading_column column) {
    sw_reading copy = *reading;
    return *member_of(&copy, column);
}

static void copy_text(const char *from, size_t length, char *out, size_t room) {
    length = length < room - 1 ? length : room - 1;
    memcpy(out, from, length);
    out[length] = '\0';
}

/* ---- the row of names ---- */

/* What stands in brackets in a name, "" when nothing does. */
static void bracketed(const sw_cell *cell, char *out, size_t room) {
    size_t open = 0;
    out[0] = '\0';
    while (open < cell->length && cell->text[open] != '(' && cell->text[open] != '[')
        open++;
    size_t close = open;
    while (close < cell->length && cell->text[close] != ')' && cell->text[close] != ']')
        close++;
    if (close < cell->length)
        copy_text(cell->text + open + 1, close - open - 1, out, room);
}

/* The factor from the unit to the one wanted; 0 when it is none of that kind. */
static double factor_of(const sw_units *units, const char *unit, const char *wanted) {
    char text[TEXT_ROOM + 4];
    sw_quantity one = sw_quantity_unknown();
    sw_scope_unit word = sw_unit_word(unit, strlen(unit));
    if (word.base[0] != '\0' && strcmp(word.base, wanted) == 0)
        return word.scale;
    snprintf(text, sizeof text, "1 %s", unit);
    bool fine = units != NULL && sw_quantity_parse(units, text, wanted, &one, NULL) == SW_OK;
    return fine ? one.value : 0;
}

/* "(V)", "(mV AC)", "mV AC" give a unit; "(between two wires)" is a remark. */
static sw_status read_unit(table *sheet, const sw_line *line, size_t c, const sw_cell *cell,
                           sw_error *error) {
    char unit[TEXT_ROOM];
    const char *wanted = sw_reading_unit(sheet->column[c]);
    bracketed(cell, unit, sizeof unit);
    if (unit[0] == '\0')
        copy_text(cell->text, cell->length, unit, sizeof unit);
    double factor = factor_of(sheet->units, unit, wanted);
    if (factor == 0) {
        unit[strcspn(unit, " ")] = '\0';
        factor = factor_of(sheet->units, unit, wanted);
    }
    sheet->scale[c] = factor > 0 ? factor : 1;
    for (int other = 0; other < SW_READING_COLUMNS && factor == 0; other++)
        if (factor_of(sheet->units, unit, sw_reading_unit((sw_reading_column)other)) != 0)
            return sw_fail(error, SW_UNIT,
                           "%s: line %ld, column %zu: unit \"%s\" is no %s, expected %s",
                           sheet->name, line->number, c + 1, unit, sw_unit_noun(wanted), wanted);
    return SW_OK;
}

/* "volts (V DC)" */
static bool says_dc(const sw_cell *cell, sw_reading_column column) {
    char remark[TEXT_ROOM];
    bracketed(cell, remark, sizeof remark);
    if (column != SW_READING_VOLTS)
        return false;
    return strstr(remark, "DC") != NULL || strstr(remark, "dc") != NULL;
}

static sw_status read_names(table *sheet, const sw_line *line, sw_readings *readings,
                            sw_text *notes, sw_error *error) {
    sw_row row;
    int seen[SW_READING_NONE + 1] = {0};
    sw_row_split(line->text, line->length, sheet->delimiter, &row);
    sheet->columns = row.count;
    for (size_t c = 0; c < row.count; c++) {
        const sw_cell *cell = &row.cell[c];
        bool is_dc = false;
        sheet->column[c] = sw_reading_column_of(cell->text, cell->length, &is_dc);
        readings->volts_dc = readings->volts_dc || is_dc || says_dc(cell, sheet->column[c]);
        if (sheet->column[c] >= SW_READING_COLUMNS) {
            sw_text_add(notes, "column %zu (\"%.*s\") is no reading; left out\n", c + 1,
                        (int)(cell->length < 40 ? cell->length : 40), cell->text);
            continue;
        }
        if (seen[sheet->column[c]]++ > 0)
            return sw_fail(error, SW_DUPLICATE_KEY,
                           "%s: line %ld, column %zu: a second column of %s", sheet->name,
                           line->number, c + 1, sw_unit_noun(sw_reading_unit(sheet->column[c])));
        sw_status status = read_unit(sheet, line, c, cell, error);
        if (status != SW_OK)
            return status;
        sw_text_add(notes, "column %zu: %s, in %s%s\n", c + 1,
                    sw_unit_noun(sw_reading_unit(sheet->column[c])),
                    sw_reading_unit(sheet->column[c]),
                    sheet->scale[c] != 1 ? " after conversion" : "");
    }
    return SW_OK;
}

/* ---- rows ---- */

static bool is_absent(const sw_cell *cell) {
    double value = 0;
    sw_cell_kind kind = sw_cell_read(cell, '.', &value);
    return kind == SW_CELL_EMPTY || (kind == SW_CELL_MISSING && cell->text[0] == '-');
}

/* No resistor at all, in words. */
static bool is_open(const sw_cell *cell) {
    static const char *const WORDS[] = {"open",     "none",   "no",  "inf", "infinite",
                                        "infinity", "\u221e", "off", NULL};
    for (size_t i = 0; WORDS[i] != NULL; i++) {
        size_t same = 0;
        while (same < cell->length &&
               tolower((unsigned char)cell->text[same]) == (unsigned char)WORDS[i][same])
            same++;
        if (same == cell->length && WORDS[i][same] == '\0')
            return true;
    }
    return false;
}

static bool read_number(const table *sheet, const sw_cell *cell, double *value) {
    return sw_number_parse(cell->text, cell->length, '.', value) ||
           (sheet->delimiter != ',' && sw_number_parse(cell->text, cell->length, ',', value));
}

static sw_status read_cell(const table *sheet, const sw_line *line, size_t c, const sw_cell *cell,
                           double *value, sw_error *error) {
    const char *unit = sw_reading_unit(sheet->column[c]);
    char text[TEXT_ROOM];
    sw_error inner = {0};
    sw_quantity found = sw_quantity_unknown();
    copy_text(cell->text, cell->length, text, sizeof text);
    if (read_number(sheet, cell, value))
        *value *= sheet->scale[c];
    else if (sheet->units != NULL &&
             sw_quantity_parse(sheet->units, text, unit, &found, &inner) == SW_OK)
        *value = found.value;
    else
        return sw_fail(error, SW_FORMAT,
                       "%s: line %ld, column %zu: found \"%s\", expected %s %s, for example %s",
                       sheet->name, line->number, c + 1, text, sw_unit_article(unit),
                       sw_unit_noun(unit), sw_unit_example(unit));
    bool signed_fine = sheet->column[c] == SW_READING_VOLTS || sheet->column[c] == SW_READING_AMPS;
    if (!isfinite(*value) || (*value < 0 && !signed_fine))
        return sw_fail(error, SW_VALUE, "%s: line %ld, column %zu: found %s, expected zero or more",
                       sheet->name, line->number, c + 1, text);
    return SW_OK;
}

static sw_status read_row(const table *sheet, const sw_line *line, const sw_row *row,
                          sw_reading *reading, sw_error *error) {
    *reading = (sw_reading){NAN, NAN, NAN, NAN, NAN, (int)line->number};
    int known = 0;
    for (size_t c = 0; c < row->count; c++) {
        const sw_cell *cell = &row->cell[c];
        if (c >= sheet->columns && cell->length > 0)
            return sw_fail(error, SW_FORMAT,
                           "%s: line %ld, column %zu: found \"%.*s\", expected "
                           "%zu columns as in the row of names",
                           sheet->name, line->number, c + 1,
                           (int)(cell->length < 40 ? cell->length : 40), cell->text,
                           sheet->columns);
        if (c >= sheet->columns || sheet->column[c] >= SW_READING_COLUMNS || is_absent(cell))
            continue;
        if (sheet->column[c] == SW_READING_OHMS && is_open(cell))
            continue;
        sw_status status =
            read_cell(sheet, line, c, cell, member_of(reading, sheet->column[c]), error);
        if (status != SW_OK)
            return status;
        known++;
    }
    if (known < 2)
        return sw_fail(error, SW_FORMAT,
                       "%s: line %ld: found %d reading, expected at least two (volts and speed or "
                       "frequency)",
                       sheet->name, line->number, known);
    return SW_OK;
}

static sw_status add_row(table *sheet, const sw_line *line, sw_readings *readings,
                         sw_error *error) {
    sw_row row;
    sw_row_split(line->text, line->length, sheet->delimiter, &row);
    bool blank = true;
    for (size_t c = 0; c < row.count; c++)
        blank = blank && row.cell[c].length == 0;
    if (blank)
        return SW_OK;
    if (readings->count == ROW_LIMIT)
        return sw_fail(error, SW_UNSUPPORTED, "%s: more than %d readings", sheet->name, ROW_LIMIT);
    if (readings->count == sheet->room) {
        size_t room = 2 * sheet->room + 32;
        sw_reading *larger = realloc(readings->reading, room * sizeof *larger);
        if (larger == NULL)
            return sw_fail(error, SW_MEMORY, "%s: not enough memory", sheet->name);
        readings->reading = larger;
        sheet->room = room;
    }
    sw_status status = read_row(sheet, line, &row, &readings->reading[readings->count], error);
    readings->count += status == SW_OK;
    return status;
}

static sw_status take_line(table *sheet, const sw_line *line, sw_readings *readings, sw_text *notes,
                           sw_error *error) {
    bool is_remark = false;
    sw_status status = sw_readings_remark(sheet->name, line, readings, &is_remark, error);
    if (status != SW_OK || is_remark)
        return status;
    if (sheet->columns > 0)
        return add_row(sheet, line, readings, error);
    if (sw_readings_is_header(line->text, line->length, &sheet->delimiter))
        return read_names(sheet, line, readings, notes, error);
    return SW_OK;
}

sw_status sw_readings_parse(sw_lines *lines, const sw_units *units, sw_readings *readings,
                            sw_text *notes, sw_error *error) {
    table sheet = {.name = sw_lines_name(lines), .units = units};
    bool more = true;
    *readings = (sw_readings){.meter = SW_METER_AC_AVERAGE};
    sw_status status = SW_OK;
    while (status == SW_OK && more) {
        sw_line line;
        status = sw_lines_next(lines, &line, &more, error);
        if (status == SW_OK && more)
            status = take_line(&sheet, &line, readings, notes, error);
    }
    if (status == SW_OK && readings->count == 0)
        status =
            sw_fail(error, SW_EMPTY, "%s: a row of names but no readings below it", sheet.name);
    if (status != SW_OK)
        sw_readings_free(readings);
    return status;
}
