#include "probes/capture/recording_log.h"

#include "probes/capture/pace.h"

#include <limits.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

static const char *const END_NAMES[SW_END_COUNT + 1] = {
    [SW_END_OPEN] = "open",       [SW_END_ASKED] = "asked",     [SW_END_LENGTH] = "length",
    [SW_END_COASTED] = "coasted", [SW_END_INPUT] = "input_end", [SW_END_GONE] = "device_gone",
    [SW_END_STALLED] = "stalled", [SW_END_FULL] = "disk_full",  [SW_END_DISK] = "disk_fault",
    [SW_END_COUNT] = NULL,
};

static bool loses(sw_capture_event_kind kind) {
    return kind == SW_CAPTURE_OVERRUN || kind == SW_CAPTURE_RESUMED;
}

void sw_recording_log_add(sw_recording_log *log, const sw_capture_event *event) {
    if ((unsigned)event->kind >= SW_CAPTURE_EVENT_KINDS)
        return;
    log->count[event->kind]++;
    if (loses(event->kind) && isfinite(event->value))
        log->lost += event->value;
    else if (loses(event->kind))
        log->lost_is_least = true;
    if (log->events < SW_LOG_EVENT_LIMIT)
        log->event[log->events++] = *event;
}

void sw_recording_log_trim(sw_recording_log *log) {
    size_t kept = 0;
    bool all_listed = log->events < SW_LOG_EVENT_LIMIT;
    bool untold = false;
    for (size_t i = 0; i < log->events; i++) {
        const sw_capture_event *event = &log->event[i];
        if (loses(event->kind) && event->frame > log->frames) {
            log->count[event->kind]--;
            log->lost -= isfinite(event->value) ? event->value : 0;
        } else {
            untold = untold || (loses(event->kind) && !isfinite(event->value));
            log->event[kept++] = *event;
        }
    }
    log->events = kept;
    if (all_listed)
        log->lost_is_least = untold;
}

bool sw_recording_log_wrong_rate(const sw_recording_log *log) {
    return log->count[SW_CAPTURE_WRONG_RATE] > 0 &&
           sw_pace_differs(log->input.rate_hz, log->rate_hz, log->rate_u_hz);
}

sw_status sw_recording_log_path(const char *recording, char *out, size_t room, sw_error *error) {
    int length = snprintf(out, room, "%s.json", recording);
    if (length < 0 || (size_t)length >= room)
        return sw_fail(error, SW_USAGE, "%.60s...: the path is too long", recording);
    return SW_OK;
}

/* ---- writing ---- */

static const char *value_key(sw_capture_event_kind kind) {
    switch (kind) {
    case SW_CAPTURE_OVERRUN:
    case SW_CAPTURE_RESUMED:
        return "lost_frames";
    case SW_CAPTURE_STALLED:
        return "idle";
    case SW_CAPTURE_WRONG_RATE:
        return "rate";
    default:
        return NULL;
    }
}

static const char *value_unit(sw_capture_event_kind kind) {
    return kind == SW_CAPTURE_STALLED ? "s" : kind == SW_CAPTURE_WRONG_RATE ? "Hz" : NULL;
}

static const char *end_name(sw_recording_end end) {
    return (unsigned)end < SW_END_COUNT ? END_NAMES[end] : "open";
}

static cJSON *event_to_json(const sw_capture_event *event, double rate_hz) {
    cJSON *object = cJSON_CreateObject();
    const char *key = value_key(event->kind);
    const char *unit = value_unit(event->kind);
    sw_json_add_text(object, "kind", sw_capture_event_name(event->kind));
    sw_json_add_number(object, "frame", (double)event->frame);
    sw_json_add_quantity(object, "time", sw_quantity_of((double)event->frame / rate_hz, NAN, "s"));
    if (event->channel > 0)
        sw_json_add_number(object, "channel", (double)event->channel);
    if (key != NULL && unit != NULL)
        sw_json_add_quantity(object, key, sw_quantity_of(event->value, NAN, unit));
    else if (key != NULL)
        sw_json_add_number(object, key, event->value);
    return object;
}

