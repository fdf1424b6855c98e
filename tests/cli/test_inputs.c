/* inputs and record where the sound system is not there, and called wrongly: one line, the right
 * exit status, nothing left behind. What they do with an input: tests/capture. */
#include "tests/support.h"

#include <stdio.h>
#include <string.h>

enum { TEXT_ROOM = 4000 };

/* No configuration at all: PortAudio by itself would abort. */
static void no_sound_system(void **state) {
    (void)state;
    static const char *const CALLS[] = {"inputs", "inputs --json", "record no-sound.wav --for 1s"};
    for (size_t i = 0; i < sizeof CALLS / sizeof *CALLS; i++) {
        char command[300];
        char out[TEXT_ROOM];
        char err[TEXT_ROOM];
        snprintf(command, sizeof command, "ALSA_CONFIG_PATH=/no/such/file %s %s", TEST_SPINWORTH,
                 CALLS[i]);
        assert_int_equal(support_run(command, out, sizeof out, err, sizeof err), 4);
        assert_string_equal(out, "");
        assert_non_null(strstr(err, "alsa.conf"));
        assert_ptr_equal(strchr(err, '\n'), err + strlen(err) - 1);
    }
    FILE *left = fopen("no-sound.wav", "rb");
    assert_null(left);
}

typedef struct wrong_call {
    const char *arguments;
    const char *word; /* in the message */
} wrong_call;

static void wrong_calls(void **state) {
    (void)state;
    static const wrong_call CALLS[] = {
        {"inputs rec.wav", "takes no file"},
        {"record", "expected one file"},
        {"record a.wav b.wav", "expected one file"},
        {"record a.mp3", ".wav or .flac"},
        {"record .wav", ".wav or .flac"},
        {"record a.wav --channels 0", "--channels"},
        {"record a.wav --channels 2x", "--channels"},
        {"record a.wav --channels 99", "--channels"},
        {"record a.wav --rate 44100.5", "whole number"},
        {"record a.wav --rate 5", "--rate"},
        {"record a.wav --for 0s", "--for"},
        {"record a.wav --for 20", "unit"},
    };
    for (size_t i = 0; i < sizeof CALLS / sizeof *CALLS; i++) {
        char command[300];
        char out[TEXT_ROOM];
        char err[TEXT_ROOM];
        snprintf(command, sizeof command, "%s %s", TEST_SPINWORTH, CALLS[i].arguments);
        int exit_status = support_run(command, out, sizeof out, err, sizeof err);
        if (exit_status != 2 || strstr(err, CALLS[i].word) == NULL)
            fail_msg("%s: exit status %d, %s", CALLS[i].arguments, exit_status, err);
        assert_string_equal(out, "");
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_sound_system),
        cmocka_unit_test(wrong_calls),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
