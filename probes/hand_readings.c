/* Hand readings as a probe: the table itself, and its columns as channels with rate 0. */
#include "probes/kinds.h"
#include "probes/readings_table.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { HEADER_LINES = 40 };

typedef struct hand_state {
    sw_readings readings;
    size_t columns;
    sw_reading_column column[SW_READING_COLUMNS]; /* those that hold a value anywhere */
    size_t at;
} hand_state;

/* One of the first lines is a row of such names. */
static bool recognise(const char *path, const unsigned char *head, size_t length) {
    (void)path;
    const char *text = (const char *)head;
    char delimiter = 0;
    if (!sw_text_likely(head, length))
        return false;
    if (length >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0) {
        text += 3;
        length -= 3;
    }
    for (int i = 0; i < HEADER_LINES && length > 0; i++) {
        size_t width = 0;
        while (width < length && text[width] != '\n' && text[width] != '\r')
            width++;
        if (width > 0 && text[0] != '#' && sw_readings_is_header(text, width, &delimiter))
            return true;
        width += width < length;
        text += width;
        length -= width;
    }
    return false;
}

static bool is_filled(const sw_readings *readings, sw_reading_column column) {
    for (size_t i = 0; i < readings->count; i++)
        if (!isnan(sw_reading_value(&readings->reading[i], column)))
            return true;
    return false;
}

static void describe(hand_state *state, sw_probe_description *description) {
    for (int c = 0; c < SW_READING_COLUMNS; c++) {
        sw_reading_column column = (sw_reading_column)c;
        if (!is_filled(&state->readings, column))
            continue;
        sw_probe_channel *channel = &description->channel[state->columns];
        snprintf(channel->name, sizeof channel->name, "%s", sw_unit_noun(sw_reading_unit(column)));
        snprintf(channel->unit, sizeof channel->unit, "%s", sw_reading_unit(column));
        state->column[state->columns++] = column;
    }
    description->channels = state->columns;
    description->frames = (int64_t)state->readings.count;
    sw_text_add(&description->notes, "%zu readings; meter: %s%s\n", state->readings.count,
                sw_meter_name(state->readings.meter),
                state->readings.meter_said ? "" : " (not said, the usual one taken)");
}

static void close_hand(void *state) {
    hand_state *hand = state;
    sw_readings_free(&hand->readings);
    free(hand);
}

static sw_status open_hand(const sw_probe_request *request, sw_source *source, void **state,
                           sw_probe_description *description, sw_error *error) {
    hand_state *fresh = calloc(1, sizeof *fresh);
    sw_lines *lines = NULL;
    if (fresh == NULL)
        return sw_fail(error, SW_MEMORY, "%s: not enough memory", sw_source_name(source));
    sw_status status = sw_lines_open(source, &lines, error);
    if (status == SW_OK)
        status =
            sw_readings_parse(lines, request->units, &fresh->readings, &description->notes, error);
    sw_lines_close(lines);
    if (status == SW_OK) {
        describe(fresh, description);
        *state = fresh;
    } else {
        close_hand(fresh);
    }
    return status;
}

static sw_status read_hand(void *state, double *block, size_t frames, size_t *got,
                           sw_error *error) {
    hand_state *hand = state;
    (void)error;
    for (*got = 0; *got < frames && hand->at < hand->readings.count; (*got)++, hand->at++)
        for (size_t c = 0; c < hand->columns; c++)
            block[*got * hand->columns + c] =
                sw_reading_value(&hand->readings.reading[hand->at], hand->column[c]);
    return SW_OK;
}

static const sw_readings *readings_of(const void *state) {
    return &((const hand_state *)state)->readings;
}

const sw_probe_kind SW_PROBE_HAND_READINGS = {
    .name = "hand readings",
    .describes = "a table of rpm or hertz, volts and perhaps amps or a resistor, written by hand",
    .recognise = recognise,
    .open = open_hand,
    .read = read_hand,
    .close = close_hand,
    .readings = readings_of,
};
