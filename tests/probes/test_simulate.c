/* The simulator as a whole: seeds, families, profiles, the document and the probe. */
#include "tests/probes/simulate_support.h"

#include "probes/probe.h"
#include "probes/simulate/wishes.h"
#include "probes/simulate/writer.h"
#include "shared/files.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool same(const sw_waveform *one, const sw_waveform *two) {
    bool equal = one->frames == two->frames && one->channels == two->channels;
    for (size_t c = 0; equal && c < one->channels; c++)
        equal = memcmp(one->channel[c].samples, two->channel[c].samples,
                       one->frames * sizeof(double)) == 0;
    return equal;
}

static void test_seeds_repeat(void **state) {
    (void)state;
    for (unsigned long seed = 1; seed <= 4; seed++) {
        sw_sim_spec spec;
        sw_error error;
        assert_ok(sw_sim_family(NULL, seed, &spec, &error), &error);
        sw_waveform first = simulate_or_fail(&spec, NULL);
        assert_ok(sw_sim_family(NULL, seed, &spec, &error), &error);
        sw_waveform again = simulate_or_fail(&spec, NULL);
        assert_true(same(&first, &again));
        sw_waveform_free(&first);
        sw_waveform_free(&again);
    }
}

static void test_seeds_differ(void **state) {
    (void)state;
    double volts[20];
    for (unsigned long seed = 0; seed < 20; seed++) {
        sw_sim_spec spec;
        sw_error error;
        assert_ok(sw_sim_family("hub-30", seed, &spec, &error), &error);
        volts[seed] = spec.motor.volts_per_hertz;
        for (unsigned long before = 0; before < seed; before++)
            assert_true(volts[before] != volts[seed]);
    }
}

/* More noise must not be another motor. */
static void test_noise_leaves_the_motor_alone(void **state) {
    (void)state;
    sw_sim_spec spec;
    sw_error error;
    sw_sim_truth quiet;
    sw_sim_truth noisy;
    assert_ok(sw_sim_family("drum-48", 5, &spec, &error), &error);
    sw_waveform record = simulate_or_fail(&spec, &quiet);
    sw_waveform_free(&record);
    spec.front.noise *= 10;
    record = simulate_or_fail(&spec, &noisy);
    sw_waveform_free(&record);
    assert_close(noisy.pattern, quiet.pattern, 0);
    assert_close(noisy.turns, quiet.turns, 0);
}

static bool all_finite(const double *samples, size_t count) {
    bool fine = true;
    for (size_t i = 0; i < count; i++)
        fine = fine && isfinite(samples[i]);
    return fine;
}

static void test_every_family(void **state) {
    (void)state;
    for (size_t i = 0; sw_sim_family_name(i) != NULL; i++) {
        assert_true(strlen(sw_sim_family_about(i)) > 10);
        for (unsigned long seed = 100; seed < 101; seed++) {
            sw_sim_spec spec;
            sw_error error;
            sw_sim_truth truth;
            assert_ok(sw_sim_family(sw_sim_family_name(i), seed, &spec, &error), &error);
            assert_string_equal(spec.motor.family, sw_sim_family_name(i));
            spec.front.rate_hz = 12000; /* quick; what lies above is of no matter here */
            sw_waveform record = simulate_or_fail(&spec, &truth);
            for (size_t c = 0; c < record.channels; c++)
                assert_true(all_finite(record.channel[c].samples, record.frames));
            assert_int_equal(truth.clipped, 0);
            assert_close(truth.hold_speed_rpm / spec.spin.speed_rpm, 1, 0.05);
            assert_true(truth.turns > 3);
            sw_waveform_free(&record);
        }
    }
    assert_null(sw_sim_family_name(1000));
    assert_null(sw_sim_family_about(1000));
}

static void test_unknown_family(void **state) {
    (void)state;
    sw_sim_spec spec;
    sw_error error;
    assert_int_equal(sw_sim_family("drum-47", 1, &spec, &error), SW_NOT_FOUND);
    assert_non_null(strstr(error.message, "drum-47"));
}

