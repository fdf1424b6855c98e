/* A scripted live input into a file: what was fed is in the file, bit by bit, whatever happened,
 * and the log says what happened. */
#include "tests/support.h"

#include "probes/capture/recorder.h"
#include "shared/files.h"
#include "shared/platform.h"
#include "tests/probes/capture/support_script.h"

#include <math.h>
#include <sndfile.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { RATE_HZ = 48000 };

/* Record what the script gives; with `look` the caller looks on as it should. */
static sw_status record(const script *about, const sw_recorder_request *wanted, bool look,
                        sw_recording_log *log, sw_error *error) {
    sw_recorder_request request = *wanted;
    sw_recorder *recorder = NULL;
    sw_capture_news news;
    int32_t *frames = malloc(SW_CAPTURE_BLOCK_FRAMES * about->channels * sizeof *frames);
    request.capture = script_open(about);
    sw_status status = sw_recorder_start(&request, &recorder, error);
    if (status == SW_OK) {
        while (look && sw_recorder_watch(recorder, 0.05, frames, &news))
            continue;
        status = sw_recorder_finish(recorder, log, error);
    }
    sw_capture_close(request.capture);
    free(frames);
    return status;
}

/* The file holds frames `from` .. of the script, so many; 24 bits of each sample. */
static void assert_file(const char *path, size_t channels, int64_t frames) {
    SF_INFO info = {0};
    SNDFILE *file = sf_open(path, SFM_READ, &info);
    assert_non_null(file);
    assert_int_equal(info.samplerate, RATE_HZ);
    assert_int_equal(info.channels, channels);
    assert_int_equal(info.frames, frames);
    assert_int_equal(info.format & SF_FORMAT_SUBMASK, SF_FORMAT_PCM_24);
    int *samples = malloc((size_t)frames * channels * sizeof *samples);
    assert_int_equal(sf_readf_int(file, samples, frames), frames);
    size_t wrong = 0;
    for (int64_t i = 0; i < frames; i++)
        for (size_t c = 0; c < channels; c++) {
            uint32_t fed = (uint32_t)script_sample(i, c) & 0xFFFFFF00U;
            wrong += (uint32_t)samples[(size_t)i * channels + c] != fed;
        }
    assert_int_equal(wrong, 0);
    free(samples);
    sf_close(file);
}

static void read_log(const char *recording, sw_recording_log *log) {
    char path[512];
    cJSON *root = NULL;
    sw_units *units = NULL;
    sw_error error = {SW_OK, ""};
    assert_ok(sw_recording_log_path(recording, path, sizeof path, &error), &error);
    assert_ok(sw_json_read(path, &root, &error), &error);
    assert_ok(sw_units_new(&units, &error), &error);
    sw_node top = sw_node_top(root, path, units);
    assert_ok(sw_recording_log_read(&top, log, &error), &error);
    sw_units_free(units);
    cJSON_Delete(root);
}

static const script TWO_SECONDS = {
    RATE_HZ, 2, 2, {{.frames = RATE_HZ}, {.frames = RATE_HZ, .pause_s = 0.1}}, false, false};

static void to_the_frame(void **state) {
    (void)state;
    static const char *const NAMES[] = {"length.wav", "length.flac"};
    for (size_t i = 0; i < 2; i++) {
        const char *path = support_at(NAMES[i]);
        sw_recording_log log;
        sw_error error = {SW_OK, ""};
        sw_recorder_request wanted = {.path = path, .frames = 70001};
        assert_ok(record(&TWO_SECONDS, &wanted, true, &log, &error), &error);
        assert_file(path, 2, 70001);
        assert_int_equal(log.frames, 70001);
        assert_int_equal(log.end, SW_END_LENGTH);
        sw_recording_log saved;
        read_log(path, &saved);
        assert_int_equal(saved.frames, 70001);
        assert_int_equal(saved.end, SW_END_LENGTH);
        assert_int_equal(saved.events, 0);
        assert_string_equal(saved.input.device, "script");
        assert_string_equal(saved.started, log.started);
    }
}

/* One channel of 24 bits and an odd number of frames: the pad byte is no sample. */
static void an_odd_length(void **state) {
    (void)state;
    const char *path = support_at("odd.wav");
    sw_recording_log log;
    sw_error error = {SW_OK, ""};
    script about = TWO_SECONDS;
    about.channels = 1;
    sw_recorder_request wanted = {.path = path, .frames = 1001};
    assert_ok(record(&about, &wanted, true, &log, &error), &error);
    assert_file(path, 1, 1001);
}

/* Nobody looks on: the recording does not wait. Far more frames than the copies have room for. */
static void nobody_looks_on(void **state) {
    (void)state;
    const char *path = support_at("alone.wav");
    sw_recording_log log;
    sw_error error = {SW_OK, ""};
    script about = {RATE_HZ, 2, 1, {{.frames = 20 * RATE_HZ}}, false, false};
    sw_recorder_request wanted = {.path = path, .frames = 20 * RATE_HZ};
    assert_ok(record(&about, &wanted, false, &log, &error), &error);
    assert_file(path, 2, 20 * RATE_HZ);
}

