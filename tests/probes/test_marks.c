/* A recorder's marks beside a sound file: gaps are cut out, doubts about the clock are told. */
#include "tests/support.h"

#include "probes/recording.h"
#include "shared/files.h"
#include "src/measure/marks.h"
#include "tests/probes/sound_maker.h"

#include <stdio.h>
#include <string.h>

enum { RATE_HZ = 1000, FRAMES = 10000 };

/* Ten seconds, each sample tells where it was; the log beside it when there is one. */
static void load(void **state, const char *log, double rate_hz, sw_recording *recording) {
    const char *path = support_at("a.wav");
    const char *beside = support_at("a.wav.json");
    static double samples[FRAMES];
    sw_error error = {SW_OK, ""};
    const char *paths[] = {path};
    sw_recording_request request = {
        .paths = paths, .count = 1, .rate_hz = rate_hz, .units = *state};
    for (size_t i = 0; i < FRAMES; i++)
        samples[i] = (double)i / 16384;
    assert_true(write_sound(path, SF_FORMAT_WAV | SF_FORMAT_FLOAT, RATE_HZ, 1, samples, FRAMES));
    (void)remove(beside);
    if (log != NULL)
        assert_ok(sw_file_save(beside, log, strlen(log), true, &error), &error);
    assert_ok(sw_recording_load(&request, recording, &error), &error);
}

static void assert_piece(const sw_recording *recording, double from_s, double to_s) {
    assert_true(recording->marks.cut);
    assert_close(recording->marks.from_s, from_s, 1e-9);
    assert_close(recording->marks.to_s, to_s, 1e-9);
    assert_close(recording->waveform.start_s, from_s, 1e-9);
    assert_close((double)recording->waveform.frames, (to_s - from_s) * RATE_HZ, 1);
    /* floats of the file: 24 bits */
    assert_close(recording->waveform.channel[0].samples[0], from_s * RATE_HZ / 16384, 1e-6);
}

#define LOG(rest) "{\"document\":\"recording\",\"version\":1,\"rate\":\"1000 Hz\"," rest "}"

static void no_log_no_marks(void **state) {
    sw_recording recording;
    load(state, NULL, 0, &recording);
    assert_int_equal(recording.waveform.frames, FRAMES);
    assert_false(recording.marks.cut);
    sw_recording_free(&recording);
    load(state, LOG("\"events\":[]"), 0, &recording);
    assert_int_equal(recording.waveform.frames, FRAMES);
    sw_recording_free(&recording);
}

/* A tenth of a second on either side of a gap is not trusted. */
static void the_longest_piece_is_kept(void **state) {
    sw_recording recording;
    load(state,
         LOG("\"overruns\":2,\"lost_frames\":150,\"events\":["
             "{\"kind\":\"overrun\",\"frame\":7000,\"lost_frames\":100},"
             "{\"kind\":\"overrun\",\"frame\":2000,\"lost_frames\":50}]"),
         0, &recording);
    assert_piece(&recording, 2.1, 6.9);
    assert_close(recording.marks.lost_s, 0.15, 1e-9);
    sw_motor motor;
    sw_motor_init(&motor);
    sw_marks_warn(&recording.marks, RATE_HZ, &motor);
    assert_true(sw_motor_warned(&motor, SW_WARN_OVERRUN));
    assert_non_null(strstr(motor.warning[0].message, "2 overruns at 2.00 s, 7.00 s"));
    sw_recording_free(&recording);
    load(state, LOG("\"events\":[{\"kind\":\"resumed\",\"frame\":1000,\"lost_frames\":null}]"), 0,
         &recording);
    assert_piece(&recording, 1.1, 10);
    assert_true(recording.marks.lost_is_least);
    sw_recording_free(&recording);
}

/* Gaps everywhere: nothing is cut, and the warning says that nothing is sure. */
static void gaps_everywhere(void **state) {
    char log[6000];
    size_t used = (size_t)snprintf(log, sizeof log, "%s",
                                   "{\"document\":\"recording\",\"version\":1,\"rate\":\"1000 "
                                   "Hz\",\"events\":[");
    for (int i = 1; i < 20; i++)
        used += (size_t)snprintf(log + used, sizeof log - used,
                                 "%s{\"kind\":\"overrun\",\"frame\":%d,\"lost_frames\":1}",
                                 i > 1 ? "," : "", 500 * i);
    snprintf(log + used, sizeof log - used, "]}");
    sw_recording recording;
    load(state, log, 0, &recording);
    assert_false(recording.marks.cut);
    assert_int_equal(recording.waveform.frames, FRAMES);
    assert_int_equal(recording.marks.overruns, 19);
    sw_motor motor;
    sw_motor_init(&motor);
    sw_marks_warn(&recording.marks, RATE_HZ, &motor);
    assert_non_null(strstr(motor.warning[0].message, "nothing here is sure"));
    sw_recording_free(&recording);
}

