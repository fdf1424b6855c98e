/* record: a live input -> a sound file and its log; led by --guide, a motor too. */
#include "probes/capture/simulated_motor.h"
#include "probes/simulate/writer.h"
#include "shared/json_write.h"
#include "src/cli/guide.h"
#include "src/cli/led_person.h"
#include "src/cli/record_watch.h"
#include "src/cli/record_wishes.h"
#include "src/report/recording_text.h"

#include <math.h>

static const double FAST = 20; /* --fast, times real life */

/* Everything of one call. */
typedef struct call {
    const sw_cli *cli;
    const sw_arguments *arguments;
    sw_record_wishes wishes;
    sw_guide guide;
    sw_led_person person; /* who is led, when the motor is simulated */
    sw_recording_log log;
    sw_sim_truth truth; /* of the simulated recording */
} call;

/* ---- while it runs ---- */

static void announce(const call *it, const sw_capture *capture, FILE *screen) {
    char input[400];
    sw_recording_input_say(sw_capture_describe(capture), input, sizeof input);
    sw_text text = {0};
    sw_text_paragraph(&text, 0, "Recording %s %s.", it->wishes.path, input);
    (void)fputs(sw_text_string(&text), screen);
    sw_text_free(&text);
    if (it->wishes.guide)
        (void)fprintf(screen, "Start the drill now, gently.\n");
    else if (it->wishes.until_stopped)
        (void)fprintf(screen, "It stops when the motor has coasted down, or on Ctrl-C.\n");
    else if (it->wishes.for_s == 0)
        (void)fprintf(screen, "Ctrl-C stops it.\n");
}

/* The simulated person sees the same meter. */
static sw_status show_person(call *it, const sw_capture_description *about, sw_error *error) {
    sw_live_request request;
    sw_status status =
        sw_record_live_request(it->cli, it->arguments, about, &it->guide, &request, error);
    return status == SW_OK ? sw_led_person_watch(&it->person, &request, error) : status;
}

/* With the meter on the screen. */
static sw_status record_watched(call *it, sw_record_call *record, FILE *screen, sw_error *error) {
    sw_record_watch watch;
    sw_capture *capture = record->request.capture;
    sw_status status =
        sw_record_watch_start(it->cli, it->arguments, sw_capture_describe(capture), screen,
                              it->wishes.guide ? &it->guide : NULL, &watch, error);
    if (status == SW_OK && it->wishes.guide && it->wishes.simulate)
        status = show_person(it, sw_capture_describe(capture), error);
    if (status != SW_OK) {
        sw_record_watch_end(&watch);
        return status;
    }
    (void)setvbuf(screen, NULL, _IOLBF, 0);
    announce(it, capture, screen);
    record->observer[record->observers++] = sw_record_watch_observer(&watch);
    status = sw_record_run(record, &it->log, error);
    sw_record_watch_end(&watch);
    return status;
}

static sw_status record(call *it, sw_capture *capture, FILE *screen, sw_error *error) {
    sw_record_call record = {.request = {.path = it->wishes.path,
                                         .capture = capture,
                                         .until_stopped = it->wishes.until_stopped}};
    double rate_hz = sw_capture_describe(capture)->rate_hz;
    record.request.frames = (int64_t)llrint(it->wishes.for_s * rate_hz);
    return it->cli->json ? sw_record_run(&record, &it->log, error)
                         : record_watched(it, &record, screen, error);
}

static sw_status open_input(call *it, sw_capture **capture, sw_error *error) {
    double pace = sw_argument_given(it->arguments, "--fast") ? FAST : 1;
    if (!it->wishes.simulate)
        return sw_sound_card_open(&it->wishes.card, capture, error);
    sw_simulated_person hands = sw_led_person_hands(&it->person);
    return sw_simulated_motor_open(&it->wishes.motor, pace, it->wishes.guide ? &hands : NULL,
                                   &it->truth, capture, error);
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
    sw_status status = sw_cli_print_text(&text, error);
    sw_text_free(&text);
    return status;
}

/* Beside the recording, as simulate writes it. */
static sw_status save_truth(const call *it, sw_error *error) {
    if (!it->wishes.simulate || it->log.frames == 0)
        return SW_OK;
    cJSON *root = sw_sim_truth_to_json(&it->truth);
    sw_status status = sw_json_save(root, it->wishes.truth, false, error);
    cJSON_Delete(root);
    return status;
}

static sw_status run_input(call *it, sw_error *error) {
    sw_capture *capture = NULL;
    sw_record_screen screen = sw_record_screen_open();
    sw_status status = open_input(it, &capture, error);
    if (status == SW_OK)
        status = record(it, capture, screen.stream, error);
    sw_capture_close(capture);
    sw_record_screen_close(&screen);
    sw_led_person_end(&it->person);
    sw_status kept = save_truth(it, status == SW_OK ? error : NULL);
    status = status == SW_OK ? kept : status;
    /* What a fault has left is told too, before the fault itself. */
    if (status != SW_OK && it->log.frames > 0 && !it->cli->json)
        (void)print_log(it->cli, &it->log, it->wishes.path, NULL);
    return status;
}