static void add_input(cJSON *root, const sw_capture_description *input) {
    sw_json_add_text(root, "device", input->device);
    sw_json_add_text(root, "host", input->host);
    cJSON_AddBoolToObject(root, "simulated", input->simulated);
    cJSON_AddBoolToObject(root, "converted", input->converted);
    sw_json_add_number(root, "channels", (double)input->channels);
    sw_json_add_quantity(root, "rate", sw_quantity_of(input->rate_hz, NAN, "Hz"));
}

static void add_measured_rate(cJSON *root, const sw_recording_log *log) {
    sw_json_add_quantity(root, "rate_measured", sw_quantity_of(log->rate_hz, log->rate_u_hz, "Hz"));
    if (!isfinite(log->rate_hz))
        sw_json_add_unknown(root, "rate_measured",
                            log->input.simulated ? "the input is simulated, it has no clock"
                                                 : "too short to hold it against a clock");
}

/* Without its folder: both files move together. */
static const char *base_name(const char *path) {
    const char *slash = strrchr(path, '/');
    return slash != NULL ? slash + 1 : path;
}

cJSON *sw_recording_log_to_json(const sw_recording_log *log, const char *recording) {
    cJSON *root = sw_json_document("recording");
    sw_json_add_text(root, "file", base_name(recording));
    sw_json_add_text(root, "started", log->started);
    add_input(root, &log->input);
    add_measured_rate(root, log);
    sw_json_add_number(root, "frames", (double)log->frames);
    sw_json_add_text(root, "end", end_name(log->end));
    sw_json_add_number(root, "overruns", (double)log->count[SW_CAPTURE_OVERRUN]);
    sw_json_add_number(root, "lost_frames", log->lost);
    cJSON_AddBoolToObject(root, "lost_is_least", log->lost_is_least);
    cJSON *events = cJSON_AddArrayToObject(root, "events");
    for (size_t i = 0; i < log->events; i++)
        cJSON_AddItemToArray(events, event_to_json(&log->event[i], log->input.rate_hz));
    return root;
}

/* ---- reading ---- */

static const double FRAME_LIMIT = 9e15; /* what a double counts exactly */

static sw_status read_count(const sw_node *node, const char *key, int64_t *out, sw_error *error) {
    double value = (double)*out;
    sw_status status = sw_node_number(node, key, 0, FRAME_LIMIT, &value, error);
    *out = (int64_t)value;
    return status;
}

static sw_status read_value(const sw_node *node, sw_capture_event *event, sw_error *error) {
    const char *key = value_key(event->kind);
    const char *unit = value_unit(event->kind);
    event->value = NAN;
    if (key == NULL)
        return SW_OK;
    if (unit == NULL)
        return sw_node_number(node, key, 0, FRAME_LIMIT, &event->value, error);
    sw_quantity quantity = sw_quantity_unknown();
    sw_status status = sw_node_quantity(node, key, unit, &quantity, error);
    event->value = quantity.value;
    return status;
}

static sw_status read_event(const sw_node *node, sw_capture_event *event, sw_error *error) {
    static const char *const KEYS[] = {"kind",        "frame", "time", "channel",
                                       "lost_frames", "idle",  "rate", NULL};
    const char *words[SW_CAPTURE_EVENT_KINDS + 1] = {NULL};
    int kind = -1;
    int channel = 0;
    *event = (sw_capture_event){.value = NAN};
    for (int i = 0; i < SW_CAPTURE_EVENT_KINDS; i++)
        words[i] = sw_capture_event_name((sw_capture_event_kind)i);
    sw_status status = sw_node_allow(node, KEYS, error);
    if (status == SW_OK)
        status = sw_node_word(node, "kind", words, &kind, error);
    if (status == SW_OK && kind < 0)
        status = sw_node_need(node, "kind", "\"overrun\"", error);
    if (status == SW_OK)
        status = read_count(node, "frame", &event->frame, error);
    if (status == SW_OK)
        status = sw_node_integer(node, "channel", 1, SW_CHANNEL_LIMIT, &channel, error);
    if (status != SW_OK)
        return status;
    event->kind = (sw_capture_event_kind)kind;
    event->channel = (size_t)channel;
    return read_value(node, event, error);
}