static void test_out_of_range(void **state) {
    (void)state;
    sw_error error;
    sw_waveform record;
    sw_sim_spec spec = clean_spec("hub-30", 1);
    spec.front.rate_hz = NAN;
    assert_int_equal(sw_simulate(&spec, &record, NULL, &error), SW_VALUE);
    spec = clean_spec("hub-30", 1);
    spec.spin.seconds = -1;
    assert_int_equal(sw_simulate(&spec, &record, NULL, &error), SW_VALUE);
    spec = clean_spec("hub-30", 1);
    spec.front.channels = 4;
    assert_int_equal(sw_simulate(&spec, &record, NULL, &error), SW_VALUE);
    assert_non_null(strstr(error.message, "channels"));
}

/* An honest profile: errors over stated uncertainty have mean 0 and deviation 1. */
static void test_profiles_are_honest(void **state) {
    (void)state;
    enum { COUNT = 2000 };
    static const sw_sim_calibration CALIBRATION = {0.002, 0.03, 20e-6};
    double sum[3] = {0};
    double squares[3] = {0};
    sw_sim_truth truth = {.clipped = 0};
    truth.spec.front.volts_per_unit = 87;
    truth.spec.front.low_cut_hz = 3.5;
    truth.spec.front.clock_error = 30e-6;
    for (unsigned long seed = 0; seed < COUNT; seed++) {
        truth.spec.seed = seed;
        sw_profile profile = sw_sim_profile(&truth, &CALIBRATION);
        const double scores[3] = {
            (profile.volts_per_unit.value - 87) / profile.volts_per_unit.u,
            (profile.low_cut_hz.value - 3.5) / profile.low_cut_hz.u,
            (profile.clock_error.value - 30e-6) / profile.clock_error.u,
        };
        assert_close(profile.volts_per_unit.u, 87 * 0.002, 1e-12);
        for (int i = 0; i < 3; i++) {
            sum[i] += scores[i] / COUNT;
            squares[i] += scores[i] * scores[i] / COUNT;
        }
    }
    /* Standard errors 1 / sqrt(2000) = 0.022 and 1 / sqrt(4000) = 0.016; four of each. */
    for (int i = 0; i < 3; i++) {
        assert_close(sum[i], 0, 0.09);
        assert_close(sqrt(squares[i]), 1, 0.064);
    }
}

/* ---- the document and the probe ---- */

static sw_status wishes_of(const char *text, const sw_units *units, sw_sim_wishes *wishes,
                           sw_error *error) {
    cJSON *root = NULL;
    sw_status status = sw_json_parse(text, strlen(text), "d.json", &root, error);
    if (status == SW_OK) {
        sw_node top = sw_node_top(root, "d.json", units);
        status = sw_sim_wishes_read(&top, wishes, error);
    }
    cJSON_Delete(root);
    return status;
}

static void test_document(void **state) {
    sw_error error;
    sw_sim_wishes wishes;
    sw_sim_spec spec;
    assert_ok(wishes_of("{\"document\":\"simulation\",\"version\":1,\"family\":\"drum-48\","
                        "\"seed\":7,\"speed\":\"300 rpm\",\"ramp_time\":\"2s\",\"coast\":\"free\","
                        "\"hold_time\":\"3 s\",\"lead_in\":\"0.5s\",\"low_cut\":3,\"channels\":2,"
                        "\"winding_inductance\":\"40 mH\",\"swap\":true}",
                        *state, &wishes, &error),
              &error);
    assert_ok(sw_sim_wishes_apply(&wishes, &spec, &error), &error);
    assert_int_equal(spec.seed, 7);
    assert_int_equal(spec.motor.pole_pairs, 24);
    assert_int_equal(spec.front.channels, 2);
    assert_true(spec.front.swapped);
    assert_close(spec.spin.speed_rpm, 300, 1e-9);
    assert_close(spec.spin.ramp_rpm_per_s, 150, 1e-9);
    assert_close(spec.spin.release_s, 5.5, 1e-9);
    assert_close(spec.spin.seconds, 9.5, 1e-9);
    assert_close(spec.front.low_cut_hz, 3, 1e-12);
    assert_close(spec.motor.inductance_h, 0.04, 1e-12);
}