/* ---- led ---- */

/* A simulated person spins it as the guide was told. */
static sw_status lead_simulated(call *it, sw_error *error) {
    sw_quantity about = sw_quantity_unknown();
    sw_status status = SW_OK;
    if (it->guide.about[0] != '\0')
        status = sw_quantity_parse(it->cli->units, it->guide.about, "rpm", &about, error);
    if (status == SW_OK && sw_quantity_known(about))
        sw_simulated_motor_spin_at(&it->wishes.motor, about.value);
    sw_simulated_motor_be_led(&it->wishes.motor, it->wishes.hold_s,
                              it->guide.with_drill ? SW_SIM_COAST_DRILL : SW_SIM_COAST_FREE);
    it->person = sw_led_person_at(it->wishes.motor.spin.speed_rpm);
    return status;
}

/* Is there an input that can be opened? Better known before the checks than after them. */
static sw_status try_input(call *it, sw_error *error) {
    sw_capture *capture = NULL;
    char input[400];
    sw_record_screen screen = sw_record_screen_open();
    sw_status status = open_input(it, &capture, error);
    if (status == SW_OK) {
        sw_recording_input_say(sw_capture_describe(capture), input, sizeof input);
        sw_text text = {0};
        sw_text_paragraph(&text, 0, "It will be recorded %s.", input);
        (void)fputs(sw_text_string(&text), screen.stream);
        sw_text_free(&text);
    }
    sw_capture_close(capture);
    sw_record_screen_close(&screen);
    return status;
}

static void tell_of_truth(const call *it) {
    if (it->wishes.simulate)
        (void)fprintf(stderr, "What the simulated motor really is stands in %s.\n",
                      it->wishes.truth);
}

static sw_status run_led(call *it, sw_error *error) {
    bool go_on = false;
    it->guide =
        sw_guide_start(it->cli, it->arguments, it->wishes.simulate ? &it->wishes.motor : NULL,
                       it->wishes.simulate ? &it->person.speed_rpm : NULL);
    sw_status status = try_input(it, error);
    if (status == SW_OK)
        status = sw_guide_before(&it->guide, &go_on, error);
    if (status != SW_OK || !go_on)
        return status;
    if (it->wishes.simulate)
        status = lead_simulated(it, error);
    if (status == SW_OK)
        status = run_input(it, error);
    if (status != SW_OK)
        return status;
    (void)fprintf(stderr, "Recorded %.1f s in %s.\n",
                  (double)it->log.frames / it->log.input.rate_hz, it->wishes.path);
    it->guide.truth = it->wishes.simulate ? &it->truth : NULL;
    tell_of_truth(it);
    return sw_guide_after(&it->guide, it->wishes.path, it->log.input.channels, error);
}

static sw_status run(const sw_cli *cli, const sw_arguments *arguments, sw_error *error) {
    call it = {.cli = cli, .arguments = arguments};
    sw_status status = sw_record_wishes_from(cli, arguments, &it.wishes, error);
    if (status != SW_OK)
        return status;
    if (it.wishes.guide)
        return run_led(&it, error);
    status = run_input(&it, error);
    if (status == SW_OK)
        status = print_log(cli, &it.log, it.wishes.path, error);
    if (status == SW_OK && !cli->json)
        tell_of_truth(&it);
    return status;
}

const sw_command sw_command_record = {
    .name = "record",
    .summary = "record the spinning motor from a sound input",
    .usage = "spinworth record FILE.wav --guide [--probe FILE] [OPTIONS]\n"
             "       spinworth record FILE.wav [--input NAME] [--for TIME | --until-stopped]\n"
             "       spinworth record FILE.wav --simulate FAMILY [--guide] [OPTIONS]",
    .about = "The way for a newcomer is --guide: the checks before the first spin, the spin with\n"
             "a word at the right moment, and the motor measured and saved, in one command. A\n"
             "question may be answered by ? (don't know) or q (stop); Ctrl-C stops there at once\n"
             "and says what is kept. While it records, a line shows level, hertz, volts, how\n"
             "steady the speed is, and turns a minute once the pole pairs are known.\n"
             "\n"
             "Records a sound input into a new 24-bit file: .wav, or .flac (smaller). An old file\n"
             "is never overwritten. Ctrl-C stops it. What is lost on the way (a computer that was\n"
             "too slow, an input pulled out) is said at once and kept in FILE.wav.json, where\n"
             "measure reads it. A WAV stays readable whatever happens, with the last second\n"
             "missing at most; a FLAC of a recorder that was killed is read by measure, but not\n"
             "by every program.",
    .example = "  Led, with a calibrated probe:\n"
               "    spinworth record --guide drum.wav --probe probe.json\n"
               "  The same without hardware:\n"
               "    spinworth record --guide --simulate drum-48 drum.wav\n"
               "  By oneself:\n"
               "    spinworth inputs\n"
               "    spinworth record rec.wav --input 2 --until-stopped\n"
               "    spinworth measure rec.wav --probe probe.json --about 350rpm",
    .options = SW_RECORD_OPTIONS,
    .run = run,
};
