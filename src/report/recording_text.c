#include "src/report/recording_text.h"

#include <math.h>
#include <stdio.h>

enum { SENTENCE_ROOM = 400, TIMES_SHOWN = 5 };

/* ---- events ---- */

static void which_channel(const sw_capture_event *event, char *out, size_t room) {
    if (event->channel == 0)
        snprintf(out, room, "the input");
    else
        snprintf(out, room, "channel %zu", event->channel);
}

static void lost_words(double frames, double rate_hz, char *out, size_t room) {
    if (isnan(frames))
        snprintf(out, room, "some samples are lost");
    else if (frames < 1)
        snprintf(out, room, "hardly a sample is lost");
    else
        snprintf(out, room, "about %.3g s are lost", frames / rate_hz);
}

void sw_recording_event_say(const sw_capture_event *event, const sw_capture_description *about,
                            char *out, size_t room) {
    char piece[80];
    double at_s = (double)event->frame / about->rate_hz;
    *out = '\0';
    switch (event->kind) {
    case SW_CAPTURE_OVERRUN:
        lost_words(event->value, about->rate_hz, piece, sizeof piece);
        snprintf(out, room, "overrun at %.2f s: the computer was too slow, %s", at_s, piece);
        break;
    case SW_CAPTURE_STALLED:
        snprintf(out, room, "nothing comes from %s since %.2f s: is it unplugged?", about->device,
                 at_s);
        break;
    case SW_CAPTURE_RESUMED:
        lost_words(event->value, about->rate_hz, piece, sizeof piece);
        snprintf(out, room, "it goes on; at %.2f s %s", at_s, piece);
        break;
    case SW_CAPTURE_SILENT:
        which_channel(event, piece, sizeof piece);
        snprintf(out, room, "%s is dead silent: muted, turned down to nothing, or the wrong input?",
                 piece);
        break;
    case SW_CAPTURE_HEARD:
        which_channel(event, piece, sizeof piece);
        snprintf(out, room, "%s gives something again", piece);
        break;
    case SW_CAPTURE_WRONG_RATE:
        snprintf(out, room,
                 "%.6g samples a second come, not %.6g as the input says: frequencies would be "
                 "wrong by %.2g %%",
                 event->value, about->rate_hz, 100 * fabs(event->value / about->rate_hz - 1));
        break;
    case SW_CAPTURE_GONE:
        snprintf(out, room, "%s is gone at %.2f s: unplugged?", about->device, at_s);
        break;
    default:
        break;
    }
}

void sw_recording_input_say(const sw_capture_description *about, char *out, size_t room) {
    snprintf(out, room, "from %s%s%s%s, %zu channel%s at %.6g Hz", about->device,
             *about->host != '\0' ? " (" : "", about->host, *about->host != '\0' ? ")" : "",
             about->channels, about->channels == 1 ? "" : "s", about->rate_hz);
}

/* ---- the result ---- */

static const char *end_words(sw_recording_end end) {
    static const char *const WORDS[SW_END_COUNT] = {
        [SW_END_COASTED] = ", until the motor stood still",
        [SW_END_INPUT] = ", to the end of the simulated spin",
        [SW_END_GONE] = ", until the input was unplugged or stopped working",
        [SW_END_STALLED] = ", until nothing more came from the input",
        [SW_END_FULL] = ", until the disk was almost full",
        [SW_END_DISK] = ", until the disk failed",
    };
    const char *words = (unsigned)end < SW_END_COUNT ? WORDS[end] : NULL;
    return words != NULL ? words : "";
}

static void add_times(const sw_recording_log *log, sw_capture_event_kind kind, sw_text *line) {
    size_t shown = 0;
    for (size_t i = 0; i < log->events && shown < TIMES_SHOWN; i++)
        if (log->event[i].kind == kind)
            sw_text_add(line, "%s%.2f s", shown++ > 0 ? ", " : "",
                        (double)log->event[i].frame / log->input.rate_hz);
    if (log->count[kind] > shown)
        sw_text_add(line, " ...");
}

static void add_losses(const sw_recording_log *log, sw_text *text) {
    sw_text line = {0};
    size_t overruns = log->count[SW_CAPTURE_OVERRUN];
    size_t stalls = log->count[SW_CAPTURE_STALLED];
    if (overruns > 0) {
        sw_text_add(&line, "%zu overrun%s (the computer was too slow) at ", overruns,
                    overruns == 1 ? "" : "s");
        add_times(log, SW_CAPTURE_OVERRUN, &line);
    }
    if (stalls > 0 && log->end != SW_END_STALLED) {
        sw_text_add(&line, "%sNothing came for a while at ", overruns > 0 ? ". " : "");
        add_times(log, SW_CAPTURE_STALLED, &line);
    }
    if (line.length == 0)
        return;
    sw_text_paragraph(text, 0,
                      "%s; %s%.3g s are missing there. Measuring keeps to the longest piece "
                      "without a gap: better record again.",
                      sw_text_string(&line), log->lost_is_least ? "at least " : "about ",
                      log->lost / log->input.rate_hz);
    sw_text_carry(&line, text);
}

