/* A disk that is full, before and while it is recorded: said, exit status 4, and what was
 * captured is there. Small disks are file systems in memory, which only root, or who may make a
 * user namespace, can mount; else those drills are skipped and say so. */
#include "tests/capture/support_drill.h"

#include "tests/support.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { RATE = 48000, FRAME_BYTES = 6, COMMAND_ROOM = 2048 };

static const pattern fed = {.kind = PATTERN_NOISE};

static const char LINE[] = "pcm.line { type testline format S24_3LE }";

/* Run a script in a folder `disk` of so many megabytes below the drill's folder; $SPINWORTH is the
 * program. -1 when no disk can be mounted here. */
static int on_small_disk(const char *folder, int megabytes, const char *script, char *err) {
    char command[COMMAND_ROOM];
    char out[DRILL_TEXT_ROOM];
    const char *mount = "mkdir -p disk && unshare -rm mount -t tmpfs tmpfs disk";
    snprintf(command, sizeof command, "cd '%s' && %s", folder, mount);
    if (support_run(command, NULL, 0, NULL, 0) != 0) {
        print_message("Skipped: no small disk can be mounted here (not root, no namespaces).\n");
        return -1;
    }
    snprintf(command, sizeof command,
             "cd '%s' && export ALSA_CONFIG_PATH='%s/asound.conf' SPINWORTH='%s' && "
             "unshare -rm sh -c 'mount -t tmpfs -o size=%dm tmpfs disk && cd disk || exit 98; %s'",
             folder, folder, TEST_SPINWORTH, megabytes, script);
    int status = support_run(command, out, sizeof out, err, DRILL_TEXT_ROOM);
    print_message("exit %d\n%s%s", status, out, err);
    return status;
}

/* The recording is there up to its end, and says how it ended (NULL: it may not know). */
static void expect_kept(const char *folder, const char *file, const char *end, double least_s) {
    drill_take take;
    assert_true(drill_take_read(folder, file, &take));
    print_message("%s: %.2f s kept\n", file, (double)take.frames / RATE);
    assert_true((double)take.frames >= least_s * RATE);
    assert_int_equal(drill_take_matches(&take, 0, &fed, 0, 24), take.frames);
    if (end != NULL)
        assert_true(drill_log_ended(folder, file, end));
    drill_take_free(&take);
}

static void a_full_disk_is_not_begun_on(void **state) {
    char err[DRILL_TEXT_ROOM];
    drill_lines(*state, "line", LINE);
    int status = on_small_disk(*state, 2,
                               "$SPINWORTH record a.wav --input line --for 20s; status=$?; "
                               "ls a.wav* && exit 99; exit $status",
                               err);
    if (status < 0)
        skip();
    assert_int_equal(status, 4);
    assert_non_null(strstr(err, "a.wav: "));
}

/* Another program takes all that is left. */
static void a_disk_that_is_full_at_once(void **state) {
    char err[DRILL_TEXT_ROOM];
    drill_lines(*state, "line", LINE);
    int status = on_small_disk(*state, 6,
                               "$SPINWORTH record a.wav --input line --for 20s & pid=$!; "
                               "sleep 2; head -c 10000000 /dev/zero >rest 2>/dev/null; "
                               "wait $pid; status=$?; rm rest; cp a.wav* ..; exit $status",
                               err);
    if (status < 0)
        skip();
    assert_int_equal(status, 4);
    /* With not a byte left the document cannot be brought up to date either. */
    /* The rest was filled after two seconds; half of that on a busy machine. */
    expect_kept(*state, "a.wav", NULL, 1);
}

/* Stops with a little room left, so that the recording and its document can be ended well. */
static void a_disk_that_fills_up(void **state) {
    char err[DRILL_TEXT_ROOM];
    drill_lines(*state, "line", LINE);
    int status = on_small_disk(*state, 6,
                               "$SPINWORTH record a.wav --input line --for 20s & pid=$!; "
                               "sleep 1; head -c 4600000 /dev/zero >most; "
                               "wait $pid; status=$?; cp a.wav* ..; exit $status",
                               err);
    if (status < 0)
        skip();
    assert_int_equal(status, 4);
    /* A second went by before most of the disk was taken, and what is left then is more than the
     * 1 MB that is kept free. */
    expect_kept(*state, "a.wav", "disk_full", 1);
}

/* As some file systems do at 2 or 4 GiB. ulimit counts in 512 bytes. */
static void a_file_that_may_grow_no_longer(void **state) {
    enum { BLOCKS = 900 };
    drill_run run;
    drill_lines(*state, "line", LINE);
    drill_start(*state, "limit", "ulimit -f 900; trap '' XFSZ;",
                "record a.wav --input line --for 20s", &run);
    int status = drill_wait(&run, 20);
    print_message("exit %d\n%s%s", status, run.out, run.err);
    assert_int_equal(status, 4);
    assert_non_null(strstr(run.err, "a.wav: "));
    /* Up to one write of the recorder may be missing, no more than a second. */
    expect_kept(*state, "a.wav", "disk_fault", BLOCKS * 512.0 / FRAME_BYTES / RATE - 1);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_full_disk_is_not_begun_on, drill_setup, drill_teardown),
        cmocka_unit_test_setup_teardown(a_disk_that_is_full_at_once, drill_setup, drill_teardown),
        cmocka_unit_test_setup_teardown(a_disk_that_fills_up, drill_setup, drill_teardown),
        cmocka_unit_test_setup_teardown(a_file_that_may_grow_no_longer, drill_setup,
                                        drill_teardown),
    };
    return drill_possible() ? cmocka_run_group_tests_name("disk", tests, NULL, NULL) : DRILL_SKIP;
}
