/* Tachometer, gear and budget through the command. */
#include "tests/support.h"

#include <stdio.h>
#include <string.h>

static int setup(void **state) {
    (void)support_folder_setup(state);
    return support_call("simulate -o r.wav --family hub-20 --seed 4 --channels 1 --tach-marks 2 "
                        "--weak-magnet 3:0.2 --probe-out p.json");
}

static void test_counts(void **state) {
    (void)state;
    assert_int_equal(support_call("measure r.wav --probe p.json --tach-channel 2 --marks 2 "
                                  "--budget --details"),
                     0);
    assert_non_null(strstr(support_out, "10, almost certain (20 magnet poles"));
    assert_non_null(strstr(support_out, "The magnet ring"));
    assert_non_null(strstr(support_out, "volts a unit of the probe"));
    assert_null(strstr(support_out, "after the mark")); /* two marks: which of them is not known */
}

/* The shaft that was timed is not the one of the magnets: said, with the ratio. */
static void test_gear(void **state) {
    (void)state;
    assert_int_equal(support_call("measure r.wav --probe p.json --tach-channel 2 --marks 2 "
                                  "--gear 2.5 --json"),
                     0);
    assert_non_null(strstr(support_out, "\"geared\""));
    assert_non_null(strstr(support_out, "2.5 times"));
}

static void test_wrong_calls(void **state) {
    (void)state;
    assert_int_equal(support_call("measure r.wav --probe p.json --marks 2"), 2);
    assert_non_null(strstr(support_err, "--tach-channel"));
    assert_int_equal(support_call("measure r.wav --probe p.json --tach-channel 5"), 3);
    assert_non_null(strstr(support_err, "channel 5"));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_counts),
        cmocka_unit_test(test_gear),
        cmocka_unit_test(test_wrong_calls),
    };
    return cmocka_run_group_tests(tests, setup, support_folder_teardown);
}
