/* Which column is the time and which are channels.
 *
 * A time column says so by its name or unit, or gives itself away: its values lie on a straight
 * line over the row number. Printed times may be rounded, so a residual of one unit in the last
 * printed place, or of half a step, is allowed. A row number rises by exactly one.
 */
#include "probes/scope/layout.h"

#include <gsl/gsl_fit.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { EVENT_ROWS = 30 };

/* What the sample's rows say of one column. */
typedef struct trend {
    size_t rows;
    double slope;    /* a row */
    double residual; /* largest distance from the straight line */
    double first;
    double least_step;
    double largest_step;
    bool counts; /* rises by exactly one */
    bool steady; /* all steps but one at most are equal and above zero */
} trend;

static double print_quantum(const sw_scope_column *column) {
    return pow(10, -column->decimals);
}

/* The column's values in the sample, NaN left out; returns how many rows there were. */
static size_t collect(const sw_line_list *sample, const sw_scope_layout *layout, size_t c,
                      double *values) {
    size_t rows = 0;
    for (size_t i = layout->first_row; i < sample->count; i++) {
        double row[SW_SCOPE_COLUMN_LIMIT];
        sw_row_kind kind = SW_ROW_BLANK;
        sw_status status = sw_scope_read_row(layout, "", &sample->line[i], row, &kind, NULL);
        if (status == SW_OK && kind == SW_ROW_VALUES && isfinite(row[c]))
            values[rows++] = row[c];
    }
    return rows;
}

static int by_size(const void *left, const void *right) {
    double a = *(const double *)left;
    double b = *(const double *)right;
    return (a > b) - (a < b);
}

/* Equal steps are the middle one; a gap or a row too many in the sample shall not hide them. */
static void find_steady(trend *found, const double *values, size_t rows) {
    double steps[SW_SCOPE_SAMPLE_LINES];
    size_t other = 0;
    for (size_t i = 0; i + 1 < rows; i++)
        steps[i] = values[i + 1] - values[i];
    qsort(steps, rows - 1, sizeof *steps, by_size);
    double middle = steps[(rows - 1) / 2];
    for (size_t i = 0; i + 1 < rows; i++)
        other += fabs(steps[i] - middle) > 1e-6 * middle;
    found->steady = middle > 0 && other <= (rows > 8 ? 1 : 0);
    if (found->steady)
        found->slope = middle;
}

static trend trend_of(const double *values, size_t rows) {
    trend found = {
        .rows = rows, .counts = rows > 1, .least_step = HUGE_VAL, .largest_step = -HUGE_VAL};
    double x[SW_SCOPE_SAMPLE_LINES];
    if (rows < 2)
        return found;
    for (size_t i = 0; i < rows; i++) {
        x[i] = (double)i;
        if (i == 0)
            continue;
        double step = values[i] - values[i - 1];
        found.least_step = fmin(found.least_step, step);
        found.largest_step = fmax(found.largest_step, step);
        found.counts = found.counts && fabs(step - 1) < 1e-9;
    }
    double start = 0;
    double covariance[3];
    double sum = 0;
    gsl_fit_linear(x, 1, values, 1, rows, &start, &found.slope, &covariance[0], &covariance[1],
                   &covariance[2], &sum);
    for (size_t i = 0; i < rows; i++)
        found.residual = fmax(found.residual, fabs(values[i] - start - found.slope * x[i]));
    found.first = values[0];
    find_steady(&found, values, rows);
    return found;
}

static bool is_even(const trend *found, double quantum) {
    double allowed = fmax(0.5 * found->slope, 1.01 * quantum);
    if (found->steady)
        return true;
    return found->rows >= 2 && found->slope > 0 && found->least_step >= -1e-12 &&
           found->residual <= allowed && found->largest_step <= 1.5 * found->slope + quantum &&
           found->slope * (double)found->rows > 2 * quantum;
}

/* 0 = no time column; higher is likelier. */
static int time_rank(const sw_scope_column *column, const trend *found) {
    sw_dimension dimension = column->unit.dimension;
    bool named = sw_is_time_name(column->name) || dimension == SW_DIMENSION_TIME;
    bool even = is_even(found, print_quantum(column));
    bool index = sw_is_index_name(column->name) || dimension == SW_DIMENSION_COUNT;
    if (named)
        return even ? 6 : 5;
    if (!even || dimension == SW_DIMENSION_VOLTAGE || dimension == SW_DIMENSION_CURRENT ||
        sw_is_math_name(column->name))
        return 0;
    if (index || found->counts)
        return found->rows > 2 ? 1 : 0;
    /* Without a name it takes a few rows to believe in. */
    return found->rows >= 4 ? 3 : 0;
}

static void choose_time(sw_scope_layout *layout, const trend *trends) {
    int best = 0;
    for (size_t c = 0; c < layout->columns; c++) {
        int rank = time_rank(&layout->column[c], &trends[c]);
        if (rank > best) {
            best = rank;
            layout->time = (int)c;
        }
    }
    if (layout->time < 0)
        return;
    sw_scope_column *column = &layout->column[layout->time];
    column->role = best == 1 ? SW_ROLE_INDEX : SW_ROLE_TIME;
    layout->time_step = trends[layout->time].slope;
    layout->time_steady = trends[layout->time].steady;
    layout->time_scale =
        best > 1 && column->unit.dimension == SW_DIMENSION_TIME ? column->unit.scale : 1;
}

