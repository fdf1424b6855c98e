/* spinworth simulate --taps: from a designed divider to a calibrated probe. */
#include "tests/support.h"

#include "probes/profile.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* What the text says full scale really is. */
static double said_volts(void) {
    const char *at = strstr(support_out, "is really ");
    assert_non_null(at);
    return strtod(at + strlen("is really "), NULL);
}

static void divider_taps_calibrate(void **state) {
    sw_profile profile;
    sw_error error;
    assert_int_equal(support_call("divider --volts 70V --probe-out probe.json"), 0);
    assert_int_equal(support_call("simulate --taps --battery 9.2V --probe probe.json -o taps.wav"),
                     0);
    assert_string_equal(support_err, "");
    assert_non_null(strstr(support_out, "calibrate taps.wav --battery 9.2V --into probe.json"));
    double volts = said_volts();
    assert_int_equal(support_call("calibrate taps.wav --battery '9.2V ± 0.01' --into probe.json"),
                     0);
    assert_ok(sw_profile_read(support_at("probe.json"), *state, &profile, &error), &error);
    assert_close(profile.volts_per_unit.value, volts, 4 * profile.volts_per_unit.u);
    assert_true(profile.volts_per_unit.u < 0.005 * volts);
}

static void refusals(void **state) {
    (void)state;
    static const struct {
        const char *arguments;
        const char *said;
    } cases[] = {
        {"simulate --taps -o more.wav", "--battery 9.2V"},
        {"simulate --taps --battery 9.2V", "-o taps.wav"},
        {"simulate --taps --battery 9.2V -o taps.csv", ".flac"},
        {"simulate --taps --battery 9.2V -o more.wav --truth t.json", "--truth"},
        {"simulate --taps --battery 9.2 --battery 1V --battery 2V -o more.wav", "3 times"},
        {"simulate --taps --battery 9.2rpm -o more.wav", "--battery"},
        {"simulate --taps --battery 0V -o more.wav", "0.01"},
        {"simulate --battery 9.2V -o rec.wav", "--taps"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        assert_int_equal(support_call(cases[i].arguments), 2);
        if (strstr(support_err, cases[i].said) == NULL)
            print_error("%s said: %s", cases[i].arguments, support_err);
        assert_non_null(strstr(support_err, cases[i].said));
        assert_string_equal(support_out, "");
    }
    assert_int_equal(support_call("simulate --taps --battery 9.2V -o more.wav"), 0);
    assert_int_equal(support_call("simulate --taps --battery 9.2V -o more.wav"), 2);
    assert_int_equal(support_call("simulate --taps --battery 9.2V --family brushed-2 -o b.wav"), 3);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(divider_taps_calibrate),
        cmocka_unit_test(refusals),
    };
    return cmocka_run_group_tests(tests, support_folder_units_setup, support_folder_units_teardown);
}
