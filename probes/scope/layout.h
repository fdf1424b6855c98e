/* What a scope file's layout was understood to be. */
#ifndef SPINWORTH_PROBES_SCOPE_LAYOUT_H
#define SPINWORTH_PROBES_SCOPE_LAYOUT_H

#include "probes/scope/lines.h"
#include "probes/scope/words.h"
#include "shared/text.h"
#include "shared/waveform.h"

enum { SW_SCOPE_COLUMN_LIMIT = 32, SW_SCOPE_SAMPLE_LINES = 600 };

typedef enum sw_scope_role {
    SW_ROLE_CHANNEL,
    SW_ROLE_TIME,
    SW_ROLE_INDEX,     /* row number */
    SW_ROLE_TIME_COPY, /* the time column again, before another channel */
    SW_ROLE_MATH       /* calculated by the scope, left out */
} sw_scope_role;

typedef struct sw_scope_column {
    size_t cell; /* its place in a row, from 0 */
    sw_scope_role role;
    char name[SW_CHANNEL_NAME_ROOM]; /* "" = none in the file */
    sw_scope_unit unit;              /* dimension NONE = none in the file */
    int decimals;                    /* most digits after the decimal sign seen in the sample */
} sw_scope_column;

/* Facts from keys in the header; 0 or NaN where there are none. */
typedef struct sw_scope_facts {
    double interval_s;
    double interval_half_digit_s; /* half of its last printed digit */
    bool interval_has_unit;
    double start_s;
    double count;
    char source[SW_CHANNEL_NAME_ROOM];
    sw_scope_unit unit;
    char key[48]; /* the words under which the interval stood */
} sw_scope_facts;

typedef struct sw_scope_layout {
    sw_dialect dialect;
    size_t columns;
    sw_scope_column column[SW_SCOPE_COLUMN_LIMIT];
    size_t width;     /* cells of the usual row of values */
    size_t first_row; /* index into the sample of the first row of values */
    long first_line;
    int time;          /* column that gives the time (TIME or INDEX), -1 = none */
    double time_scale; /* seconds a unit of that column; for an index the interval */
    double time_step;  /* of that column, from row to row, in the sample */
    bool time_steady;  /* its printed steps are all equal: rounding excuses no other one */
    sw_scope_facts facts;
} sw_scope_layout;

/* ---- grid.c: delimiter, decimal sign, columns of values, where they begin ---- */
sw_status sw_scope_find_grid(const sw_line_list *sample, const char *name, sw_scope_layout *layout,
                             sw_error *error);

/* ---- header.c: names, units, keys ---- */
sw_status sw_scope_read_header(const sw_line_list *sample, const char *name,
                               sw_scope_layout *layout, sw_error *error);

/* ---- columns.c: which column is the time, which are channels ---- */
sw_status sw_scope_find_roles(const sw_line_list *sample, const char *name, double rate_hz,
                              sw_scope_layout *layout, sw_error *error);

/* ---- rows.c: one row of values ---- */
typedef enum sw_row_kind { SW_ROW_VALUES, SW_ROW_BLANK, SW_ROW_NOTE } sw_row_kind;

/* values[layout->columns]: NaN for empty cells, +-INFINITY for clipped ones. A bad cell is
 * SW_FORMAT with line and column. */
sw_status sw_scope_read_row(const sw_scope_layout *layout, const char *name, const sw_line *line,
                            double *values, sw_row_kind *kind, sw_error *error);

#endif