/* The other columns: copies of the time, row numbers, calculated ones. */
static void choose_rest(sw_scope_layout *layout, const trend *trends) {
    size_t measured = 0;
    for (size_t c = 0; c < layout->columns; c++) {
        sw_scope_column *column = &layout->column[c];
        if ((int)c == layout->time)
            continue;
        int rank = time_rank(column, &trends[c]);
        bool same = layout->time >= 0 &&
                    fabs(trends[c].slope - layout->time_step) < 1e-3 * layout->time_step;
        if (rank >= 5 || (rank == 3 && same))
            column->role = SW_ROLE_TIME_COPY;
        else if (rank == 1 && c < SW_SCOPE_COLUMN_LIMIT && layout->time >= 0)
            column->role = SW_ROLE_INDEX;
        else
            column->role = sw_is_math_name(column->name) ? SW_ROLE_MATH : SW_ROLE_CHANNEL;
        measured += column->role == SW_ROLE_CHANNEL;
    }
    for (size_t c = 0; c < layout->columns && measured == 0; c++)
        if (layout->column[c].role == SW_ROLE_MATH)
            layout->column[c].role = SW_ROLE_CHANNEL;
}

/* ---- what cannot be read ---- */

static bool header_says_events(const sw_line_list *sample, const sw_scope_layout *layout) {
    for (size_t i = 0; i < layout->first_row; i++) {
        char words[256];
        sw_plain_words(sample->line[i].text, sample->line[i].length, words, sizeof words);
        if (strstr(words, "overflow") != NULL || strstr(words, "crossing") != NULL ||
            strstr(words, " ovf") != NULL)
            return true;
    }
    return false;
}

/* A column that only rises, but in uneven steps: times of events. */
static bool rises_unevenly(const trend *found) {
    return found->rows >= EVENT_ROWS && found->least_step > 0 &&
           found->largest_step > 1.5 * found->least_step;
}

static sw_status refuse_events(const sw_line_list *sample, const char *name,
                               const sw_scope_layout *layout, const trend *trends,
                               sw_error *error) {
    bool has_time = layout->time >= 0 && layout->column[layout->time].role == SW_ROLE_TIME &&
                    is_even(&trends[layout->time], print_quantum(&layout->column[layout->time]));
    bool events = header_says_events(sample, layout);
    for (size_t c = 0; c < layout->columns && !has_time && !events; c++)
        events = layout->column[c].unit.dimension == SW_DIMENSION_NONE &&
                 !sw_is_time_name(layout->column[c].name) && rises_unevenly(&trends[c]);
    if (!events || has_time)
        return SW_OK;
    return sw_fail(error, SW_UNSUPPORTED,
                   "%s: each row is an event at its own time (a log of zero crossings), not a "
                   "sample at an even rate; record the voltage itself",
                   name);
}

static sw_status check_rate(const char *name, double rate_hz, sw_scope_layout *layout,
                            sw_error *error) {
    if (layout->time >= 0 && layout->column[layout->time].role == SW_ROLE_TIME)
        return SW_OK;
    double interval = rate_hz > 0 ? 1 / rate_hz : layout->facts.interval_s;
    if (!(interval > 0) && layout->first_line == 1)
        return sw_fail(error, SW_USAGE,
                       "%s: line 1: numbers only; readings need a first line that names their "
                       "columns, such as  rpm, hz, volts  and a scope's table times or its rate, "
                       "such as --rate 10kHz",
                       name);
    if (!(interval > 0))
        return sw_fail(error, SW_USAGE,
                       "%s: neither times nor a sample interval in it, nor columns of readings "
                       "(rpm or hz, volts); give a scope's rate, for example --rate 10kHz",
                       name);
    layout->time_scale = interval;
    return SW_OK;
}

static sw_status check_channels(const char *name, const sw_scope_layout *layout, sw_error *error) {
    size_t channels = 0;
    for (size_t c = 0; c < layout->columns; c++)
        channels += layout->column[c].role == SW_ROLE_CHANNEL;
    if (channels == 0)
        return sw_fail(error, SW_FORMAT,
                       "%s: line %ld: found times but no column of voltages beside them", name,
                       layout->first_line);
    if (channels > SW_CHANNEL_LIMIT)
        return sw_fail(error, SW_UNSUPPORTED, "%s: has %zu channels, expected 1 to %d", name,
                       channels, SW_CHANNEL_LIMIT);
    return SW_OK;
}

static sw_status check_rising(const char *name, const sw_scope_layout *layout, const trend *trends,
                              sw_error *error) {
    if (layout->time < 0 || layout->time_step > 0 || trends[layout->time].rows < 2)
        return SW_OK;
    return sw_fail(error, SW_FORMAT, "%s: line %ld, column %zu: the times do not rise from here on",
                   name, layout->first_line, layout->column[layout->time].cell + 1);
}

sw_status sw_scope_find_roles(const sw_line_list *sample, const char *name, double rate_hz,
                              sw_scope_layout *layout, sw_error *error) {
    trend trends[SW_SCOPE_COLUMN_LIMIT];
    double *values = malloc(SW_SCOPE_SAMPLE_LINES * sizeof *values);
    if (values == NULL)
        return sw_fail(error, SW_MEMORY, "%s: not enough memory to read it", name);
    for (size_t c = 0; c < layout->columns; c++)
        trends[c] = trend_of(values, collect(sample, layout, c, values));
    free(values);
    choose_time(layout, trends);
    choose_rest(layout, trends);
    sw_status status = refuse_events(sample, name, layout, trends, error);
    if (status == SW_OK)
        status = check_rising(name, layout, trends, error);
    if (status == SW_OK)
        status = check_channels(name, layout, error);
    if (status == SW_OK)
        status = check_rate(name, rate_hz, layout, error);
    return status;
}
