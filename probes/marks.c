#include "probes/marks.h"

#include "probes/capture/recording_log.h"
#include "shared/files.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A gap stands at the callback that told it, one buffer early or late. */
static const double MARGIN_S = 0.1;
static const double LEAST_PIECE_S = 0.5;

static void add_gap(sw_marks *marks, double at_s) {
    size_t i = marks->gaps;
    if (i == SW_MARK_LIMIT)
        return;
    for (; i > 0 && marks->gap_s[i - 1] > at_s; i--)
        marks->gap_s[i] = marks->gap_s[i - 1];
    marks->gap_s[i] = at_s;
    marks->gaps++;
}

/* The list of events may be full, or shortened: losses behind its last one have no place. */
static void mind_untold(const sw_recording_log *log, size_t listed, double rate_hz,
                        sw_marks *marks) {
    double told_s = log->events > 0 ? (double)log->event[log->events - 1].frame / rate_hz : 0;
    if (log->count[SW_CAPTURE_OVERRUN] + log->count[SW_CAPTURE_RESUMED] <= listed)
        return;
    marks->told_s = marks->some_untold ? fmin(marks->told_s, told_s) : told_s;
    marks->some_untold = true;
}

static void take_log(const sw_recording_log *log, double asked_hz, sw_marks *marks) {
    double rate_hz = asked_hz > 0 ? asked_hz : log->input.rate_hz;
    marks->overruns += log->count[SW_CAPTURE_OVERRUN];
    marks->stalls += log->count[SW_CAPTURE_RESUMED];
    marks->lost_s += log->lost / rate_hz;
    marks->lost_is_least = marks->lost_is_least || log->lost_is_least;
    size_t listed = 0;
    for (size_t i = 0; i < log->events; i++) {
        sw_capture_event_kind kind = log->event[i].kind;
        if (kind != SW_CAPTURE_OVERRUN && kind != SW_CAPTURE_RESUMED)
            continue;
        add_gap(marks, (double)log->event[i].frame / rate_hz);
        listed++;
    }
    mind_untold(log, listed, rate_hz, marks);
    if (asked_hz == 0 && sw_recording_log_wrong_rate(log)) {
        marks->wrong_rate = true;
        marks->rate_hz = log->rate_hz;
    }
}

static sw_status read_log(const char *path, const sw_units *units, sw_recording_log *log,
                          sw_error *error) {
    cJSON *root = NULL;
    sw_status status = sw_json_read(path, &root, error);
    if (status != SW_OK)
        return status;
    sw_node top = sw_node_top(root, path, units);
    status = sw_recording_log_read(&top, log, error);
    cJSON_Delete(root);
    return status;
}

void sw_marks_read(const char *path, double rate_hz, const sw_units *units, sw_marks *marks,
                   sw_text *notes) {
    char beside[SW_PATH_ROOM];
    sw_error error = {SW_OK, ""};
    bool piped = strcmp(path, "-") == 0;
    if (piped || units == NULL ||
        sw_recording_log_path(path, beside, sizeof beside, NULL) != SW_OK ||
        !sw_file_exists(beside))
        return;
    sw_recording_log *log = malloc(sizeof *log);
    if (log == NULL)
        return;
    if (read_log(beside, units, log, &error) == SW_OK)
        take_log(log, rate_hz, marks);
    else
        sw_text_add(notes, "%s: not taken for the recording's log: %s\n", beside, error.message);
    free(log);
}

/* ---- cutting ---- */

/* Between the gap before `next` (or the beginning) and `next` (or the end of what is known). */
static void piece(const sw_marks *marks, size_t next, double length_s, double *from_s,
                  double *to_s) {
    double known_s = marks->some_untold ? marks->told_s - MARGIN_S : length_s;
    *from_s = next == 0 ? 0 : marks->gap_s[next - 1] + MARGIN_S;
    *to_s = fmin(known_s, next == marks->gaps ? length_s : marks->gap_s[next] - MARGIN_S);
}

static void keep_piece(const sw_marks *marks, sw_waveform *waveform) {
    size_t from = (size_t)(marks->from_s * waveform->rate_hz);
    size_t to = (size_t)(marks->to_s * waveform->rate_hz);
    to = to < waveform->frames ? to : waveform->frames;
    for (size_t c = 0; c < waveform->channels; c++) {
        double *samples = waveform->channel[c].samples;
        memmove(samples, samples + from, (to - from) * sizeof *samples);
    }
    waveform->frames = to - from;
    waveform->start_s += (double)from / waveform->rate_hz;
}

void sw_marks_cut(sw_marks *marks, sw_waveform *waveform, sw_text *notes) {
    double length_s = (double)waveform->frames / waveform->rate_hz;
    double best_s = LEAST_PIECE_S;
    bool any = marks->gaps > 0 || marks->some_untold;
    for (size_t next = 0; any && next <= marks->gaps; next++) {
        double from_s = 0;
        double to_s = 0;
        piece(marks, next, length_s, &from_s, &to_s);
        if (to_s > length_s)
            to_s = length_s;
        if (to_s - from_s <= best_s)
            continue;
        best_s = to_s - from_s;
        marks->cut = true;
        marks->from_s = from_s;
        marks->to_s = to_s;
    }
    if (!marks->cut)
        return;
    keep_piece(marks, waveform);
    sw_text_add(notes,
                "samples are missing at %zu places; kept %.2f to %.2f s, the longest piece "
                "without a gap\n",
                marks->overruns + marks->stalls, marks->from_s, marks->to_s);
}
