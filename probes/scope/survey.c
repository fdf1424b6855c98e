#include "probes/scope/survey.h"

#include "probes/clean.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { LEVELS = 4096, FOOTER_LINES = 60 };

/* Every stride-th value of a column; the stride doubles when the room is full. */
typedef struct levels {
    size_t stride;
    size_t count;
    double value[LEVELS];
} levels;

static void add_level(levels *some, size_t row, double value) {
    if (row % some->stride != 0)
        return;
    if (some->count == LEVELS) {
        for (size_t i = 0; i < LEVELS / 2; i++)
            some->value[i] = some->value[2 * i];
        some->count = LEVELS / 2;
        some->stride *= 2;
        if (row % some->stride != 0)
            return;
    }
    some->value[some->count++] = value;
}

/* ---- the end of the rows ---- */

static bool has_number(const sw_scope_layout *layout, const sw_line *line) {
    sw_row row;
    sw_row_split(line->text, line->length, layout->dialect.delimiter, &row);
    for (size_t c = 0; c < layout->columns; c++) {
        size_t at = layout->column[c].cell;
        double value = 0;
        if (at < row.count &&
            sw_cell_read(&row.cell[at], layout->dialect.decimal, &value) == SW_CELL_NUMBER)
            return true;
    }
    return false;
}

/* Is everything from this line on a footer, without a number in the columns? A file that goes on
 * with rows has a bad row instead. The line itself is gone after the first call for the next. */
static bool is_footer(sw_lines *lines, const sw_scope_layout *layout, const sw_line *line) {
    bool more = true;
    sw_line next = *line;
    for (int i = 0; i < FOOTER_LINES && more; i++) {
        if (has_number(layout, &next))
            return false;
        if (sw_lines_next(lines, &next, &more, NULL) != SW_OK)
            return false;
    }
    return !more;
}

/* ---- times ---- */

static sw_status time_fault(const sw_scope_layout *layout, const char *name, const sw_line *line,
                            const sw_time_fit *times, double time, sw_error *error) {
    const sw_scope_column *column = &layout->column[layout->time];
    const char *what = column->role == SW_ROLE_INDEX ? "row number" : "time";
    return sw_fail(error, SW_FORMAT,
                   "%s: line %ld, column %zu: the %s goes from %.9g to %.9g, expected even steps "
                   "of %.6g",
                   name, line->number, column->cell + 1, what, times->last, time, times->step);
}

typedef struct survey_work {
    const sw_scope_layout *layout;
    const char *name;
    sw_scope_survey *survey;
    levels *some; /* one a column */
} survey_work;

static sw_status take_row(survey_work *work, const sw_line *line, const double *values,
                          sw_error *error) {
    const sw_scope_layout *layout = work->layout;
    sw_scope_survey *survey = work->survey;
    if (layout->time >= 0) {
        double time = values[layout->time];
        if (sw_time_fit_add(&survey->times, time) != SW_TIME_FINE)
            return time_fault(layout, work->name, line, &survey->times, time, error);
    }
    for (size_t c = 0; c < layout->columns; c++)
        add_level(&work->some[c], survey->rows, values[c]);
    survey->rows++;
    return SW_OK;
}

/* *done is set when the rows end here. */
static sw_status take_line(survey_work *work, sw_lines *lines, const sw_line *line, bool *done,
                           sw_error *error) {
    double values[SW_SCOPE_COLUMN_LIMIT];
    sw_row_kind kind = SW_ROW_BLANK;
    sw_error bad = {0};
    sw_status status = sw_scope_read_row(work->layout, work->name, line, values, &kind, &bad);
    if (status == SW_OK && kind == SW_ROW_VALUES)
        status = take_row(work, line, values, &bad);
    work->survey->blank += status == SW_OK && kind == SW_ROW_BLANK;
    if (status == SW_OK)
        return SW_OK;
    work->survey->end_line = line->number;
    work->survey->torn_end = !line->ended;
    *done = !line->ended || is_footer(lines, work->layout, line);
    if (*done)
        return SW_OK;
    if (error != NULL)
        *error = bad;
    return status;
}

static sw_status run(survey_work *work, sw_lines *lines, sw_error *error) {
    bool more = true;
    bool done = false;
    sw_status status = SW_OK;
    while (status == SW_OK && !done) {
        sw_line line;
        status = sw_lines_next(lines, &line, &more, error);
        if (status != SW_OK || !more)
            break;
        if (line.number >= work->layout->first_line)
            status = take_line(work, lines, &line, &done, error);
    }
    return status;
}

sw_status sw_scope_survey_run(sw_lines *lines, const sw_scope_layout *layout,
                              sw_scope_survey *survey, sw_error *error) {
    *survey = (sw_scope_survey){0};
    survey->times.step = layout->time_step;
    survey->times.steady = layout->time_steady;
    if (layout->time >= 0)
        survey->times.quantum = pow(10, -layout->column[layout->time].decimals);
    levels *some = calloc(layout->columns, sizeof *some);
    if (some == NULL)
        return sw_fail(error, SW_MEMORY, "%s: not enough memory", sw_lines_name(lines));
    for (size_t c = 0; c < layout->columns; c++)
        some[c].stride = 1;
    survey_work work = {layout, sw_lines_name(lines), survey, some};
    sw_lines_rewind(lines);
    sw_status status = run(&work, lines, error);
    for (size_t c = 0; c < layout->columns && status == SW_OK; c++)
        survey->step[c] = sw_step_of(some[c].value, some[c].count);
    free(some);
    sw_lines_rewind(lines);
    return status;
}
