/* record: a live input -> a sound file and its log. */
#include "shared/number.h"
#include "shared/platform.h"
#include "src/cli/command.h"
#include "src/cli/record_loop.h"
#include "src/report/recording_text.h"

#include "probes/capture/sound_card.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const sw_option OPTIONS[] = {
    {"--input", "-i", "NAME|NUMBER", "the input, by a part of its name or by number"},
    {"--channels", NULL, "N", "how many channels; two when there are so many"},
    {"--rate", NULL, "HZ", "samples a second; what the input has of itself"},
    {"--for", NULL, "TIME", "stop after so long: 20s, '2 min'"},
    {"--until-stopped", NULL, NULL, "stop by itself when the motor has coasted down"},
    {0},
};

typedef struct wishes {
    const char *path;
    sw_sound_card_request card;
    double for_s; /* 0 = not said */
    bool until_stopped;
} wishes;

/* ---- options ---- */

static sw_status read_channels(const sw_arguments *arguments, size_t *channels, sw_error *error) {
    const char *text = sw_argument(arguments, "--channels");
    if (text == NULL)
        return SW_OK;
    char *end = NULL;
    long value = strtol(text, &end, 10);
    if (end == text || *end != '\0' || value < 1 || value > SW_CHANNEL_LIMIT)
        return sw_fail(error, SW_USAGE, "--channels: found \"%.20s\", expected 1 to %d", text,
                       SW_CHANNEL_LIMIT);
    *channels = (size_t)value;
    return SW_OK;
}

static sw_status read_rate(const sw_cli *cli, const sw_arguments *arguments, double *rate_hz,
                           sw_error *error) {
    sw_quantity rate = sw_quantity_of(0, NAN, "Hz");
    sw_status status =
        sw_argument_quantity_in(arguments, "--rate", "Hz", 1000, 1e6, cli->units, &rate, error);
    if (status == SW_OK && rate.value != rint(rate.value))
        return sw_fail(error, SW_USAGE, "--rate: found %.10g Hz, expected a whole number",
                       rate.value);
    *rate_hz = rate.value;
    return status;
}

static sw_status read_wishes(const sw_cli *cli, const sw_arguments *arguments, wishes *out,
                             sw_error *error) {
    *out = (wishes){.card = {.input = sw_argument(arguments, "--input")},
                    .until_stopped = sw_argument_given(arguments, "--until-stopped")};
    if (arguments->words != 1)
        return sw_fail(error, SW_USAGE, "expected one file to record into, such as rec.wav");
    out->path = arguments->word[0];
    sw_quantity length = sw_quantity_of(0, NAN, "s");
    sw_status status =
        sw_argument_quantity_in(arguments, "--for", "s", 0.1, 1e6, cli->units, &length, error);
    out->for_s = length.value;
    if (status == SW_OK)
        status = read_channels(arguments, &out->card.channels, error);
    if (status == SW_OK)
        status = read_rate(cli, arguments, &out->card.rate_hz, error);
    return status == SW_OK ? sw_recorder_check(out->path, error) : status;
}

/* ---- while it runs ---- */

static bool tell(void *user, const sw_capture_description *about, const int32_t *frames,
                 const sw_capture_news *news) {
    char sentence[400];
    (void)frames;
    for (size_t i = 0; i < news->events; i++) {
        sw_recording_event_say(&news->event[i], about, sentence, sizeof sentence);
        if (*sentence != '\0')
            (void)fprintf(user, "  %s\n", sentence);
    }
    return false;
}

static void announce(const wishes *wanted, const sw_capture *capture, FILE *screen) {
    char input[400];
    sw_recording_input_say(sw_capture_describe(capture), input, sizeof input);
    (void)fprintf(screen, "Recording %s %s.\n", wanted->path, input);
    if (wanted->until_stopped)
        (void)fprintf(screen, "It stops when the motor has coasted down, or on Ctrl-C.\n");
    else if (wanted->for_s == 0)
        (void)fprintf(screen, "Ctrl-C stops it.\n");
}

static sw_status record(const sw_cli *cli, const wishes *wanted, sw_capture *capture, FILE *screen,
                        sw_recording_log *log, sw_error *error) {
    sw_record_call call = {.request = {.path = wanted->path,
                                       .capture = capture,
                                       .until_stopped = wanted->until_stopped}};
    double rate_hz = sw_capture_describe(capture)->rate_hz;
    call.request.frames = (int64_t)llrint(wanted->for_s * rate_hz);
    if (!cli->json) {
        (void)setvbuf(screen, NULL, _IOLBF, 0);
        announce(wanted, capture, screen);
        call.observer[call.observers++] = (sw_record_observer){screen, tell};
    }
    return sw_record_run(&call, log, error);
}

/* ---- afterwards ---- */

static sw_status print_log(const sw_cli *cli, const sw_recording_log *log, const char *path,
                           sw_error *error) {
    if (cli->json) {
        cJSON *root = sw_recording_log_to_json(log, path);
        sw_status status = sw_cli_print_json(root, error);
        cJSON_Delete(root);
        return status;
    }
    sw_text text = {0};
    sw_recording_text(log, path, &text);
    sw_status status = sw_cli_print(sw_text_string(&text), error);
    sw_text_free(&text);
    return status;
}

static sw_status run(const sw_cli *cli, const sw_arguments *arguments, sw_error *error) {
    wishes wanted;
    sw_capture *capture = NULL;
    sw_recording_log log = {0};
    sw_status status = read_wishes(cli, arguments, &wanted, error);
    if (status != SW_OK)
        return status;
    sw_record_screen screen = sw_record_screen_open();
    status = sw_sound_card_open(&wanted.card, &capture, error);
    if (status == SW_OK)
        status = record(cli, &wanted, capture, screen.stream, &log, error);
    sw_capture_close(capture);
    sw_record_screen_close(&screen);
    if (status == SW_OK)
        return print_log(cli, &log, wanted.path, error);
    /* What a fault has left is told too, before the fault itself. */
    if (log.frames > 0 && !cli->json)
        (void)print_log(cli, &log, wanted.path, NULL);
    return status;
}

const sw_command sw_command_record = {
    .name = "record",
    .summary = "record the spinning motor from a sound input",
    .usage = "spinworth record FILE.wav [--input NAME] [--for TIME | --until-stopped]",
    .about = "Records a sound input into a new 24-bit file: .wav, or .flac (smaller). An old file\n"
             "is never overwritten. Ctrl-C stops it. What is lost on the way (a computer that was\n"
             "too slow, an input pulled out) is said at once and kept in FILE.wav.json, where\n"
             "measure reads it. A WAV stays readable whatever happens, with the last second\n"
             "missing at most; a FLAC of a recorder that was killed is read by measure, but not\n"
             "by every program.",
    .example = "  spinworth inputs\n"
               "  spinworth record rec.wav --input 2 --until-stopped\n"
               "  spinworth measure rec.wav --probe probe.json --about 350rpm",
    .options = OPTIONS,
    .run = run,
};