static sw_status read_events(const sw_node *top, sw_recording_log *log, sw_error *error) {
    sw_node list;
    sw_status status = sw_node_array(top, "events", &list, error);
    size_t count = status == SW_OK && list.json != NULL ? sw_node_count(&list) : 0;
    for (size_t i = 0; i < count && status == SW_OK; i++) {
        sw_capture_event event;
        sw_node item = sw_node_item(&list, i);
        status = read_event(&item, &event, error);
        if (status == SW_OK)
            sw_recording_log_add(log, &event);
    }
    return status;
}

static sw_status read_texts(const sw_node *top, sw_recording_log *log, sw_error *error) {
    const char *device = "";
    const char *host = "";
    const char *started = "";
    sw_status status = sw_node_text(top, "device", &device, error);
    if (status == SW_OK)
        status = sw_node_text(top, "host", &host, error);
    if (status == SW_OK)
        status = sw_node_text(top, "started", &started, error);
    snprintf(log->input.device, sizeof log->input.device, "%s", device);
    snprintf(log->input.host, sizeof log->input.host, "%s", host);
    snprintf(log->started, sizeof log->started, "%s", started);
    return status;
}

static sw_status read_rates(const sw_node *top, sw_recording_log *log, sw_error *error) {
    sw_quantity claimed = sw_quantity_unknown();
    sw_quantity measured = sw_quantity_unknown();
    sw_status status = sw_node_need(top, "rate", "\"48000 Hz\"", error);
    if (status == SW_OK)
        status = sw_node_quantity_in(top, "rate", "Hz", 1, 1e9, &claimed, error);
    if (status == SW_OK)
        status = sw_node_quantity(top, "rate_measured", "Hz", &measured, error);
    log->input.rate_hz = claimed.value;
    log->rate_hz = measured.value;
    log->rate_u_hz = measured.u;
    return status;
}

static sw_status read_end(const sw_node *top, sw_recording_log *log, sw_error *error) {
    int channels = 1;
    int end = SW_END_OPEN;
    sw_status status = sw_node_integer(top, "channels", 1, SW_CHANNEL_LIMIT, &channels, error);
    if (status == SW_OK)
        status = sw_node_flag(top, "simulated", &log->input.simulated, error);
    if (status == SW_OK)
        status = sw_node_flag(top, "converted", &log->input.converted, error);
    if (status == SW_OK)
        status = read_count(top, "frames", &log->frames, error);
    if (status == SW_OK)
        status = sw_node_word(top, "end", END_NAMES, &end, error);
    log->input.channels = (size_t)channels;
    log->end = (sw_recording_end)end;
    return status;
}

/* The totals stand in the document too, because the list of events may be cut. */
static sw_status read_totals(const sw_node *top, sw_recording_log *log, sw_error *error) {
    int overruns = (int)log->count[SW_CAPTURE_OVERRUN];
    sw_status status = sw_node_integer(top, "overruns", 0, INT_MAX, &overruns, error);
    if (status == SW_OK)
        status = sw_node_number(top, "lost_frames", 0, FRAME_LIMIT, &log->lost, error);
    if (status == SW_OK)
        status = sw_node_flag(top, "lost_is_least", &log->lost_is_least, error);
    log->count[SW_CAPTURE_OVERRUN] = (size_t)overruns;
    return status;
}

sw_status sw_recording_log_read(const sw_node *top, sw_recording_log *log, sw_error *error) {
    static const char *const KEYS[] = {
        "document",  "version",     "file",          "started",       "device", "host", "channels",
        "simulated", "rate",        "converted",     "rate_measured", "frames", "end",  "events",
        "overruns",  "lost_frames", "lost_is_least", "unknown",       NULL};
    *log = (sw_recording_log){.rate_hz = NAN, .rate_u_hz = NAN};
    sw_status status = sw_node_expect_document(top, "recording", error);
    if (status == SW_OK)
        status = sw_node_allow(top, KEYS, error);
    if (status == SW_OK)
        status = read_texts(top, log, error);
    if (status == SW_OK)
        status = read_rates(top, log, error);
    if (status == SW_OK)
        status = read_end(top, log, error);
    if (status == SW_OK)
        status = read_events(top, log, error);
    return status == SW_OK ? read_totals(top, log, error) : status;
}
