/* spinworth simulate: files, truth, refusals. */
#include "tests/support.h"

#include "probes/profile.h"
#include "probes/simulate/wishes.h"
#include "shared/files.h"
#include "shared/json_read.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static int simulate(const char *arguments) {
    char call[2000];
    snprintf(call, sizeof call, "simulate %s", arguments);
    return support_call(call);
}

static void test_writes_record_truth_and_profile(void **state) {
    sw_error error;
    assert_int_equal(simulate("--family drum-48 --seed 7 --seconds 5s --coast no -o whole.wav "
                              "--probe-out probe.json"),
                     0);
    assert_non_null(strstr(support_out, "whole.wav"));
    assert_non_null(strstr(support_out, "whole.truth.json"));
    assert_string_equal(support_err, "");
    cJSON *root = NULL;
    const char *path = support_at("whole.truth.json");
    assert_ok(sw_json_read(path, &root, &error), &error);
    sw_node top = sw_node_top(root, path, *state);
    assert_ok(sw_node_expect_document(&top, "simulation-truth", &error), &error);
    double pole_pairs = 0;
    sw_quantity volts = sw_quantity_unknown();
    assert_ok(sw_node_number(&top, "pole_pairs", 1, 100, &pole_pairs, &error), &error);
    assert_ok(sw_node_quantity(&top, "volts_per_hertz", "V/Hz", &volts, &error), &error);
    assert_close(pole_pairs, 24, 0);
    assert_true(volts.value > 0.2 && volts.value < 2);
    cJSON_Delete(root);
    sw_profile profile;
    assert_ok(sw_profile_read(support_at("probe.json"), *state, &profile, &error), &error);
    assert_true(profile.calibrated);
}

static void test_repeats_bit_by_bit(void **state) {
    (void)state;
    assert_int_equal(simulate("--seed 3 --seconds 8s -o a.wav"), 0);
    assert_int_equal(simulate("--seed 3 --seconds 8s -o b.wav"), 0);
    assert_int_equal(simulate("--seed 4 --seconds 8s -o c.wav"), 0);
    char command[1500];
    snprintf(command, sizeof command, "cd '%s' && cmp a.wav b.wav && ! cmp -s a.wav c.wav",
             support_folder());
    assert_int_equal(support_run(command, NULL, 0, NULL, 0), 0);
}

static void test_table(void **state) {
    (void)state;
    sw_error error;
    char *text = NULL;
    size_t length = 0;
    assert_int_equal(simulate("--family hub-30 --clean --scope --channels 2 --rate 10kHz "
                              "--seconds 1s --coast no -o scope.csv"),
                     0);
    assert_ok(sw_file_read(support_at("scope.csv"), 10000000, &text, &length, &error), &error);
    assert_ptr_equal(strstr(text, "Time (s),CH1 (V),CH2 (V)\n"), text);
    size_t rows = 0;
    for (size_t i = 0; i < length; i++)
        rows += text[i] == '\n';
    assert_int_equal(rows, 10001);
    free(text);
}

static void test_never_overwrites(void **state) {
    (void)state;
    assert_int_equal(simulate("--clean --seconds 1s --family fan-4 -o kept.wav"), 0);
    assert_int_equal(simulate("--clean --seconds 1s --family fan-4 -o kept.wav"), 2);
    assert_non_null(strstr(support_err, "kept.wav"));
    assert_non_null(strstr(support_err, "--force"));
    assert_int_equal(simulate("--clean --seconds 1s --family fan-4 -o kept.wav --force"), 0);
    /* The truth of another record is not replaced either, and then no record is written. */
    assert_int_equal(simulate("--clean --seconds 1s --family fan-4 -o other.wav --truth "
                              "kept.truth.json"),
                     2);
    assert_false(sw_file_exists(support_at("other.wav")));
}

/* One channel and a held shaft are meant when nothing else is said; what contradicts that is told
 * at once. */
static void test_load_resistance(void **state) {
    (void)state;
    for (int seed = 1; seed <= 6; seed++) {
        char call[200];
        snprintf(call, sizeof call,
                 "--family drum-48 --seed %d --seconds 4s --load-resistance 20ohm -o load%d.wav",
                 seed, seed);
        if (simulate(call) != 0)
            fail_msg("%s: %s", call, support_err);
        assert_non_null(strstr(support_out, "1 channel at"));
    }
    assert_int_equal(simulate("--family drum-48 --load-resistance 20ohm --channels 2 --coast free "
                              "-o both.wav"),
                     3);
    assert_non_null(
        strstr(support_err, "more channels, a coast, expected --channels 1 --coast no"));
}