static void asked_to_stop(void **state) {
    (void)state;
    const char *path = support_at("asked.wav");
    sw_recording_log log;
    sw_error error = {SW_OK, ""};
    sw_capture_news news;
    int32_t frames[2 * SW_CAPTURE_BLOCK_FRAMES];
    sw_recorder *recorder = NULL;
    int64_t seen = 0;
    sw_recorder_request request = {.path = path, .capture = script_open(&TWO_SECONDS)};
    assert_ok(sw_recorder_start(&request, &recorder, &error), &error);
    while (sw_recorder_watch(recorder, 0.05, frames, &news)) {
        assert_int_equal(news.first, seen);
        for (size_t i = 0; i < news.frames; i++)
            assert_int_equal(frames[2 * i + 1], script_sample(seen + (int64_t)i, 1));
        seen += (int64_t)news.frames;
        if (seen == 2 * RATE_HZ)
            sw_recorder_stop(recorder);
    }
    assert_ok(sw_recorder_finish(recorder, &log, &error), &error);
    sw_capture_close(request.capture);
    assert_int_equal(seen, 2 * RATE_HZ);
    assert_int_equal(log.end, SW_END_ASKED);
    assert_file(path, 2, 2 * RATE_HZ);
}

static void events_are_kept(void **state) {
    (void)state;
    const char *path = support_at("events.wav");
    sw_recording_log log;
    sw_recording_log saved;
    sw_error error = {SW_OK, ""};
    script about = {.rate_hz = RATE_HZ,
                    .channels = 1,
                    .steps = 4,
                    .step = {{.frames = 1000},
                             {200, 0, {SW_CAPTURE_OVERRUN, 0, 0, 480}, true},
                             {300, 0, {SW_CAPTURE_OVERRUN, 0, 0, NAN}, true},
                             {0, 0, {SW_CAPTURE_ENDED, 0, 0, NAN}, true}}};
    sw_recorder_request wanted = {.path = path};
    assert_ok(record(&about, &wanted, true, &log, &error), &error);
    assert_file(path, 1, 1500);
    read_log(path, &saved);
    assert_int_equal(saved.end, SW_END_INPUT);
    assert_int_equal(saved.count[SW_CAPTURE_OVERRUN], 2);
    assert_close(saved.lost, 480, 0);
    assert_true(saved.lost_is_least);
    assert_int_equal(saved.events, 3);
    assert_int_equal(saved.event[0].frame, 1000);
    assert_close(saved.event[0].value, 480, 0);
    assert_int_equal(saved.event[1].frame, 1200);
    assert_true(isnan(saved.event[1].value));
}

/* What was lost behind the last recorded frame is no loss, and leaves no doubt behind. */
static void a_trimmed_log_has_no_doubt_left(void **state) {
    (void)state;
    sw_recording_log log = {.rate_hz = NAN, .rate_u_hz = NAN, .frames = 1000};
    sw_recording_log_add(&log, &(sw_capture_event){SW_CAPTURE_OVERRUN, 400, 0, 30});
    sw_recording_log_add(&log, &(sw_capture_event){SW_CAPTURE_OVERRUN, 1200, 0, NAN});
    assert_true(log.lost_is_least);
    sw_recording_log_trim(&log);
    assert_false(log.lost_is_least);
    assert_int_equal(log.count[SW_CAPTURE_OVERRUN], 1);
    assert_close(log.lost, 30, 0);
    sw_recording_log_add(&log, &(sw_capture_event){SW_CAPTURE_OVERRUN, 500, 0, NAN});
    sw_recording_log_trim(&log);
    assert_true(log.lost_is_least); /* this one is inside */
}

static void unplugged(void **state) {
    (void)state;
    const char *path = support_at("gone.wav");
    sw_recording_log log;
    sw_error error = {SW_OK, ""};
    script about = {.rate_hz = RATE_HZ,
                    .channels = 2,
                    .steps = 2,
                    .step = {{.frames = 30000}, {0, 0, {SW_CAPTURE_GONE, 0, 0, NAN}, true}}};
    sw_recorder_request wanted = {.path = path};
    assert_int_equal(record(&about, &wanted, true, &log, &error), SW_DEVICE);
    assert_non_null(strstr(error.message, "unplugged"));
    assert_int_equal(log.end, SW_END_GONE);
    assert_file(path, 2, 30000);
}

