/* The log as a table: each column's meaning comes from the header. */
#include "src/match/compare/compare.h"

#include "shared/files.h"
#include "src/match/site/rows.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { COLUMN_LIMIT = 16, UNIT_ROOM = 80, LOG_LIMIT_BYTES = 64 * 1024 * 1024 };

/* What no scrap machine reaches, in any unit of a column: a slip of the pen. */
static const double MOST = 1e6;

/* The strongest gust ever measured was 113 m/s; the bins end at SW_COMPARE_BIN_LIMIT / 2 m/s, and
 * dense air may count for a seventh more. */
static const double MOST_WIND_M_S = 85;

typedef enum column { WIND, ROTOR, VOLTS, AMPS, HERTZ, WATTS, COLUMNS, OTHER = COLUMNS } column;

typedef struct layout {
    sw_rows rows;
    size_t count;
    column of[COLUMN_LIMIT];
    double scale[COLUMN_LIMIT]; /* of volts, amps, watts */
    bool has[COLUMNS];
    bool beaufort;
    char wind_unit[UNIT_ROOM];
} layout;

static double beaufort_m_s(double number) {
    return 0.836 * pow(number, 1.5);
}

/* Columns that may come in thousandths or thousands. */
static const struct {
    column of;
    const char *unit;
} SCALED[] = {{VOLTS, "V"}, {AMPS, "A"}, {WATTS, "W"}};

/* "U (V)" -> "U" */
static sw_cell name_of(sw_cell cell) {
    size_t length = 0;
    while (length < cell.length && cell.at[length] != '(' && cell.at[length] != '[')
        length++;
    while (length > 0 && cell.at[length - 1] == ' ')
        length--;
    return (sw_cell){cell.at, length};
}

/* One letter, as in formulas: U or V, I or A, P or W, f; v in m/s is a wind. */
static column column_of_symbol(sw_cell cell, const sw_units *units) {
    static const struct {
        const char *letter;
        column of;
    } SYMBOLS[] = {{"u", VOLTS}, {"v", VOLTS}, {"i", AMPS}, {"a", AMPS},
                   {"p", WATTS}, {"w", WATTS}, {"f", HERTZ}};
    sw_cell name = name_of(cell);
    char unit[UNIT_ROOM];
    double factor = 0;
    if (name.length != 1)
        return OTHER;
    sw_cell_unit(cell, unit, sizeof unit);
    if (sw_cell_contains(name, "v") && unit[0] != '\0' &&
        sw_units_convert(units, 1, unit, "m/s", &factor, NULL) == SW_OK)
        return WIND;
    for (size_t i = 0; i < sizeof SYMBOLS / sizeof *SYMBOLS; i++)
        if (sw_cell_contains(name, SYMBOLS[i].letter))
            return SYMBOLS[i].of;
    return OTHER;
}

static column column_of(sw_cell cell, const sw_units *units) {
    static const struct {
        const char *word;
        column of;
    } WORDS[] = {{"wind", WIND},   {"beaufort", WIND}, {"rotor", ROTOR},  {"rpm", ROTOR},
                 {"volt", VOLTS},  {"amp", AMPS},      {"current", AMPS}, {"watt", WATTS},
                 {"power", WATTS}, {"hertz", HERTZ},   {"hz", HERTZ},     {"freq", HERTZ}};
    for (size_t j = 0; j < sizeof WORDS / sizeof *WORDS; j++)
        if (sw_cell_contains(cell, WORDS[j].word))
            return WORDS[j].of;
    return column_of_symbol(cell, units);
}

/* "battery (V)": by its unit alone. */
static column column_of_unit(sw_cell cell, const sw_units *units) {
    char unit[UNIT_ROOM];
    double factor = 0;
    sw_cell_unit(cell, unit, sizeof unit);
    for (size_t i = 0; i < sizeof SCALED / sizeof *SCALED && unit[0] != '\0'; i++)
        if (sw_units_convert(units, 1, unit, SCALED[i].unit, &factor, NULL) == SW_OK)
            return SCALED[i].of;
    return OTHER;
}

