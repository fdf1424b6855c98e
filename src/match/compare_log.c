/* The log as a table: the delimiter and each column's meaning come from the header. */
#include "src/match/compare.h"

#include "shared/files.h"
#include "shared/number.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { COLUMN_LIMIT = 16, CELL_ROOM = 80, LOG_LIMIT_BYTES = 64 * 1024 * 1024 };

/* What no scrap machine reaches, in any unit of a column: a slip of the pen. */
static const double MOST = 1e6;

typedef enum column { WIND, ROTOR, VOLTS, AMPS, HERTZ, WATTS, COLUMNS, OTHER = COLUMNS } column;

typedef struct layout {
    char delimiter;
    size_t count;
    column of[COLUMN_LIMIT];
    bool beaufort;
    char wind_unit[CELL_ROOM];
} layout;

/* Middle of a Beaufort number: 0.836 B^1.5 m/s. */
static double beaufort_m_s(double number) {
    return 0.836 * pow(number, 1.5);
}

/* Cut off one cell; returns where the next begins, NULL after the last. */
static const char *take_cell(const char *at, char delimiter, char out[CELL_ROOM]) {
    size_t length = 0;
    while (at[length] != '\0' && at[length] != '\n' && at[length] != delimiter)
        length++;
    const char *next = at[length] == delimiter && delimiter != '\0' ? at + length + 1 : NULL;
    while (length > 0 && isspace((unsigned char)*at)) {
        at++;
        length--;
    }
    while (length > 0 && isspace((unsigned char)at[length - 1]))
        length--;
    snprintf(out, CELL_ROOM, "%.*s", (int)length, at);
    return next;
}

static column column_of(const char *cell) {
    static const struct {
        const char *word;
        column of;
    } WORDS[] = {{"wind", WIND},   {"beaufort", WIND}, {"rotor", ROTOR},  {"rpm", ROTOR},
                 {"volt", VOLTS},  {"amp", AMPS},      {"current", AMPS}, {"watt", WATTS},
                 {"power", WATTS}, {"hertz", HERTZ},   {"hz", HERTZ},     {"freq", HERTZ}};
    char lower[CELL_ROOM];
    size_t i = 0;
    for (; cell[i] != '\0'; i++)
        lower[i] = (char)tolower((unsigned char)cell[i]);
    lower[i] = '\0';
    for (size_t j = 0; j < sizeof WORDS / sizeof *WORDS; j++)
        if (strstr(lower, WORDS[j].word) != NULL)
            return WORDS[j].of;
    if (strcmp(lower, "v") == 0 || strcmp(lower, "a") == 0 || strcmp(lower, "w") == 0)
        return *lower == 'v' ? VOLTS : *lower == 'a' ? AMPS : WATTS;
    return OTHER;
}

/* What stands behind the word wind: "[m/s]", "(mph)", "km/h". */
static sw_status wind_unit(const char *cell, const char *path, const sw_units *units, layout *in,
                           sw_error *error) {
    double factor = 0;
    in->beaufort = strstr(cell, "eaufort") != NULL || strstr(cell, "Bft") != NULL;
    if (in->beaufort)
        return SW_OK;
    size_t last = strlen(cell);
    while (last > 0 && strchr(")] ", cell[last - 1]) != NULL)
        last--;
    size_t first = last;
    while (first > 0 && strchr("([ _,", cell[first - 1]) == NULL)
        first--;
    snprintf(in->wind_unit, sizeof in->wind_unit, "%.*s", (int)(last - first), cell + first);
    if (sw_units_convert(units, 1, in->wind_unit, "m/s", &factor, NULL) == SW_OK)
        return SW_OK;
    return sw_fail(error, SW_UNIT,
                   "%s: column \"%.40s\" has no unit of wind; write it into the header, for "
                   "example \"wind [m/s]\", \"wind [mph]\" or \"wind [Beaufort]\"",
                   path, cell);
}

static sw_status read_header(const char *line, const char *path, const sw_units *units, layout *in,
                             bool has[COLUMNS], sw_error *error) {
    char cell[CELL_ROOM];
    size_t length = strcspn(line, "\n");
    *in = (layout){0};
    in->delimiter = memchr(line, ';', length) != NULL    ? ';'
                    : memchr(line, '\t', length) != NULL ? '\t'
                                                         : ',';
    for (const char *at = line; at != NULL; in->count++) {
        at = take_cell(at, in->delimiter, cell);
        if (in->count >= COLUMN_LIMIT)
            return sw_fail(error, SW_FORMAT, "%s: more than %d columns", path, COLUMN_LIMIT);
        column of = column_of(cell);
        in->of[in->count] = of;
        if (of == OTHER)
            continue;
        if (has[of])
            return sw_fail(error, SW_FORMAT,
                           "%s: two columns say the same: \"%.40s\" is the second", path, cell);
        has[of] = true;
        sw_status status = of == WIND ? wind_unit(cell, path, units, in, error) : SW_OK;
        if (status != SW_OK)
            return status;
    }
    return SW_OK;
}

