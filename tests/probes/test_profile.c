/* Probe documents: read strictly, written so that they read back. */
#include "tests/support.h"

#include "probes/profile.h"
#include "probes/profile_doubt.h"
#include "shared/day.h"
#include "shared/json_write.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static sw_status read_text(void **state, const char *text, sw_profile *profile, sw_error *error) {
    FILE *file = fopen(support_at("probe.json"), "wb");
    assert_non_null(file);
    fputs(text, file);
    fclose(file);
    return sw_profile_read(support_at("probe.json"), *state, profile, error);
}

static void plain_numbers_do(void **state) {
    sw_profile profile;
    sw_error error = {0};
    assert_ok(read_text(state,
                        "{\"document\":\"probe\",\"version\":1,\"volts_per_unit\":48.5,"
                        "\"low_cut\":2.2,\"clock_error\":35,\"linear_limit\":0.8,"
                        "\"device\":\"the grey box\",\"gain\":70}",
                        &profile, &error),
              &error);
    assert_close(profile.volts_per_unit.value, 48.5, 0);
    assert_close(profile.low_cut_hz.value, 2.2, 0);
    assert_close(profile.clock_error.value, 35e-6, 1e-18);
    assert_close(profile.linear_limit, 0.8, 0);
    assert_close(profile.gain, 70, 0);
    assert_string_equal(profile.device, "the grey box");
    assert_true(profile.calibrated);
}

static void units_convert_and_defaults_hold(void **state) {
    sw_profile profile;
    sw_error error = {0};
    assert_ok(read_text(state,
                        "{\"document\":\"probe\",\"version\":1,\"volts_per_unit\":"
                        "{\"value\":1500,\"unit\":\"mV\",\"u\":15},"
                        "\"clock_error\":{\"value\":5e-5,\"unit\":\"1\"}}",
                        &profile, &error),
              &error);
    assert_close(profile.volts_per_unit.value, 1.5, 1e-12);
    assert_close(profile.volts_per_unit.u, 0.015, 1e-12);
    assert_close(profile.clock_error.value, 5e-5, 1e-18);
    assert_close(profile.linear_limit, 1, 0);
    assert_true(profile.low_cut_hz.value > 0 && profile.low_cut_hz.u > 0);
    assert_true(isnan(profile.gain));
}

static void a_written_profile_reads_back(void **state) {
    sw_profile profile = sw_profile_uncalibrated();
    sw_profile back;
    sw_error error = {0};
    profile.volts_per_unit = sw_quantity_of(12.345678901234567, 0.1, "V");
    profile.clock_error = sw_quantity_of(-41e-6, 2e-6, "1");
    profile.linear_limit = 0.73;
    snprintf(profile.device, sizeof profile.device, "line input 2");
    assert_true(sw_day_read("2024-02-29", &profile.calibrated_day));
    cJSON *root = sw_profile_to_json(&profile);
    assert_ok(sw_json_save(root, support_at("probe.json"), true, &error), &error);
    cJSON_Delete(root);
    assert_ok(sw_profile_read(support_at("probe.json"), *state, &back, &error), &error);
    assert_close(back.volts_per_unit.value, profile.volts_per_unit.value, 0);
    assert_close(back.volts_per_unit.u, 0.1, 1e-15);
    assert_close(back.clock_error.value, -41e-6, 1e-19);
    assert_close(back.clock_error.u, 2e-6, 1e-19);
    assert_close(back.low_cut_hz.u, profile.low_cut_hz.u, 1e-15);
    assert_close(back.linear_limit, 0.73, 0);
    assert_string_equal(back.device, "line input 2");
    assert_int_equal(back.calibrated_day, profile.calibrated_day);
}

static bool doubted(const sw_profile *profile, sw_profile_doubt doubt, const char *today) {
    char sentence[240];
    long day = 0;
    assert_true(today[0] == '\0' || sw_day_read(today, &day));
    return sw_profile_doubt_say(profile, doubt, day, sentence, sizeof sentence);
}

static void a_calibration_ages_after_a_year(void **state) {
    (void)state;
    sw_profile profile = sw_profile_uncalibrated();
    assert_false(doubted(&profile, SW_PROFILE_OLD, "2026-05-04")); /* no day stated */
    assert_true(sw_day_read("2025-05-04", &profile.calibrated_day));
    assert_false(doubted(&profile, SW_PROFILE_OLD, "2026-05-04"));
    assert_true(doubted(&profile, SW_PROFILE_OLD, "2026-05-05"));
    assert_false(doubted(&profile, SW_PROFILE_OLD, "")); /* today not known */
    assert_false(doubted(&profile, SW_PROFILE_AHEAD, "2025-05-03"));
    assert_true(doubted(&profile, SW_PROFILE_AHEAD, "2025-05-02"));
}