/* The log lists the first gaps and counts the others: what lies behind the last one listed may have
 * gaps of its own. */
static void a_full_log_is_trusted_up_to_its_last_gap(void **state) {
    sw_recording recording;
    load(state,
         LOG("\"overruns\":9,\"lost_frames\":90,\"events\":["
             "{\"kind\":\"overrun\",\"frame\":1000,\"lost_frames\":10},"
             "{\"kind\":\"overrun\",\"frame\":3000,\"lost_frames\":10}]"),
         0, &recording);
    assert_piece(&recording, 1.1, 2.9);
    sw_recording_free(&recording);
}

/* Losses that were counted when the list was full of other events: known to be whole is only what
 * lies before the last event that is listed; without any, nothing. */
static void losses_without_a_place(void **state) {
    sw_recording recording;
    load(state,
         LOG("\"overruns\":2,\"events\":[{\"kind\":\"silent\",\"frame\":2000,\"channel\":1},"
             "{\"kind\":\"heard\",\"frame\":6000,\"channel\":1}]"),
         0, &recording);
    assert_piece(&recording, 0, 5.9);
    sw_recording_free(&recording);
    load(state, LOG("\"overruns\":1,\"events\":[]"), 0, &recording);
    assert_false(recording.marks.cut);
    sw_motor motor;
    sw_motor_init(&motor);
    sw_marks_warn(&recording.marks, RATE_HZ, &motor);
    assert_non_null(strstr(motor.warning[0].message, "1 overrun at moments that are not listed"));
    assert_non_null(strstr(motor.warning[0].message, "nothing here is sure"));
    sw_recording_free(&recording);
}

static void a_wrong_clock_is_told(void **state) {
    static const char WRONG[] =
        LOG("\"rate_measured\":{\"value\":1020,\"unit\":\"Hz\",\"u\":0.1},"
            "\"events\":[{\"kind\":\"wrong_rate\",\"frame\":900,\"rate\":\"1019 Hz\"}]");
    sw_recording recording;
    load(state, WRONG, 0, &recording);
    assert_true(recording.marks.wrong_rate);
    assert_close(recording.marks.rate_hz, 1020, 0);
    sw_motor motor;
    sw_motor_init(&motor);
    sw_marks_warn(&recording.marks, RATE_HZ, &motor);
    assert_true(sw_motor_warned(&motor, SW_WARN_RATE_DOUBTFUL));
    assert_non_null(strstr(motor.warning[0].message, "too low; measure again with --rate 1020"));
    sw_recording_free(&recording);
    load(state,
         LOG("\"rate_measured\":{\"value\":1000.1,\"unit\":\"Hz\",\"u\":0.1},"
             "\"events\":[{\"kind\":\"wrong_rate\",\"frame\":900,\"rate\":\"1019 Hz\"}]"),
         0, &recording); /* told too early: it came right */
    assert_false(recording.marks.wrong_rate);
    sw_recording_free(&recording);
    load(state, WRONG, 1020, &recording); /* the person has seen to it */
    assert_false(recording.marks.wrong_rate);
    sw_recording_free(&recording);
}

static void another_document_is_left_alone(void **state) {
    static const char *const LOGS[] = {"{", "[]", "{\"document\":\"probe\",\"version\":1}",
                                       LOG("\"events\":[{\"kind\":\"eaten\",\"frame\":1}]"),
                                       LOG("\"events\":[{\"kind\":\"overrun\",\"frame\":-1}]")};
    for (size_t i = 0; i < sizeof LOGS / sizeof *LOGS; i++) {
        sw_recording recording;
        load(state, LOGS[i], 0, &recording);
        assert_int_equal(recording.waveform.frames, FRAMES);
        assert_non_null(strstr(sw_text_string(&recording.notes), "not taken for the recording's"));
        sw_recording_free(&recording);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_log_no_marks),
        cmocka_unit_test(the_longest_piece_is_kept),
        cmocka_unit_test(gaps_everywhere),
        cmocka_unit_test(a_full_log_is_trusted_up_to_its_last_gap),
        cmocka_unit_test(losses_without_a_place),
        cmocka_unit_test(a_wrong_clock_is_told),
        cmocka_unit_test(another_document_is_left_alone),
    };
    return cmocka_run_group_tests(tests, support_folder_units_setup, support_folder_units_teardown);
}
