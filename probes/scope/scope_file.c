/* Scope files: CSV and its relatives, of whatever layout. The layout is found by looking at the
 * first lines (grid, header, columns); a first pass over the whole file checks every row and fits
 * the rate; the second pass delivers the samples. Memory does not depend on the length. */
#include "probes/kinds.h"
#include "probes/scope/survey.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct scope_state {
    sw_lines *lines;
    sw_scope_layout layout;
    sw_scope_survey survey;
    size_t channels;
    size_t column[SW_CHANNEL_LIMIT]; /* of each channel, index into layout.column */
    double scale[SW_CHANNEL_LIMIT];  /* to volts */
    bool ended;
} scope_state;

static bool recognise(const char *path, const unsigned char *head, size_t length) {
    (void)path;
    return sw_text_likely(head, length);
}

/* ---- description ---- */

static sw_scope_unit unit_of(const sw_scope_layout *layout, const sw_scope_column *column) {
    return column->unit.dimension == SW_DIMENSION_NONE ? layout->facts.unit : column->unit;
}

static bool is_repeated(const sw_probe_description *description, const char *name) {
    for (size_t c = 0; c < description->channels; c++)
        if (strcmp(description->channel[c].name, name) == 0)
            return true;
    return false;
}

static void name_channel(const scope_state *state, const sw_scope_column *column,
                         const sw_probe_description *description, char *out, size_t room) {
    const char *name = column->name;
    if (name[0] == '\0' && state->channels == 1)
        name = state->layout.facts.source;
    if (name[0] == '\0')
        snprintf(out, room, "channel %zu", description->channels + 1);
    else if (is_repeated(description, name))
        snprintf(out, room, "%.40s %zu", name, description->channels + 1);
    else
        snprintf(out, room, "%s", name);
}

static void describe_channel(scope_state *state, size_t c, sw_probe_description *description) {
    const sw_scope_column *column = &state->layout.column[state->column[c]];
    sw_scope_unit unit = unit_of(&state->layout, column);
    sw_probe_channel *channel = &description->channel[c];
    bool guessed = unit.dimension == SW_DIMENSION_NONE;
    char name[SW_CHANNEL_NAME_ROOM];
    char unit_name[32];
    sw_unit_name(&unit, unit_name, sizeof unit_name);
    name_channel(state, column, description, name, sizeof name);
    snprintf(channel->name, sizeof channel->name, "%s", name);
    snprintf(channel->unit, sizeof channel->unit, "%s", guessed ? "V" : unit.base);
    state->scale[c] = unit.scale;
    channel->step = state->survey.step[state->column[c]] * unit.scale;
    description->channels++;
    sw_text_add(&description->notes, "channel %zu: column %zu, \"%s\", ", c + 1, column->cell + 1,
                name);
    if (guessed)
        sw_text_add(&description->notes, "no unit, taken as V\n");
    else
        sw_text_add(&description->notes, "in %s\n", unit_name);
}

static void note_layout(const scope_state *state, sw_text *notes) {
    const sw_scope_layout *layout = &state->layout;
    sw_text_add(notes, "scope file: %s, cells separated by %s, decimal %s; values from line %ld\n",
                sw_lines_encoding(state->lines), sw_delimiter_name(layout->dialect.delimiter),
                layout->dialect.decimal == ',' ? "comma" : "point", layout->first_line);
    for (size_t c = 0; c < layout->columns; c++) {
        const sw_scope_column *column = &layout->column[c];
        size_t number = column->cell + 1;
        bool timed = column->unit.dimension == SW_DIMENSION_TIME;
        char unit_name[32];
        sw_unit_name(&column->unit, unit_name, sizeof unit_name);
        if (column->role == SW_ROLE_TIME)
            sw_text_add(notes, "time: column %zu, in %s\n", number,
                        timed ? unit_name : "s (no unit given)");
        if (column->role == SW_ROLE_INDEX)
            sw_text_add(notes, "column %zu numbers the rows\n", number);
        if (column->role == SW_ROLE_TIME_COPY)
            sw_text_add(notes, "column %zu repeats the time\n", number);
        if (column->role == SW_ROLE_MATH)
            sw_text_add(notes, "column %zu (\"%s\") was calculated by the scope; left out\n",
                        number, column->name);
    }
    if (layout->time < 0)
        sw_text_add(notes, "no column of times\n");
}

static void note_rows(const scope_state *state, sw_text *notes) {
    const sw_scope_survey *survey = &state->survey;
    double promised = state->layout.facts.count;
    if (survey->torn_end)
        sw_text_add(notes, "line %ld: the file stops in the middle of it; left out\n",
                    survey->end_line);
    else if (survey->end_line > 0)
        sw_text_add(notes, "line %ld: no values from here to the end; left out\n",
                    survey->end_line);
    if (survey->blank > 0)
        sw_text_add(notes, "%zu empty line%s passed over\n", survey->blank,
                    survey->blank == 1 ? "" : "s");
    if (promised > 0 && promised != (double)survey->rows)
        sw_text_add(notes, "the header promises %.0f rows, found %zu\n", promised, survey->rows);
}