static void test_wrong_calls(void **state) {
    (void)state;
    static const struct {
        const char *arguments;
        int exit;
        const char *word;
    } CASES[] = {
        {"", 2, "-o"},
        {"-o rec.mp3", 2, "rec.mp3"},
        {"-o rec.wav --family drum-47", 2, "drum-47"},
        {"-o rec.wav --seed x", 2, "--seed"},
        {"-o rec.wav --seed 1.5", 2, "--seed"},
        {"-o rec.wav --speed 300", 2, "--speed"},
        {"-o rec.wav --speed '-3 rpm'", 2, "--speed"},
        {"-o rec.wav --low-cut '3 kg'", 2, "--low-cut"},
        {"-o rec.wav --noise nan", 2, "--noise"},
        {"-o rec.wav --coast maybe", 2, "--coast"},
        {"-o rec.wav --channels 4", 2, "--channels"},
        {"-o rec.wav --famly x", 2, "--family"},
        {"-o rec.wav surplus", 2, "surplus"},
        {"-o rec.wav --truth rec.wav", 2, "rec.wav"},
        {"-o rec.wav --family pump-2 --channels 2", 3, "winding"},
        {"-o rec.wav --rate 44100.5Hz --clean --seconds 1s --family fan-4", 3, "44100.5"},
        {"-o rec.wav --family hub-30 --seconds 3600s", 3, "samples"},
        {"-o rec.wav --document none.json", 3, "none.json"},
        {"-o missing/rec.wav --clean --seconds 1s --family fan-4", 4, "missing/rec.wav"},
    };
    for (size_t i = 0; i < sizeof CASES / sizeof *CASES; i++) {
        int found = simulate(CASES[i].arguments);
        if (found != CASES[i].exit || strstr(support_err, CASES[i].word) == NULL)
            print_message("%s: %d, %s\n", CASES[i].arguments, found, support_err);
        assert_int_equal(found, CASES[i].exit);
        assert_non_null(strstr(support_err, CASES[i].word));
        assert_string_equal(support_out, "");
        assert_ptr_equal(strchr(support_err, '\n'),
                         support_err + strlen(support_err) - 1); /* one line */
    }
}

static void test_list_and_json(void **state) {
    (void)state;
    assert_int_equal(simulate("--list"), 0);
    assert_non_null(strstr(support_out, "drum-48"));
    assert_int_equal(simulate("--clean --seconds 1s --family fan-4 -o list.wav --json"), 0);
    cJSON *root = cJSON_Parse(support_out);
    assert_non_null(root);
    cJSON_Delete(root);
}

/* A document's key without its option, or the other way round, would be a trap. */
static void test_every_setting_has_its_option(void **state) {
    (void)state;
    assert_int_equal(simulate("--help"), 0);
    for (size_t i = 0; sw_sim_setting_at(i) != NULL || sw_sim_switch_at(i) != NULL; i++) {
        const char *keys[2] = {
            sw_sim_setting_at(i) != NULL ? sw_sim_setting_at(i)->key : "seed",
            sw_sim_switch_at(i) != NULL ? sw_sim_switch_at(i)->key : "seed",
        };
        for (int k = 0; k < 2; k++) {
            char option[64];
            snprintf(option, sizeof option, "--%s ", keys[k]);
            for (char *c = option; *c != '\0'; c++)
                *c = *c == '_' ? '-' : *c;
            if (strstr(support_out, option) == NULL)
                print_message("%s is no option\n", option);
            assert_non_null(strstr(support_out, option));
        }
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_writes_record_truth_and_profile),
        cmocka_unit_test(test_repeats_bit_by_bit),
        cmocka_unit_test(test_table),
        cmocka_unit_test(test_never_overwrites),
        cmocka_unit_test(test_load_resistance),
        cmocka_unit_test(test_wrong_calls),
        cmocka_unit_test(test_list_and_json),
        cmocka_unit_test(test_every_setting_has_its_option),
    };
    return cmocka_run_group_tests(tests, support_folder_units_setup, support_folder_units_teardown);
}
