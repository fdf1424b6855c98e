/* Recording at a terminal: the meter moves, a fault is said there, a typed Ctrl-C ends it, and the
 * last line is a line of its own. */
#include "tests/capture/support_drill.h"
#include "tests/capture/support_terminal.h"

#include "tests/support.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { RATE = 48000 };

static const pattern noise = {.kind = PATTERN_NOISE};
static drill_terminal terminal;

static void start(const char *folder, const char *arguments) {
    if (!drill_terminal_start(folder, arguments, &terminal)) {
        print_message("Skipped: no terminal can be made here.\n");
        skip();
    }
}

static int times_shown(const char *words) {
    int times = 0;
    for (const char *at = terminal.screen; (at = strstr(at, words)) != NULL; at++)
        times++;
    return times;
}

static void a_typed_control_c(void **state) {
    drill_take take;
    drill_lines(*state, "line",
                "pcm.line { type testline format S24_3LE signal tone frequency 50.0 }");
    start(*state, "record a.wav --input line");
    assert_true(drill_terminal_shows(&terminal, "50.0Hz", 10));
    drill_sleep(1);
    drill_terminal_type(&terminal, "\003");
    int status = drill_terminal_wait(&terminal, 5);
    print_message("exit %d\n%s\n", status, terminal.screen);
    assert_int_equal(status, 0);
    assert_true(drill_log_ended(*state, "a.wav", "asked"));
    assert_true(drill_take_read(*state, "a.wav", &take));
    assert_true(take.frames > RATE); /* a second was waited after the first reading */
    /* Drawn over and over, ten times a second: two seconds at least, on a busy machine half of it.
     */
    assert_true(times_shown("\r") > 10);
    drill_take_free(&take);
}

static void a_pulled_plug_is_said(void **state) {
    drill_take take;
    drill_lines(*state, "line",
                "pcm.line { type testline format S24_3LE unplug_at 48000 unplug poll }");
    start(*state, "record a.wav --input line");
    assert_true(drill_terminal_shows(&terminal, "unplugged?", 10));
    int status = drill_terminal_wait(&terminal, 10);
    print_message("exit %d\n%s\n", status, terminal.screen);
    assert_int_equal(status, 4);
    /* Not behind what the meter has drawn. */
    assert_non_null(strstr(terminal.screen, "\nspinworth record: "));
    assert_true(drill_take_read(*state, "a.wav", &take));
    assert_int_equal(drill_take_matches(&take, 0, &noise, 0, 24), take.frames);
    drill_take_free(&take);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_typed_control_c, drill_setup, drill_teardown),
        cmocka_unit_test_setup_teardown(a_pulled_plug_is_said, drill_setup, drill_teardown),
    };
    return drill_possible() ? cmocka_run_group_tests_name("terminal", tests, NULL, NULL)
                            : DRILL_SKIP;
}