static void test_bad_documents(void **state) {
    static const struct {
        const char *rest;
        sw_status status;
        const char *word;
    } CASES[] = {
        {"\"famly\":\"drum-48\"", SW_UNKNOWN_KEY, "family"},
        {"\"family\":\"drum-47\"", SW_VALUE, "family"},
        {"\"seed\":1.5", SW_VALUE, "seed"},
        {"\"seed\":-1", SW_VALUE, "seed"},
        {"\"speed\":300", SW_UNIT, "speed"},
        {"\"speed\":\"300 kg\"", SW_UNIT, "speed"},
        {"\"channels\":4", SW_VALUE, "channels"},
        {"\"coast\":\"maybe\"", SW_VALUE, "with-drill"},
        {"\"low_cut\":\"-1 Hz\"", SW_VALUE, "low_cut"},
        {"\"swap\":1", SW_FORMAT, "swap"},
        {"\"seed\":1,\"seed\":2", SW_DUPLICATE_KEY, "seed"},
    };
    for (size_t i = 0; i < sizeof CASES / sizeof *CASES; i++) {
        char text[300];
        sw_error error = {SW_OK, ""};
        sw_sim_wishes wishes;
        snprintf(text, sizeof text, "{\"document\":\"simulation\",\"version\":1,%s}",
                 CASES[i].rest);
        assert_int_equal(wishes_of(text, *state, &wishes, &error), CASES[i].status);
        assert_non_null(strstr(error.message, CASES[i].word));
        assert_non_null(strstr(error.message, "d.json"));
    }
}

static void test_turned_by_hand(void **state) {
    sw_error error;
    sw_sim_wishes wishes;
    sw_sim_spec spec;
    sw_sim_truth truth;
    assert_ok(wishes_of("{\"document\":\"simulation\",\"version\":1,\"family\":\"hub-46\","
                        "\"hand\":true,\"coast\":\"no\"}",
                        *state, &wishes, &error),
              &error);
    assert_ok(sw_sim_wishes_apply(&wishes, &spec, &error), &error);
    sw_waveform record = simulate_or_fail(&spec, &truth);
    assert_true(truth.hold_speed_rpm > 45 && truth.hold_speed_rpm < 75);
    /* Once a turn 10 %, twice 4 %, and the uneven pace on top. */
    assert_true(truth.top_speed_rpm > 1.1 * truth.hold_speed_rpm);
    sw_waveform_free(&record);
}

static void test_times_that_do_not_fit(void **state) {
    (void)state;
    sw_error error;
    sw_sim_spec spec;
    sw_sim_wishes wishes = sw_sim_wishes_none();
    snprintf(wishes.family, sizeof wishes.family, "hub-30");
    wishes.coast = SW_SIM_COAST_FREE;
    wishes.ramp_time = sw_quantity_of(2, NAN, "s");
    wishes.hold_time = sw_quantity_of(5, NAN, "s");
    wishes.quantity[0] = sw_quantity_of(6, NAN, "s"); /* seconds */
    assert_string_equal(sw_sim_setting_at(0)->key, "seconds");
    assert_int_equal(sw_sim_wishes_apply(&wishes, &spec, &error), SW_VALUE);
    wishes.hold_time = sw_quantity_unknown();
    assert_ok(sw_sim_wishes_apply(&wishes, &spec, &error), &error);
    assert_true(spec.spin.release_s < 6);
    /* A short record hurries where nothing was said of the ramp. */
    wishes.ramp_time = sw_quantity_unknown();
    wishes.quantity[0] = sw_quantity_of(2, NAN, "s");
    assert_ok(sw_sim_wishes_apply(&wishes, &spec, &error), &error);
    assert_true(spec.spin.lead_in_s + spec.spin.speed_rpm / spec.spin.ramp_rpm_per_s < 1.001);
}

