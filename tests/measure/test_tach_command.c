/* Tachometer, gear and budget through the command. */
#include "tests/support.h"

#include <stdio.h>
#include <string.h>

static char folder[256];
static char out[65536];
static char err[4096];

static int run(const char *format) {
    char command[2048];
    snprintf(command, sizeof command, format, TEST_SPINWORTH, folder, folder);
    return support_run(command, out, sizeof out, err, sizeof err);
}

static int setup(void **state) {
    (void)state;
    support_temporary_directory(folder, sizeof folder);
    return run("%s simulate -o %s/r.wav --family hub-20 --seed 4 --channels 1 --tach-marks 2 "
               "--weak-magnet 3:0.2 --probe-out %s/p.json");
}

static int teardown(void **state) {
    (void)state;
    support_remove_tree(folder);
    return 0;
}

static void test_counts(void **state) {
    (void)state;
    assert_int_equal(run("%s measure %s/r.wav --probe %s/p.json --tach-channel 2 --marks 2 "
                         "--budget --details"),
                     0);
    assert_non_null(strstr(out, "10, almost certain (20 magnet poles"));
    assert_non_null(strstr(out, "The magnet ring"));
    assert_non_null(strstr(out, "volts a unit of the probe"));
    assert_null(strstr(out, "after the mark")); /* two marks: which of them is not known */
}

/* The shaft that was timed is not the one of the magnets: said, with the ratio. */
static void test_gear(void **state) {
    (void)state;
    assert_int_equal(run("%s measure %s/r.wav --probe %s/p.json --tach-channel 2 --marks 2 "
                         "--gear 2.5 --json"),
                     0);
    assert_non_null(strstr(out, "\"geared\""));
    assert_non_null(strstr(out, "2.5 times"));
}

static void test_wrong_calls(void **state) {
    (void)state;
    assert_int_equal(run("%s measure %s/r.wav --probe %s/p.json --marks 2"), 2);
    assert_non_null(strstr(err, "--tach-channel"));
    assert_int_equal(run("%s measure %s/r.wav --probe %s/p.json --tach-channel 5"), 3);
    assert_non_null(strstr(err, "channel 5"));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_counts),
        cmocka_unit_test(test_gear),
        cmocka_unit_test(test_wrong_calls),
    };
    return cmocka_run_group_tests(tests, setup, teardown);
}
