/* A line cut into cells, and what a cell holds. */
#ifndef SPINWORTH_PROBES_SCOPE_CELLS_H
#define SPINWORTH_PROBES_SCOPE_CELLS_H

#include <stdbool.h>
#include <stddef.h>

enum { SW_CELL_LIMIT = 128 };

typedef struct sw_cell {
    const char *text; /* without quotes and the spaces around; not NUL-terminated */
    size_t length;
} sw_cell;

typedef struct sw_row {
    size_t count;
    bool too_many; /* more than SW_CELL_LIMIT */
    sw_cell cell[SW_CELL_LIMIT];
} sw_row;

/* How a file's lines are to be cut and its numbers read. */
typedef struct sw_dialect {
    char delimiter; /* ',', ';', '\t', '|', ' ' (any run of spaces), 0 = one cell a line */
    char decimal;   /* '.' or ',' */
} sw_dialect;

/* Cells borrow the line's text. Delimiters inside double quotes do not cut. */
void sw_row_split(const char *text, size_t length, char delimiter, sw_row *row);

typedef enum sw_cell_kind {
    SW_CELL_EMPTY,
    SW_CELL_NUMBER,
    SW_CELL_CLIPPED, /* an infinity sign or word: *value = +-INFINITY */
    SW_CELL_MISSING, /* "nan", "--": *value = NAN */
    SW_CELL_TEXT
} sw_cell_kind;

/* Also reads "CH1:0.12", the value after a label and colon. */
sw_cell_kind sw_cell_read(const sw_cell *cell, char decimal, double *value);

/* Number, clipped or missing. */
bool sw_cell_is_value(sw_cell_kind kind);

/* Digits after the decimal sign, less the exponent: 0.0012 -> 4, 1.2e-5 -> 6, 12 -> 0. */
int sw_cell_decimals(const sw_cell *cell, char decimal);

/* Name of a delimiter for notes. */
const char *sw_delimiter_name(char delimiter);

#endif
