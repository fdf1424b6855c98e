/* What cannot be recorded: one clear line, the right exit status, nothing overwritten, and no
 * chatter of the sound libraries on standard error. */
#include "tests/capture/support_drill.h"

#include "shared/files.h"
#include "tests/support.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { RATE = 48000 };

static const pattern fed = {.kind = PATTERN_NOISE};

static void run(const char *folder, const char *arguments, int exit_status, drill_run *done) {
    drill_start(folder, "run", "", arguments, done);
    int status = drill_wait(done, 20);
    print_message("spinworth %s: exit %d\n%s%s", arguments, status, done->out, done->err);
    assert_int_equal(status, exit_status);
}

static int lines_of(const char *text) {
    int lines = 0;
    for (; *text != '\0'; text++)
        lines += *text == '\n';
    return lines;
}

/* One line, and in it the words that help. */
static void expect_refused(const char *folder, const char *arguments, int exit_status,
                           const char *word) {
    drill_run done;
    run(folder, arguments, exit_status, &done);
    assert_string_equal(done.out, "");
    assert_int_equal(lines_of(done.err), 1);
    assert_non_null(strstr(done.err, word));
}

static void inputs_are_listed_quietly(void **state) {
    drill_run done;
    drill_lines(*state, "bench",
                "pcm.bench { type testline rate 96000 channels 4 }\n"
                "pcm.mono { type testline rate 44100 channels 1 }\n");
    run(*state, "inputs", 0, &done);
    assert_string_equal(done.err, "");
    assert_non_null(strstr(done.out, "bench"));
    assert_non_null(strstr(done.out, "96000"));
    assert_non_null(strstr(done.out, "44100"));
    run(*state, "inputs --json", 0, &done);
    assert_string_equal(done.err, "");
    assert_non_null(strstr(done.out, "\"bench\""));
}

static void no_inputs_is_an_answer(void **state) {
    drill_run done;
    drill_lines(*state, "there_is_none", "");
    run(*state, "inputs", 0, &done);
    assert_string_equal(done.err, "");
    assert_true(lines_of(done.out) >= 1);
    expect_refused(*state, "record a.wav --for 1s", 4, "input");
    assert_false(drill_file_grows(*state, "a.wav", 0, 0));
}

static void what_the_input_does_not_offer(void **state) {
    drill_lines(*state, "bench",
                "pcm.bench { type testline }\n"
                "pcm.bench_two { type testline }\n");
    expect_refused(*state, "record a.wav --input bench --rate 44100Hz --for 1s", 2, "48000");
    expect_refused(*state, "record a.wav --input bench --channels 3 --for 1s", 2, "--channels");
    expect_refused(*state, "record a.wav --input bench --channels 0 --for 1s", 2, "--channels");
    expect_refused(*state, "record a.wav --input attic --for 1s", 2, "attic");
    expect_refused(*state, "record a.wav --input 77 --for 1s", 2, "77");
    expect_refused(*state, "record a.wav --input ench --for 1s", 2, "ench");
    expect_refused(*state, "record a.mp3 --input bench --for 1s", 2, ".flac");
    expect_refused(*state, "record nowhere/a.wav --input bench --for 1s", 4, "nowhere/a.wav");
    assert_false(drill_file_grows(*state, "a.wav", 0, 0));
}

/* A card is one program's at a time; the sound system does not even list it then. */
static void a_busy_input(void **state) {
    drill_run first;
    char definition[512];
    snprintf(definition, sizeof definition, "pcm.card { type testline lock \"%s/card\" }\n",
             (const char *)*state);
    drill_lines(*state, "card", definition);
    drill_start(*state, "first", "", "record first.wav --input card --for 3s", &first);
    assert_true(drill_file_grows(*state, "first.wav", RATE, 10));
    expect_refused(*state, "record second.wav --input card --for 1s", 2, "another program");
    assert_false(drill_file_grows(*state, "second.wav", 0, 0));
    assert_int_equal(drill_wait(&first, 20), 0);
    drill_take take;
    assert_true(drill_take_read(*state, "first.wav", &take));
    assert_int_equal(take.frames, 3 * RATE);
    assert_int_equal(drill_take_matches(&take, 0, &fed, 0, 16), take.frames);
    drill_take_free(&take);
}

static void nothing_is_overwritten(void **state) {
    static const char OLD[] = "last week's recording";
    char path[2 * DRILL_PATH_ROOM];
    char *text = NULL;
    size_t length = 0;
    sw_error error;
    drill_lines(*state, "line", "pcm.line { type testline }");
    snprintf(path, sizeof path, "%s/old.wav", (const char *)*state);
    assert_ok(sw_file_save(path, OLD, strlen(OLD), false, &error), &error);
    expect_refused(*state, "record old.wav --input line --for 1s", 2, "old.wav");
    assert_ok(sw_file_read(path, sizeof OLD, &text, &length, &error), &error);
    assert_int_equal(length, strlen(OLD));
    assert_memory_equal(text, OLD, length);
    free(text);
}

/* Begun at the same moment: one has it, the others are told so, and nothing is mixed. */
static void several_recorders_one_name(void **state) {
    enum { RIVALS = 4 };
    drill_run rival[RIVALS];
    char tag[16];
    int winners = 0;
    drill_lines(*state, "line", "pcm.line { type testline format S24_3LE }");
    for (int i = 0; i < RIVALS; i++) {
        snprintf(tag, sizeof tag, "rival%d", i);
        drill_start(*state, tag, "", "record one.wav --input line --for 2s", &rival[i]);
    }
    for (int i = 0; i < RIVALS; i++) {
        int status = drill_wait(&rival[i], 20);
        print_message("exit %d: %s", status, rival[i].err);
        winners += status == 0;
        if (status != 0) {
            assert_in_range(status, 2, 3);
            assert_non_null(strstr(rival[i].err, "one.wav"));
        }
    }
    assert_int_equal(winners, 1);
    drill_take take;
    assert_true(drill_take_read(*state, "one.wav", &take));
    assert_int_equal(take.frames, 2 * RATE);
    assert_int_equal(drill_take_matches(&take, 0, &fed, 0, 24), take.frames);
    assert_true(drill_log_ended(*state, "one.wav", "length"));
    drill_take_free(&take);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(inputs_are_listed_quietly, drill_setup, drill_teardown),
        cmocka_unit_test_setup_teardown(no_inputs_is_an_answer, drill_setup, drill_teardown),
        cmocka_unit_test_setup_teardown(what_the_input_does_not_offer, drill_setup, drill_teardown),
        cmocka_unit_test_setup_teardown(a_busy_input, drill_setup, drill_teardown),
        cmocka_unit_test_setup_teardown(nothing_is_overwritten, drill_setup, drill_teardown),
        cmocka_unit_test_setup_teardown(several_recorders_one_name, drill_setup, drill_teardown),
    };
    return drill_possible() ? cmocka_run_group_tests_name("refusals", tests, NULL, NULL)
                            : DRILL_SKIP;
}
