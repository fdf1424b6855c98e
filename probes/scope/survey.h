/* The first pass over a scope file: every row checked, the rate fitted, the steps found. */
#ifndef SPINWORTH_PROBES_SCOPE_SURVEY_H
#define SPINWORTH_PROBES_SCOPE_SURVEY_H

#include "probes/scope/layout.h"
#include "probes/scope/times.h"

typedef struct sw_scope_survey {
    size_t rows;
    size_t blank;      /* empty lines between the rows */
    long end_line;     /* first line that is no row any more; 0 = read to the end */
    bool torn_end;     /* the last line stops in the middle */
    sw_time_fit times; /* of the time column; rows = 0 without one */
    double step[SW_SCOPE_COLUMN_LIMIT]; /* quantisation, in the units of the file */
} sw_scope_survey;

sw_status sw_scope_survey_run(sw_lines *lines, const sw_scope_layout *layout,
                              sw_scope_survey *survey, sw_error *error);

/* ---- rate.c: the rate, from times, header or request ---- */
typedef struct sw_scope_rate {
    double rate_hz;
    double rate_u_hz;
    double start_s;
} sw_scope_rate;

sw_status sw_scope_find_rate(const sw_scope_layout *layout, const sw_scope_survey *survey,
                             double asked_hz, const char *name, sw_scope_rate *rate, sw_text *notes,
                             sw_error *error);

#endif
