/* spinworth simulate --taps: from a designed divider to a calibrated probe. */
#include "tests/support.h"

#include "probes/profile.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { ROOM = 8000 };
static char out[ROOM];
static char err[ROOM];

static int run_in(const char *at, const char *arguments) {
    char command[1000];
    snprintf(command, sizeof command, "cd '%s' && '%s' %s", at, TEST_SPINWORTH, arguments);
    return support_run(command, out, sizeof out, err, sizeof err);
}

/* What the text says full scale really is. */
static double said_volts(void) {
    const char *at = strstr(out, "is really ");
    assert_non_null(at);
    return strtod(at + strlen("is really "), NULL);
}

static void divider_taps_calibrate(void **state) {
    char at[200];
    char path[300];
    sw_profile profile;
    sw_error error;
    support_temporary_directory(at, sizeof at);
    assert_int_equal(run_in(at, "divider --volts 70V --probe-out probe.json"), 0);
    assert_int_equal(run_in(at, "simulate --taps --battery 9.2V --probe probe.json -o taps.wav"),
                     0);
    assert_string_equal(err, "");
    assert_non_null(strstr(out, "calibrate taps.wav --battery 9.2V --into probe.json"));
    double volts = said_volts();
    assert_int_equal(run_in(at, "calibrate taps.wav --battery '9.2V ± 0.01' --into probe.json"), 0);
    snprintf(path, sizeof path, "%s/probe.json", at);
    assert_ok(sw_profile_read(path, *state, &profile, &error), &error);
    assert_close(profile.volts_per_unit.value, volts, 4 * profile.volts_per_unit.u);
    assert_true(profile.volts_per_unit.u < 0.005 * volts);
    support_remove_tree(at);
}

static void refusals(void **state) {
    (void)state;
    static const struct {
        const char *arguments;
        const char *said;
    } cases[] = {
        {"simulate --taps -o taps.wav", "--battery 9.2V"},
        {"simulate --taps --battery 9.2V", "-o taps.wav"},
        {"simulate --taps --battery 9.2V -o taps.csv", ".flac"},
        {"simulate --taps --battery 9.2V -o taps.wav --truth t.json", "--truth"},
        {"simulate --taps --battery 9.2 --battery 1V --battery 2V -o taps.wav", "3 times"},
        {"simulate --taps --battery 9.2rpm -o taps.wav", "--battery"},
        {"simulate --taps --battery 0V -o taps.wav", "0.01"},
        {"simulate --battery 9.2V -o rec.wav", "--taps"},
    };
    char at[200];
    support_temporary_directory(at, sizeof at);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        assert_int_equal(run_in(at, cases[i].arguments), 2);
        if (strstr(err, cases[i].said) == NULL)
            print_error("%s said: %s", cases[i].arguments, err);
        assert_non_null(strstr(err, cases[i].said));
        assert_string_equal(out, "");
    }
    assert_int_equal(run_in(at, "simulate --taps --battery 9.2V -o taps.wav"), 0);
    assert_int_equal(run_in(at, "simulate --taps --battery 9.2V -o taps.wav"), 2);
    assert_int_equal(run_in(at, "simulate --taps --battery 9.2V --family brushed-2 -o b.wav"), 3);
    support_remove_tree(at);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(divider_taps_calibrate),
        cmocka_unit_test(refusals),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
