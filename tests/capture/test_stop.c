/* Ctrl-C, a closed terminal or a polite kill end a recording well: all that came is kept. */
#define _XOPEN_SOURCE 700

#include "tests/capture/support_drill.h"

#include "tests/support.h"

#include <signal.h>
#include <stdio.h>
#include <stdlib.h>

enum { RATE = 48000 };

static const struct {
    const char *name;
    int signal;
} ends[] = {{"interrupt", SIGINT}, {"terminate", SIGTERM}, {"hangup", SIGHUP}};
enum { ENDS = sizeof ends / sizeof ends[0] };

static const pattern fed = {.kind = PATTERN_NOISE};

static void define(const char *folder) {
    char text[1024];
    size_t used = 0;
    for (int i = 0; i < ENDS; i++)
        used += (size_t)snprintf(text + used, sizeof text - used,
                                 "pcm.%s { type testline format S24_3LE diary \"%s/%s.diary\" }\n",
                                 ends[i].name, folder, ends[i].name);
    drill_lines(folder, ends[0].name, text);
}

static void expect_kept(const char *folder, int which, double recorded_s) {
    char file[64];
    drill_take take;
    snprintf(file, sizeof file, "%s.wav", ends[which].name);
    assert_true(drill_log_ended(folder, file, "asked"));
    assert_true(drill_take_read(folder, file, &take));
    double missing_s = recorded_s - (double)take.frames / RATE;
    print_message("%s: %.3f s missing\n", file, missing_s);
    assert_int_equal(drill_take_matches(&take, 0, &fed, 0, 24), take.frames);
    /* PortAudio's latency is 0.1 s; more is what a busy machine lets the reader wait. A second is
     * the most that may be missing. */
    assert_true(missing_s < 1);
    drill_take_free(&take);
}

static void asked_to_stop(void **state) {
    const char *folder = *state;
    char text[128];
    drill_run run[ENDS];
    double recorded_s[ENDS];
    define(folder);
    for (int i = 0; i < ENDS; i++) {
        snprintf(text, sizeof text, "record %s.wav --input %s", ends[i].name, ends[i].name);
        drill_start(folder, ends[i].name, "", text, &run[i]);
    }
    for (int i = 0; i < ENDS; i++) {
        snprintf(text, sizeof text, "%s.wav", ends[i].name);
        assert_true(drill_file_grows(folder, text, RATE, 10));
    }
    drill_sleep(0.7);
    for (int i = 0; i < ENDS; i++) {
        snprintf(text, sizeof text, "%s.diary", ends[i].name);
        recorded_s[i] = drill_now_s() - drill_diary_s(folder, text, "start");
        kill(run[i].pid, ends[i].signal);
    }
    for (int i = 0; i < ENDS; i++) {
        int status = drill_wait(&run[i], 5);
        print_message("exit %d\n%s%s", status, run[i].out, run[i].err);
        assert_int_equal(status, 0);
        expect_kept(folder, i, recorded_s[i]);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(asked_to_stop, drill_setup, drill_teardown),
    };
    return drill_possible() ? cmocka_run_group_tests_name("stop", tests, NULL, NULL) : DRILL_SKIP;
}
