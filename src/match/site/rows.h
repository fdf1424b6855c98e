/* A table as people write it: rows of cells in memory, with quotes, comments, any of the usual
 * delimiters and a decimal point or comma. */
#ifndef SPINWORTH_MATCH_ROWS_H
#define SPINWORTH_MATCH_ROWS_H

#include "shared/status.h"

#include <stdbool.h>
#include <stddef.h>

typedef struct sw_rows {
    const char *text;
    const char *end;
    const char *path;
    char delimiter; /* ';', tab, ',' or ' ' = any run of blanks */
    char decimal;
} sw_rows;

/* Without the blanks and quotes around it; not NUL-terminated. */
typedef struct sw_cell {
    const char *at;
    size_t length;
} sw_cell;

/* Skip a byte-order mark, empty lines and those that begin with #; *line is the first row, *number
 * counts lines from 1. blanks: a run of blanks may be the delimiter. SW_FORMAT for binary data,
 * SW_EMPTY without a row. */
sw_status sw_rows_open(const char *text, size_t length, const char *path, bool blanks,
                       sw_rows *rows, const char **line, size_t *number, sw_error *error);

/* Cell number index (0-based) of a line; false beyond the last. */
bool sw_rows_cell(const sw_rows *rows, const char *line, size_t index, sw_cell *out);

bool sw_rows_blank(const sw_rows *rows, const char *line);
const char *sw_rows_next(const sw_rows *rows, const char *line);

/* Whole cell as a number, a decimal comma where it cannot be the delimiter or stands in quotes. */
bool sw_rows_number(const sw_rows *rows, sw_cell cell, double *value);

/* Empty, a dash, or a word for "not there". */
bool sw_rows_missing(sw_cell cell);

/* Does it contain the word, in any case? word in lower case. */
bool sw_cell_contains(sw_cell cell, const char *word);

/* "wind [m/s]", "speed (mph)", "wind_mph": what stands in brackets, or after the last _ or blank;
 * empty when it does not fit. */
void sw_cell_unit(sw_cell header, char *out, size_t room);

#endif
