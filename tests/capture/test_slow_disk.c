/* A disk that takes a second each time it is told to keep what it has: the ring holds
 * what comes meanwhile, nothing is lost. */
#include "tests/capture/support_drill.h"

#include "tests/support.h"

#include <stdio.h>
#include <stdlib.h>

enum { RATE = 48000, SECONDS = 3 };

static const pattern fed = {.kind = PATTERN_NOISE};

static void a_disk_that_pauses(void **state) {
    char before[2 * DRILL_PATH_ROOM];
    drill_run run;
    drill_take take;
    drill_lines(*state, "line", "pcm.line { type testline format S24_3LE }");
    snprintf(before, sizeof before,
             "export LD_PRELOAD='%s' SLOW_DISK_MS=1000 "
             "ASAN_OPTIONS=\"$ASAN_OPTIONS:verify_asan_link_order=0\";",
             TEST_SLOW_DISK);
    double began_s = drill_now_s();
    drill_start(*state, "slow", before, "record a.wav --input line --for 3s", &run);
    int status = drill_wait(&run, 30);
    print_message("exit %d\n%s%s", status, run.out, run.err);
    assert_int_equal(status, 0);
    /* Else the disk was not slow: it waits a second at each of several syncs. */
    assert_true(run.ended_s - began_s > SECONDS + 1);
    assert_true(drill_log_ended(*state, "a.wav", "length"));
    assert_int_equal(drill_log_number(*state, "a.wav", "overruns"), 0);
    assert_int_equal(drill_log_events(*state, "a.wav", "stalled"), 0);
    assert_true(drill_take_read(*state, "a.wav", &take));
    assert_int_equal(take.frames, SECONDS * RATE);
    assert_int_equal(drill_take_matches(&take, 0, &fed, 0, 24), take.frames);
    drill_take_free(&take);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_disk_that_pauses, drill_setup, drill_teardown),
    };
    return drill_possible() ? cmocka_run_group_tests_name("slow disk", tests, NULL, NULL)
                            : DRILL_SKIP;
}