/* The last word of "wind mph", "wind [km/h]", or Beaufort in any place. */
static sw_status wind_unit(sw_cell cell, const sw_units *units, layout *in, sw_error *error) {
    double factor = 0;
    in->beaufort = sw_cell_contains(cell, "beaufort") || sw_cell_contains(cell, "bft");
    if (in->beaufort)
        return SW_OK;
    sw_cell_unit(cell, in->wind_unit, sizeof in->wind_unit);
    if (in->wind_unit[0] != '\0' &&
        sw_units_convert(units, 1, in->wind_unit, "m/s", &factor, NULL) == SW_OK)
        return SW_OK;
    return sw_fail(error, SW_UNIT,
                   "%s: column \"%.*s\" has no unit of wind; write it into the header, for "
                   "example \"wind [m/s]\", \"wind [mph]\" or \"wind [Beaufort]\"",
                   in->rows.path, (int)(cell.length < 40 ? cell.length : 40), cell.at);
}

/* "current [mA]": what its cells are multiplied by; a unit that is none of its own counts as 1. */
static double scale_of(sw_cell cell, column of, const sw_units *units) {
    char unit[UNIT_ROOM];
    double factor = 1;
    sw_cell_unit(cell, unit, sizeof unit);
    for (size_t i = 0; i < sizeof SCALED / sizeof *SCALED && unit[0] != '\0'; i++)
        if (SCALED[i].of == of &&
            sw_units_convert(units, 1, unit, SCALED[i].unit, &factor, NULL) != SW_OK)
            factor = 1;
    return factor;
}

static sw_status take_column(size_t i, sw_cell cell, column of, const sw_units *units, layout *in,
                             sw_error *error) {
    in->of[i] = of;
    if (of == OTHER)
        return SW_OK;
    if (in->has[of])
        return sw_fail(error, SW_FORMAT, "%s: two columns say the same: \"%.*s\" is the second",
                       in->rows.path, (int)(cell.length < 40 ? cell.length : 40), cell.at);
    in->has[of] = true;
    in->scale[i] = scale_of(cell, of, units);
    return of == WIND ? wind_unit(cell, units, in, error) : SW_OK;
}

/* Names first; a unit alone only tells what no name does. */
static sw_status read_header(const char *line, const sw_units *units, layout *in, sw_error *error) {
    sw_cell cell;
    sw_status status = SW_OK;
    for (size_t i = 0; status == SW_OK && sw_rows_cell(&in->rows, line, i, &cell); i++) {
        if (i >= COLUMN_LIMIT)
            return sw_fail(error, SW_FORMAT, "%s: more than %d columns", in->rows.path,
                           COLUMN_LIMIT);
        in->count++;
        status = take_column(i, cell, column_of(cell, units), units, in, error);
    }
    bool named[COLUMNS];
    memcpy(named, in->has, sizeof named);
    for (size_t i = 0; status == SW_OK && sw_rows_cell(&in->rows, line, i, &cell); i++) {
        column of = in->of[i] == OTHER ? column_of_unit(cell, units) : OTHER;
        if (of != OTHER && !named[of])
            status = take_column(i, cell, of, units, in, error);
    }
    return status;
}

static sw_status check_header(const layout *in, sw_error *error) {
    if (!in->has[WIND] && !in->has[ROTOR])
        return sw_fail(error, SW_FORMAT,
                       "%s: the first line names no column with wind or rotor speed, for example "
                       "\"wind [m/s], volts, amps\"",
                       in->rows.path);
    if (!in->has[WATTS] && !(in->has[VOLTS] && in->has[AMPS]))
        return sw_fail(error, SW_FORMAT,
                       "%s: the first line names neither watts nor both volts and amps",
                       in->rows.path);
    return SW_OK;
}

static sw_status read_cell(const layout *in, sw_cell cell, size_t number, double *value,
                           sw_error *error) {
    *value = NAN;
    if (sw_rows_missing(cell))
        return SW_OK;
    if (!sw_rows_number(&in->rows, cell, value))
        return sw_fail(error, SW_FORMAT, "%s: line %zu: found \"%.*s\", expected a number",
                       in->rows.path, number, (int)(cell.length < 40 ? cell.length : 40), cell.at);
    if (*value < 0 || *value > MOST)
        return sw_fail(error, SW_VALUE, "%s: line %zu: found %g, expected 0 to %g", in->rows.path,
                       number, *value, MOST);
    return SW_OK;
}