/* Of a very short or broken recording the rate is known too badly to be worth a word. */
static const double USEFUL_U = 5e-4;

static void add_rate(const sw_recording_log *log, sw_text *text) {
    char sentence[SENTENCE_ROOM];
    if (sw_recording_log_wrong_rate(log)) {
        sw_capture_event event = {SW_CAPTURE_WRONG_RATE, 0, 0, log->rate_hz};
        sw_recording_event_say(&event, &log->input, sentence, sizeof sentence);
        sw_text_paragraph(text, 0, "By the computer's clock %s. Give measure --rate %.0f.",
                          sentence, log->rate_hz);
    } else if (log->rate_u_hz < USEFUL_U * log->rate_hz)
        sw_text_paragraph(text, 0, "Clock: %.7g \u00b1 %.1g Hz by the computer's.", log->rate_hz,
                          2 * fmax(log->rate_u_hz, 1e-5 * log->rate_hz));
}

static void add_silence(const sw_recording_log *log, sw_text *text) {
    if (log->count[SW_CAPTURE_SILENT] > log->count[SW_CAPTURE_HEARD])
        sw_text_paragraph(text, 0,
                          "It ends in dead silence: see that the input is not muted and that it is "
                          "the right one (spinworth inputs).");
}

void sw_recording_text(const sw_recording_log *log, const char *path, sw_text *text) {
    char input[SENTENCE_ROOM];
    sw_recording_input_say(&log->input, input, sizeof input);
    double seconds = (double)log->frames / log->input.rate_hz;
    if (log->frames == 0) {
        sw_text_paragraph(text, 0, "Nothing was recorded %s.", input);
        return;
    }
    sw_text_paragraph(text, 0, "%s: %.1f s %s%s.", path, seconds, input, end_words(log->end));
    add_losses(log, text);
    add_rate(log, text);
    add_silence(log, text);
    if (log->input.converted)
        sw_text_paragraph(
            text, 0,
            "The sound system may have resampled on the way; an input marked (hw:...) "
            "in spinworth inputs does not.");
    sw_text_paragraph(text, 0, "Next: spinworth measure %s --probe PROBE.json --about SPEED", path);
}

/* ---- the list of inputs ---- */

static void add_rates(const sw_input *input, sw_text *line) {
    if (input->converts) {
        sw_text_add(line, "any rate, through a converter; %g Hz is taken", input->usual_rate_hz);
        return;
    }
    for (size_t i = 0; i < input->rates; i++)
        sw_text_add(line, "%s%g", i > 0 ? ", " : "", input->rate_hz[i]);
    sw_text_add(line, " Hz");
}

static void add_input(const sw_input *input, sw_text *text) {
    sw_text line = {0};
    add_rates(input, &line);
    sw_text_paragraph(text, 5, "%3d  %s (%s)%s: up to %zu channel%s; %s", input->number,
                      input->name, input->host, input->is_default ? ", the default" : "",
                      input->channels, input->channels == 1 ? "" : "s", sw_text_string(&line));
    sw_text_carry(&line, text);
}

void sw_inputs_text(const sw_input_list *list, sw_text *text) {
    if (list->count == 0) {
        sw_text_paragraph(text, 0, "No sound input is there.");
        sw_text_paragraph(text, 0,
                          "Plug one in (a USB adapter with a line or microphone input will do) and "
                          "ask again; one that another program uses is not seen. To practise "
                          "without: spinworth record --simulate.");
        return;
    }
    sw_text_paragraph(text, 0, "%zu sound input%s:", list->count, list->count == 1 ? "" : "s");
    for (size_t i = 0; i < list->count; i++)
        add_input(&list->input[i], text);
    sw_text_paragraph(text, 0,
                      "Take one by its number or a part of its name, such as --input %d; without "
                      "--input the default is taken.",
                      list->input[0].number);
}

static cJSON *input_to_json(const sw_input *input) {
    cJSON *object = cJSON_CreateObject();
    sw_json_add_number(object, "number", input->number);
    sw_json_add_text(object, "name", input->name);
    sw_json_add_text(object, "host", input->host);
    cJSON_AddBoolToObject(object, "default", input->is_default);
    sw_json_add_number(object, "channels", (double)input->channels);
    cJSON *rates = cJSON_AddArrayToObject(object, "rates");
    for (size_t i = 0; i < input->rates; i++)
        cJSON_AddItemToArray(rates, sw_json_number(input->rate_hz[i]));
    sw_json_add_number(object, "usual_rate", input->usual_rate_hz);
    cJSON_AddBoolToObject(object, "converts", input->converts);
    return object;
}

cJSON *sw_inputs_to_json(const sw_input_list *list) {
    cJSON *root = sw_json_document("inputs");
    cJSON *units = cJSON_AddObjectToObject(root, "units");
    sw_json_add_text(units, "rates", "Hz");
    sw_json_add_text(units, "usual_rate", "Hz");
    cJSON *inputs = cJSON_AddArrayToObject(root, "inputs");
    for (size_t i = 0; i < list->count; i++)
        cJSON_AddItemToArray(inputs, input_to_json(&list->input[i]));
    return root;
}