/* Noticed within a second; it goes on when the device does, and ends when it does not. */
static void stalled(void **state) {
    (void)state;
    const char *path = support_at("stall.wav");
    sw_recording_log log;
    sw_error error = {SW_OK, ""};
    script about = {.rate_hz = RATE_HZ,
                    .channels = 2,
                    .steps = 2,
                    .step = {{.frames = 30000}, {.frames = 5000, .pause_s = 2}}};
    sw_recorder_request wanted = {.path = path};
    double from_s = sw_platform_seconds();
    assert_int_equal(record(&about, &wanted, true, &log, &error), SW_DEVICE);
    /* two stalls, the second given up: 6 s by themselves, and a busy machine's delays */
    assert_true(sw_platform_seconds() - from_s < 20);
    assert_int_equal(log.end, SW_END_STALLED);
    assert_file(path, 2, 35000);
    assert_int_equal(log.events, 3);
    assert_int_equal(log.event[0].kind, SW_CAPTURE_STALLED);
    assert_int_equal(log.event[0].frame, 30000);
    assert_true(log.event[0].value < 2); /* said while it lasted; 0.8 s on an idle machine */
    assert_int_equal(log.event[1].kind, SW_CAPTURE_RESUMED);
    assert_int_equal(log.event[2].kind, SW_CAPTURE_STALLED);
    assert_int_equal(log.event[2].frame, 35000);
}

static void dead_silence(void **state) {
    (void)state;
    const char *path = support_at("silent.wav");
    sw_recording_log log;
    sw_error error = {SW_OK, ""};
    script about = TWO_SECONDS;
    about.constant = true;
    sw_recorder_request wanted = {.path = path, .frames = 2 * RATE_HZ};
    assert_ok(record(&about, &wanted, true, &log, &error), &error);
    assert_int_equal(log.events, 1);
    assert_int_equal(log.event[0].kind, SW_CAPTURE_SILENT);
    assert_int_equal(log.event[0].channel, 0);
    assert_true(log.event[0].frame <= RATE_HZ);
}

/* ---- names that are taken, and nothing at all ---- */

static void write_text(const char *path, const char *text) {
    assert_int_equal(sw_file_save(path, text, strlen(text), false, NULL), SW_OK);
}

static void assert_text(const char *path, const char *text) {
    char *data = NULL;
    size_t length = 0;
    assert_int_equal(sw_file_read(path, 1000, &data, &length, NULL), SW_OK);
    assert_string_equal(data, text);
    free(data);
}

static void never_overwrites(void **state) {
    (void)state;
    const char *path = support_at("taken.wav");
    const char *beside = support_at("taken.wav.json");
    sw_recording_log log;
    sw_error error = {SW_OK, ""};
    sw_recorder_request wanted = {.path = path, .frames = 1000};
    write_text(path, "dear");
    assert_int_equal(sw_recorder_check(path, &error), SW_EXISTS);
    assert_int_equal(record(&TWO_SECONDS, &wanted, true, &log, &error), SW_EXISTS);
    assert_text(path, "dear");
    assert_false(sw_file_exists(beside));
    sw_platform_remove(path);
    write_text(beside, "also dear");
    assert_int_equal(sw_recorder_check(path, &error), SW_EXISTS);
    assert_int_equal(record(&TWO_SECONDS, &wanted, true, &log, &error), SW_EXISTS);
    assert_text(beside, "also dear");
    assert_false(sw_file_exists(path));
}

static void bad_names(void **state) {
    (void)state;
    const char *path = support_at("no/such/folder.wav");
    sw_error error = {SW_OK, ""};
    assert_int_equal(sw_recorder_check("rec.mp3", &error), SW_USAGE);
    assert_int_equal(sw_recorder_check(".wav", &error), SW_USAGE);
    sw_recording_log log;
    sw_recorder_request wanted = {.path = path, .frames = 1000};
    assert_int_equal(record(&TWO_SECONDS, &wanted, true, &log, &error), SW_IO);
}

static void nothing_leaves_nothing(void **state) {
    (void)state;
    const char *path = support_at("nothing.wav");
    const char *beside = support_at("nothing.wav.json");
    sw_recording_log log;
    sw_error error = {SW_OK, ""};
    script about = {.rate_hz = RATE_HZ,
                    .channels = 2,
                    .steps = 1,
                    .step = {{0, 0, {SW_CAPTURE_GONE, 0, 0, NAN}, true}}};
    sw_recorder_request wanted = {.path = path};
    assert_int_equal(record(&about, &wanted, true, &log, &error), SW_DEVICE);
    assert_false(sw_file_exists(path) || sw_file_exists(beside));
    about.start_fails = true;
    assert_int_equal(record(&about, &wanted, true, &log, &error), SW_DEVICE);
    assert_false(sw_file_exists(path) || sw_file_exists(beside));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(to_the_frame),    cmocka_unit_test(an_odd_length),
        cmocka_unit_test(nobody_looks_on), cmocka_unit_test(asked_to_stop),
        cmocka_unit_test(events_are_kept), cmocka_unit_test(a_trimmed_log_has_no_doubt_left),
        cmocka_unit_test(unplugged),       cmocka_unit_test(stalled),
        cmocka_unit_test(dead_silence),    cmocka_unit_test(never_overwrites),
        cmocka_unit_test(bad_names),       cmocka_unit_test(nothing_leaves_nothing)};
    return cmocka_run_group_tests(tests, support_folder_setup, support_folder_teardown);
}