static sw_status check_header(const bool has[COLUMNS], const char *path, sw_error *error) {
    if (!has[WIND] && !has[ROTOR])
        return sw_fail(error, SW_FORMAT,
                       "%s: the first line names no column with wind or rotor speed, for example "
                       "\"wind [m/s], volts, amps\"",
                       path);
    if (!has[WATTS] && !(has[VOLTS] && has[AMPS]))
        return sw_fail(error, SW_FORMAT,
                       "%s: the first line names neither watts nor both volts and amps", path);
    return SW_OK;
}

static sw_status read_cell(const char *cell, const char *path, size_t number, char decimal,
                           double *value, sw_error *error) {
    size_t length = strlen(cell);
    *value = NAN;
    if (length == 0 || strcmp(cell, "-") == 0)
        return SW_OK;
    size_t used = sw_number_scan(cell, length, decimal, value);
    if (used == 0 || used < length)
        return sw_fail(error, SW_FORMAT, "%s: line %zu: found \"%.40s\", expected a number", path,
                       number, cell);
    if (*value < 0 || *value > MOST)
        return sw_fail(error, SW_VALUE, "%s: line %zu: found %g, expected 0 to %g", path, number,
                       *value, MOST);
    return SW_OK;
}

static sw_status read_row(const char *line, const char *path, size_t number, const layout *in,
                          const sw_units *units, sw_log_row *row, sw_error *error) {
    char cell[CELL_ROOM];
    double value[COLUMNS + 1] = {NAN, NAN, NAN, NAN, NAN, NAN, NAN};
    const char *at = line;
    for (size_t i = 0; i < in->count && at != NULL; i++) {
        at = take_cell(at, in->delimiter, cell);
        char decimal = in->delimiter != ',' && strchr(cell, ',') != NULL ? ',' : '.';
        sw_status status = in->of[i] == OTHER
                               ? SW_OK
                               : read_cell(cell, path, number, decimal, &value[in->of[i]], error);
        if (status != SW_OK)
            return status;
    }
    if (in->beaufort)
        value[WIND] = beaufort_m_s(value[WIND]);
    else if (isfinite(value[WIND]))
        (void)sw_units_convert(units, value[WIND], in->wind_unit, "m/s", &value[WIND], NULL);
    *row = (sw_log_row){value[WIND], value[ROTOR], value[VOLTS],
                        value[AMPS], value[HERTZ], value[WATTS]};
    if (isnan(row->watts))
        row->watts = row->volts * row->amps;
    return SW_OK;
}

static const char *next_line(const char *line) {
    const char *end = strchr(line, '\n');
    return end == NULL ? line + strlen(line) : end + 1;
}

static bool is_blank(const char *line) {
    line += strspn(line, " \t\r");
    return *line == '\n' || *line == '#' || *line == '\0';
}

static sw_status read_rows(const char *text, const char *path, const layout *in,
                           const sw_units *units, sw_log *log, sw_error *error) {
    size_t number = 1;
    for (const char *line = text; *line != '\0'; line = next_line(line), number++) {
        sw_log_row row;
        if (number == 1 || is_blank(line))
            continue;
        sw_status status = read_row(line, path, number, in, units, &row, error);
        if (status != SW_OK)
            return status;
        bool usable = isfinite(row.watts) && isfinite(log->wind ? row.wind_m_s : row.rotor_rpm);
        if (usable)
            log->row[log->rows++] = row;
    }
    if (log->rows == 0)
        return sw_fail(error, SW_EMPTY, "%s: not one row with all it needs", path);
    return SW_OK;
}

sw_status sw_log_parse(const char *text, const char *path, const sw_units *units, sw_log *log,
                       sw_error *error) {
    layout in;
    bool has[COLUMNS] = {false};
    size_t lines = 1;
    *log = (sw_log){0};
    for (const char *line = text; *line != '\0'; line = next_line(line))
        lines++;
    sw_status status = read_header(text, path, units, &in, has, error);
    if (status == SW_OK)
        status = check_header(has, path, error);
    if (status != SW_OK)
        return status;
    log->wind = has[WIND];
    log->row = calloc(lines, sizeof *log->row);
    if (log->row == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for %zu rows", lines);
    status = read_rows(text, path, &in, units, log, error);
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