static sw_status read_row(const layout *in, const char *line, size_t number, const sw_units *units,
                          sw_log_row *row, sw_error *error) {
    sw_cell cell;
    double value[COLUMNS] = {NAN, NAN, NAN, NAN, NAN, NAN};
    for (size_t i = 0; i < in->count && sw_rows_cell(&in->rows, line, i, &cell); i++) {
        sw_status status =
            in->of[i] == OTHER ? SW_OK : read_cell(in, cell, number, &value[in->of[i]], error);
        if (status != SW_OK)
            return status;
        if (in->of[i] != OTHER)
            value[in->of[i]] *= in->scale[i];
    }
    if (in->beaufort)
        value[WIND] = beaufort_m_s(value[WIND]);
    else if (isfinite(value[WIND]))
        (void)sw_units_convert(units, value[WIND], in->wind_unit, "m/s", &value[WIND], NULL);
    if (value[WIND] > MOST_WIND_M_S)
        return sw_fail(error, SW_VALUE, "%s: line %zu: found a wind of %.3g m/s, expected 0 to %g",
                       in->rows.path, number, value[WIND], MOST_WIND_M_S);
    *row = (sw_log_row){value[WIND], value[ROTOR], value[VOLTS],
                        value[AMPS], value[HERTZ], value[WATTS]};
    if (isnan(row->watts))
        row->watts = row->volts * row->amps;
    return SW_OK;
}

static sw_status read_rows(const layout *in, const char *line, size_t number, const sw_units *units,
                           sw_log *log, sw_error *error) {
    for (; line < in->rows.end; line = sw_rows_next(&in->rows, line), number++) {
        sw_log_row row;
        if (sw_rows_blank(&in->rows, line))
            continue;
        sw_status status = read_row(in, line, number, units, &row, error);
        if (status != SW_OK)
            return status;
        if (isfinite(row.watts) && (isfinite(row.wind_m_s) || isfinite(row.rotor_rpm)))
            log->row[log->rows++] = row;
    }
    return SW_OK;
}

/* Driven by hand or by a jet in still air: a column of wind that is nought throughout tells
 * nothing, the rotor's speed does. */
static void choose_axis(const layout *in, sw_log *log) {
    double most = 0;
    for (size_t i = 0; i < log->rows; i++)
        most = fmax(most, log->row[i].wind_m_s);
    log->wind = in->has[WIND] && (most > 0 || !in->has[ROTOR]);
    log->beaufort = in->beaufort && log->wind;
    size_t kept = 0;
    for (size_t i = 0; i < log->rows; i++)
        if (isfinite(log->wind ? log->row[i].wind_m_s : log->row[i].rotor_rpm))
            log->row[kept++] = log->row[i];
    log->rows = kept;
}

sw_status sw_log_parse(const char *text, const char *path, const sw_units *units, sw_log *log,
                       sw_error *error) {
    layout in = {0};
    const char *line = NULL;
    size_t number = 1;
    size_t lines = 1;
    *log = (sw_log){0};
    sw_status status =
        sw_rows_open(text, strlen(text), path, false, &in.rows, &line, &number, error);
    if (status == SW_OK)
        status = read_header(line, units, &in, error);
    if (status == SW_OK)
        status = check_header(&in, error);
    if (status != SW_OK)
        return status;
    for (const char *at = line; at < in.rows.end; at = sw_rows_next(&in.rows, at))
        lines++;
    log->row = calloc(lines, sizeof *log->row);
    if (log->row == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for %zu rows", lines);
    status = read_rows(&in, sw_rows_next(&in.rows, line), number + 1, units, log, error);
    choose_axis(&in, log);
    if (status == SW_OK && log->rows == 0)
        status = sw_fail(error, SW_EMPTY, "%s: not one row with all it needs", path);
    if (status != SW_OK)
        sw_log_free(log);
    return status;
}

sw_status sw_log_read(const char *path, const sw_units *units, sw_log *log, sw_error *error) {
    char *text = NULL;
    size_t length = 0;
    *log = (sw_log){0};
    sw_status status = sw_file_read(path, LOG_LIMIT_BYTES, &text, &length, error);
    if (status == SW_OK && strlen(text) != length)
        status = sw_fail(error, SW_FORMAT, "%s: is no text", path);
    if (status == SW_OK)
        status = sw_log_parse(text, path, units, log, error);
    free(text);
    return status;
}

void sw_log_free(sw_log *log) {
    free(log->row);
    *log = (sw_log){0};
}