static void test_probe_reads_what_is_simulated(void **state) {
    char directory[200];
    char path[256];
    sw_error error;
    support_temporary_directory(directory, sizeof directory);
    snprintf(path, sizeof path, "%s/motor.json", directory);
    static const char TEXT[] = "\n{ \"document\": \"simulation\", \"version\": 1,\n"
                               "  \"family\": \"stepper-100\", \"seed\": 3, \"channels\": 2 }\n";
    assert_ok(sw_file_save(path, TEXT, strlen(TEXT), false, &error), &error);
    sw_sim_wishes wishes;
    sw_sim_spec spec;
    assert_ok(wishes_of(TEXT, *state, &wishes, &error), &error);
    assert_ok(sw_sim_wishes_apply(&wishes, &spec, &error), &error);
    sw_waveform whole = simulate_or_fail(&spec, NULL);
    sw_probe *probe = NULL;
    sw_probe_request request = {.path = path, .units = *state};
    assert_ok(sw_probe_open(&request, &probe, &error), &error);
    const sw_probe_description *description = sw_probe_describe(probe);
    assert_string_equal(description->kind, "simulated motor");
    assert_int_equal(description->channels, 2);
    assert_int_equal(description->frames, whole.frames);
    assert_close(description->rate_hz, whole.rate_hz, 0);
    double block[2 * 1000];
    size_t at = 0;
    size_t got = 0;
    size_t differ = 0;
    do {
        assert_ok(sw_probe_read(probe, block, 777, &got, &error), &error);
        for (size_t i = 0; i < got; i++)
            differ += block[2 * i + 1] != whole.channel[1].samples[at + i];
        at += got;
    } while (got > 0);
    assert_int_equal(at, whole.frames);
    assert_int_equal(differ, 0);
    sw_probe_close(probe);
    sw_waveform_free(&whole);
    support_remove_tree(directory);
}

/* A saved record reads back to the last bit. */
static void test_sound_file_round_trip(void **state) {
    char directory[200];
    char path[256];
    sw_error error;
    support_temporary_directory(directory, sizeof directory);
    static const char *const NAMES[] = {"a.wav", "b.flac"};
    for (int i = 0; i < 4; i++) {
        sw_sim_spec spec;
        assert_ok(sw_sim_family("hub-30", 8, &spec, &error), &error);
        spec.front.channels = 2;
        spec.front.bits = i < 2 ? 16 : 24;
        spec.spin.seconds = 3;
        sw_waveform record = simulate_or_fail(&spec, NULL);
        snprintf(path, sizeof path, "%s/%d%s", directory, i, NAMES[i % 2]);
        assert_ok(sw_sim_save_sound(path, &record, &spec.front, false, &error), &error);
        assert_int_equal(sw_sim_save_sound(path, &record, &spec.front, false, &error), SW_EXISTS);
        sw_probe *probe = NULL;
        sw_probe_request request = {.path = path, .units = *state};
        assert_ok(sw_probe_open(&request, &probe, &error), &error);
        assert_int_equal(sw_probe_describe(probe)->frames, record.frames);
        double frame[2];
        size_t got = 0;
        size_t differ = 0;
        for (size_t k = 0; k < record.frames; k++) {
            assert_ok(sw_probe_read(probe, frame, 1, &got, &error), &error);
            differ += frame[0] != record.channel[0].samples[k];
            differ += frame[1] != record.channel[1].samples[k];
        }
        assert_int_equal(differ, 0);
        sw_probe_close(probe);
        sw_waveform_free(&record);
    }
    support_remove_tree(directory);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_seeds_repeat),
        cmocka_unit_test(test_seeds_differ),
        cmocka_unit_test(test_noise_leaves_the_motor_alone),
        cmocka_unit_test(test_every_family),
        cmocka_unit_test(test_unknown_family),
        cmocka_unit_test(test_out_of_range),
        cmocka_unit_test(test_profiles_are_honest),
        cmocka_unit_test(test_document),
        cmocka_unit_test(test_bad_documents),
        cmocka_unit_test(test_turned_by_hand),
        cmocka_unit_test(test_times_that_do_not_fit),
        cmocka_unit_test(test_probe_reads_what_is_simulated),
        cmocka_unit_test(test_sound_file_round_trip),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