static void values_no_input_has_are_doubted(void **state) {
    (void)state;
    sw_profile profile = sw_profile_uncalibrated();
    for (int d = 0; d < SW_PROFILE_DOUBTS; d++)
        assert_false(doubted(&profile, (sw_profile_doubt)d, "2026-05-04"));
    profile.volts_per_unit = sw_quantity_of(5000, 1, "V");
    assert_true(doubted(&profile, SW_PROFILE_VOLTS, ""));
    profile.volts_per_unit = sw_quantity_of(0.001, 1, "V");
    assert_true(doubted(&profile, SW_PROFILE_VOLTS, ""));
    profile.volts_per_unit = sw_quantity_of(160, 1, "V");
    assert_false(doubted(&profile, SW_PROFILE_VOLTS, ""));
    profile.low_cut_hz = sw_quantity_of(31, 1, "Hz");
    assert_true(doubted(&profile, SW_PROFILE_LOW_CUT, ""));
    profile.low_cut_hz = sw_quantity_of(0, 0, "Hz");
    assert_false(doubted(&profile, SW_PROFILE_LOW_CUT, ""));
}

typedef struct bad {
    const char *keys;
    sw_status status;
    const char *says;
} bad;

static void wrong_values_name_the_key(void **state) {
    static const bad CASES[] = {
        {"\"low_cut\":2", SW_MISSING_KEY, "volts_per_unit"},
        {"\"volts_per_unit\":-3", SW_VALUE, "volts_per_unit"},
        {"\"volts_per_unit\":0", SW_VALUE, "volts_per_unit"},
        {"\"volts_per_unit\":1e999", SW_VALUE, ""},
        {"\"volts_per_unit\":NaN", SW_FORMAT, ""},
        {"\"volts_per_unit\":\"3 ohm\"", SW_UNIT, "volts_per_unit"},
        {"\"volts_per_unit\":{\"value\":3,\"unit\":\"m\"}", SW_UNIT, "volts_per_unit"},
        {"\"volts_per_unit\":3,\"low_cut\":-1", SW_VALUE, "low_cut"},
        {"\"volts_per_unit\":3,\"clock_error\":90000", SW_VALUE, "clock_error"},
        {"\"volts_per_unit\":3,\"linear_limit\":1.5", SW_VALUE, "linear_limit"},
        {"\"volts_per_unit\":3,\"linear_limit\":0", SW_VALUE, "linear_limit"},
        {"\"volts_per_unit\":3,\"gain\":\"loud\"", SW_FORMAT, "gain"},
        {"\"volts_per_unit\":3,\"calibrated_on\":\"4.5.2026\"", SW_VALUE, "2026-05-04"},
        {"\"volts_per_unit\":3,\"calibrated_on\":\"2026-02-29\"", SW_VALUE, "calibrated_on"},
        {"\"volts_per_unit\":3,\"calibrated_on\":2026", SW_FORMAT, "calibrated_on"},
        {"\"volts_per_unit\":3,\"lowcut\":1", SW_UNKNOWN_KEY, "low_cut"},
        {"\"volts_per_unit\":3,\"volts_per_unit\":4", SW_DUPLICATE_KEY, "volts_per_unit"},
    };
    for (size_t k = 0; k < sizeof CASES / sizeof *CASES; k++) {
        char text[512];
        sw_profile profile;
        sw_error error = {0};
        snprintf(text, sizeof text, "{\"document\":\"probe\",\"version\":1,%s}", CASES[k].keys);
        sw_status status = read_text(state, text, &profile, &error);
        if (CASES[k].says[0] == '\0')
            assert_int_not_equal(status, SW_OK);
        else
            assert_int_equal(status, CASES[k].status);
        assert_non_null(strstr(error.message, CASES[k].says));
    }
}

static void another_document_is_refused(void **state) {
    sw_profile profile;
    sw_error error = {0};
    assert_int_not_equal(read_text(state,
                                   "{\"document\":\"motor\",\"version\":1,\"volts_per_unit\":1}",
                                   &profile, &error),
                         SW_OK);
    assert_int_not_equal(read_text(state, "{\"volts_per_unit\":1}", &profile, &error), SW_OK);
    assert_int_not_equal(read_text(state, "[1,2", &profile, &error), SW_OK);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_calibration_ages_after_a_year),
        cmocka_unit_test(values_no_input_has_are_doubted),
        cmocka_unit_test(plain_numbers_do),
        cmocka_unit_test(units_convert_and_defaults_hold),
        cmocka_unit_test(a_written_profile_reads_back),
        cmocka_unit_test(wrong_values_name_the_key),
        cmocka_unit_test(another_document_is_refused),
    };
    return cmocka_run_group_tests(tests, support_folder_units_setup, support_folder_units_teardown);
}
