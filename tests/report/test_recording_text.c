/* What is said of a recording: the end, the losses, the clock; and of the inputs there are. */
#include "tests/support.h"

#include "src/report/recording_text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static sw_recording_log ten_seconds(void) {
    sw_recording_log log = {.rate_hz = 48000.5, .rate_u_hz = 1, .frames = 480000};
    log.end = SW_END_ASKED;
    log.input = (sw_capture_description){
        .device = "line in", .host = "ALSA", .rate_hz = 48000, .channels = 2};
    return log;
}

static void add(sw_recording_log *log, sw_capture_event_kind kind, int64_t frame, double value) {
    sw_recording_log_add(log, &(sw_capture_event){kind, frame, 0, value});
}

static void assert_says(const sw_recording_log *log, const char *const *parts) {
    sw_text text = {0};
    sw_recording_text(log, "rec.wav", &text);
    for (size_t i = 0; parts[i] != NULL; i++) {
        char flat[2000];
        snprintf(flat, sizeof flat, "%s", sw_text_string(&text));
        for (char *at = flat; *at != '\0'; at++)
            *at = *at == '\n' ? ' ' : *at;
        if (strstr(flat, parts[i]) == NULL)
            fail_msg("\"%s\" is not in: %s", parts[i], flat);
    }
    sw_text_free(&text);
}

static void a_good_recording(void **state) {
    (void)state;
    sw_recording_log log = ten_seconds();
    assert_says(
        &log, (const char *const[]){"rec.wav: 10.0 s from line in (ALSA), 2 channels at 48000 Hz.",
                                    "Clock: 48000.5", "Next: spinworth measure rec.wav", NULL});
}

static void losses_are_told(void **state) {
    (void)state;
    sw_recording_log log = ten_seconds();
    add(&log, SW_CAPTURE_OVERRUN, 96000, 4800);
    assert_says(&log, (const char *const[]){"1 overrun (the computer was too slow) at 2.00 s",
                                            "about 0.1 s are missing", NULL});
    add(&log, SW_CAPTURE_OVERRUN, 144000, NAN);
    add(&log, SW_CAPTURE_STALLED, 240000, 0.8);
    add(&log, SW_CAPTURE_RESUMED, 240000, 48000);
    assert_says(&log, (const char *const[]){"2 overruns", "2.00 s, 3.00 s",
                                            "Nothing came for a while at 5.00 s",
                                            "at least 1.1 s are missing", NULL});
}

static void ends_are_told(void **state) {
    (void)state;
    sw_recording_log log = ten_seconds();
    log.end = SW_END_GONE;
    assert_says(&log, (const char *const[]){"until the input was unplugged", NULL});
    log.end = SW_END_FULL;
    assert_says(&log, (const char *const[]){"until the disk was almost full", NULL});
    log.frames = 0;
    assert_says(&log, (const char *const[]){"Nothing was recorded from line in", NULL});
}

static void a_wrong_clock_is_told(void **state) {
    (void)state;
    sw_recording_log log = ten_seconds();
    log.rate_hz = 48960;
    add(&log, SW_CAPTURE_WRONG_RATE, 48000, 48950);
    assert_says(&log, (const char *const[]){"48960 samples a second come, not 48000", "by 2 %",
                                            "measure --rate 48960", NULL});
}

static void every_event_has_its_sentence(void **state) {
    (void)state;
    sw_recording_log log = ten_seconds();
    for (int kind = 0; kind < SW_CAPTURE_EVENT_KINDS; kind++) {
        char out[400] = "x";
        sw_capture_event event = {(sw_capture_event_kind)kind, 48000, 0, NAN};
        sw_recording_event_say(&event, &log.input, out, sizeof out);
        bool silent = kind == SW_CAPTURE_ENDED;
        assert_int_equal(*out == '\0', silent);
        assert_null(strstr(out, "nan lost"));
        assert_string_not_equal(sw_capture_event_name(event.kind), "unknown");
    }
}

static void inputs_are_listed(void **state) {
    (void)state;
    sw_input two[2] = {{.number = 0, .name = "hw", .host = "ALSA", .channels = 2},
                       {.number = 3, .name = "plug", .host = "ALSA", .channels = 1}};
    two[0].rate_hz[two[0].rates++] = 44100;
    two[0].rate_hz[two[0].rates++] = 48000;
    two[1].is_default = two[1].converts = true;
    two[1].usual_rate_hz = 44100;
    sw_input_list list = {two, 2};
    sw_text text = {0};
    sw_inputs_text(&list, &text);
    const char *said = sw_text_string(&text);
    assert_non_null(strstr(said, "2 sound inputs:\n"));
    assert_non_null(strstr(said, "  0  hw (ALSA): up to 2 channels; 44100, 48000 Hz\n"));
    assert_non_null(strstr(said, "  3  plug (ALSA), the default: up to 1 channel; any rate"));
    sw_text_free(&text);
    list.count = 0;
    sw_inputs_text(&list, &text);
    assert_non_null(strstr(sw_text_string(&text), "No sound input is there."));
    sw_text_free(&text);
    cJSON *root = sw_inputs_to_json(&list);
    assert_int_equal(cJSON_GetArraySize(cJSON_GetObjectItemCaseSensitive(root, "inputs")), 0);
    cJSON_Delete(root);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_good_recording),
        cmocka_unit_test(losses_are_told),
        cmocka_unit_test(ends_are_told),
        cmocka_unit_test(a_wrong_clock_is_told),
        cmocka_unit_test(every_event_has_its_sentence),
        cmocka_unit_test(inputs_are_listed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