static void pick_channels(scope_state *state) {
    for (size_t c = 0; c < state->layout.columns; c++)
        if (state->layout.column[c].role == SW_ROLE_CHANNEL && state->channels < SW_CHANNEL_LIMIT)
            state->column[state->channels++] = c;
}

static sw_status describe(scope_state *state, double asked_hz, sw_probe_description *description,
                          sw_error *error) {
    sw_scope_rate rate;
    note_layout(state, &description->notes);
    sw_status status =
        sw_scope_find_rate(&state->layout, &state->survey, asked_hz, sw_lines_name(state->lines),
                           &rate, &description->notes, error);
    if (status != SW_OK)
        return status;
    description->rate_hz = rate.rate_hz;
    description->rate_u_hz = rate.rate_u_hz;
    description->start_s = rate.start_s;
    description->frames = (int64_t)state->survey.rows;
    description->coupling = SW_COUPLING_DC;
    pick_channels(state);
    for (size_t c = 0; c < state->channels; c++)
        describe_channel(state, c, description);
    note_rows(state, &description->notes);
    return SW_OK;
}

/* ---- opening ---- */

static sw_status find_layout(scope_state *state, double asked_hz, sw_error *error) {
    sw_line_list sample;
    const char *name = sw_lines_name(state->lines);
    sw_status status = sw_line_list_read(state->lines, SW_SCOPE_SAMPLE_LINES, &sample, error);
    if (status != SW_OK)
        return status;
    status = sw_scope_find_grid(&sample, name, &state->layout, error);
    if (status == SW_OK)
        status = sw_scope_read_header(&sample, name, &state->layout, error);
    if (status == SW_OK)
        status = sw_scope_find_roles(&sample, name, asked_hz, &state->layout, error);
    sw_line_list_free(&sample);
    return status;
}

static sw_status survey(scope_state *state, sw_error *error) {
    sw_status status = sw_scope_survey_run(state->lines, &state->layout, &state->survey, error);
    if (status == SW_OK && state->survey.rows < 2)
        return sw_fail(error, SW_TOO_SHORT, "%s: found %zu row of values, expected at least 2",
                       sw_lines_name(state->lines), state->survey.rows);
    return status;
}

static void close_scope(void *state) {
    scope_state *scope = state;
    sw_lines_close(scope->lines);
    free(scope);
}

static sw_status open_scope(const sw_probe_request *request, sw_source *source, void **state,
                            sw_probe_description *description, sw_error *error) {
    scope_state *fresh = calloc(1, sizeof *fresh);
    if (fresh == NULL)
        return sw_fail(error, SW_MEMORY, "%s: not enough memory", sw_source_name(source));
    sw_status status = sw_lines_open(source, &fresh->lines, error);
    if (status == SW_OK)
        status = find_layout(fresh, request->rate_hz, error);
    if (status == SW_OK)
        status = survey(fresh, error);
    if (status == SW_OK)
        status = describe(fresh, request->rate_hz, description, error);
    if (status == SW_OK)
        *state = fresh;
    else
        close_scope(fresh);
    return status;
}

/* ---- reading ---- */

static sw_status next_row(scope_state *state, double *values, bool *more, sw_error *error) {
    sw_line line;
    sw_row_kind kind = SW_ROW_BLANK;
    sw_status status = SW_OK;
    *more = !state->ended;
    while (*more && status == SW_OK && kind != SW_ROW_VALUES) {
        status = sw_lines_next(state->lines, &line, more, error);
        if (status != SW_OK || !*more)
            return status;
        if (line.number < state->layout.first_line)
            continue;
        if (line.number == state->survey.end_line) {
            state->ended = true;
            *more = false;
            return SW_OK;
        }
        status = sw_scope_read_row(&state->layout, sw_lines_name(state->lines), &line, values,
                                   &kind, error);
    }
    return status;
}

static sw_status read_scope(void *state, double *block, size_t frames, size_t *got,
                            sw_error *error) {
    scope_state *scope = state;
    double values[SW_SCOPE_COLUMN_LIMIT];
    bool more = true;
    for (*got = 0; *got < frames; (*got)++) {
        sw_status status = next_row(scope, values, &more, error);
        if (status != SW_OK)
            return status;
        if (!more)
            break;
        for (size_t c = 0; c < scope->channels; c++)
            block[*got * scope->channels + c] = values[scope->column[c]] * scope->scale[c];
    }
    return SW_OK;
}

const sw_probe_kind SW_PROBE_SCOPE_FILE = {
    .name = "scope file",
    .describes = "CSV from an oscilloscope or logger; the layout is found by looking",
    .recognise = recognise,
    .open = open_scope,
    .read = read_scope,
    .close = close_scope,
};
