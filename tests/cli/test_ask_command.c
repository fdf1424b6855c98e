/* ask as typed: wrong calls, a whole dialogue through a pipe, what happens when it ends early. */
#include "tests/cli/support_wrong.h"
#include "tests/support.h"

#include "shared/files.h"
#include "shared/text.h"

#include <cjson/cJSON.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { OUTPUT_ROOM = 16000 };

static void wrong_calls(void **state) {
    static const wrong_use ROWS[] = {
        {"ask", 2, "motor, rotor, site or load"},
        {"ask rotor site", 2, "motor, rotor, site or load"},
        {"ask house -o h.json", 2, "\"house\"|motor, rotor, site or load"},
        {"ask rotor -o there.json", 2, "there.json|--force"},
        {"ask rotor -o none", 2, "none"},
    };
    support_wrong_check(*state, ROWS_OF(ROWS));
    char err[1000];
    char out[1000];
    assert_int_equal(support_run(TEST_SPINWORTH " ask load", out, sizeof out, err, sizeof err), 2);
    assert_non_null(strstr(err, "-o load.json"));
}

static int converse(const char *directory, const char *answers, const char *arguments, char *out,
                    char *err) {
    char line[2000];
    snprintf(line, sizeof line, "cd %s && printf '%s' | %s ask %s", directory, answers,
             TEST_SPINWORTH, arguments);
    return support_run(line, out, OUTPUT_ROOM, err, OUTPUT_ROOM);
}

static bool there(const char *directory, const char *name) {
    char path[1000];
    snprintf(path, sizeof path, "%s/%s", directory, name);
    return sw_file_exists(path);
}

static void a_rotor_by_questions_goes_through_match(void **state) {
    static char out[OUTPUT_ROOM];
    static char err[OUTPUT_ROOM];
    char line[1000];
    assert_int_equal(converse(*state,
                              "round frame\\nhalf pipe\\n4\\n600 mm\\n5 ft\\n700 mm\\nhalf\\n12 "
                              "m2\\n1900mm\\n?\\n6 lb\\n4 mm\\n",
                              "rotor -o asked.json", out, err),
                     0);
    assert_string_equal(err, "");
    assert_non_null(strstr(out, "only the swept area"));
    assert_non_null(strstr(out, "Guessed, not measured: bearing_torque, power_coefficient."));
    snprintf(line, sizeof line,
             "cd %s && %s match motor.json --rotor asked.json --site site.json --json",
             (const char *)*state, TEST_SPINWORTH);
    assert_int_equal(support_run(line, NULL, 0, err, OUTPUT_ROOM), 0);
    assert_int_equal(converse(*state, "\\n", "rotor -o asked.json", out, err), 2);
    assert_non_null(strstr(err, "asked.json"));
}

static void every_line_fits_the_screen(void **state) {
    static const char *const SHEETS[] = {"motor", "rotor", "site", "load"};
    static char out[OUTPUT_ROOM];
    static char err[OUTPUT_ROOM];
    for (size_t i = 0; i < sizeof SHEETS / sizeof *SHEETS; i++) {
        char arguments[100];
        snprintf(arguments, sizeof arguments, "%s -o screen.json --force", SHEETS[i]);
        assert_int_equal(converse(*state,
                                  "\\n\\n\\n\\n\\n\\n\\n\\n\\n\\n\\n\\n\\n\\n\\n\\n\\n\\n\\n\\n",
                                  arguments, out, err),
                         0);
        for (char *at = strtok(out, "\n"); at != NULL; at = strtok(NULL, "\n"))
            if (sw_text_columns(at) >= 80)
                fail_msg("%s: %s", SHEETS[i], at);
    }
}

static void answers_that_end_early_save_nothing(void **state) {
    static char out[OUTPUT_ROOM];
    static char err[OUTPUT_ROOM];
    assert_int_equal(converse(*state, "name\\n", "site -o early.json", out, err), 3);
    assert_non_null(strstr(err, "answers end before question \"mean_wind\""));
    assert_false(there(*state, "early.json"));
    assert_int_equal(converse(*state, "", "site -o early.json", out, err), 3);
    assert_non_null(strstr(err, "\"name\""));
    assert_false(there(*state, "early.json"));
}

/* What was answered is kept, the rest is not known, and both are said. */
static void answers_that_end_halfway_are_kept(void **state) {
    static char out[OUTPUT_ROOM];
    static char err[OUTPUT_ROOM];
    char line[1000];
    assert_int_equal(converse(*state, "yard\\n\\nsuburb\\n", "site -o half.json", out, err), 0);
    assert_non_null(strstr(out, "The answers end before question \"leaves\""));
    assert_non_null(strstr(out, "Saved in half.json."));
    assert_true(there(*state, "half.json"));
    snprintf(line, sizeof line,
             "cd %s && %s match motor.json --rotor rotor.json --site half.json --json",
             (const char *)*state, TEST_SPINWORTH);
    assert_int_equal(support_run(line, NULL, 0, err, OUTPUT_ROOM), 0);
    /* a program that asks gets an error instead */
    assert_int_equal(converse(*state, "yard\\n\\nsuburb\\n", "site --json", out, err), 3);
    assert_string_equal(out, "");
}

/* Again and again, with an example, as long as there are answers; a pipe that never has one ends.
 */
static void a_bad_answer_is_asked_again(void **state) {
    static char out[OUTPUT_ROOM];
    static char err[OUTPUT_ROOM];
    assert_int_equal(converse(*state, "n\\nx\\ny\\nz\\n", "rotor -o bad.json", out, err), 3);
    assert_non_null(strstr(err, "end before question \"shape\""));
    assert_non_null(strstr(out, "found \"z\""));
    assert_false(there(*state, "bad.json"));
    assert_int_equal(converse(*state,
                              "n\\nflat\\n200\\ntwelve\\n2.5\\n4\\n5\\n12 V\\nwide\\n300mm\\n"
                              "later\\n?\\nDon\\047t know\\n\\n\\n\\n\\n\\n\\n\\n\\n",
                              "rotor -o good.json", out, err),
                     0);
    static const char *const SAID[] = {
        "found 200, expected 1 to 60: type for example 4 (? = don't know)",
        "\"twelve\" is no answer here: type for example 4 (? = don't know)",
        "found 2.5, expected a whole number: type for example 4",
        "\"12 V\" is no answer here: type for example 300 mm, or 12 in",
    };
    for (size_t i = 0; i < sizeof SAID / sizeof *SAID; i++)
        if (strstr(out, SAID[i]) == NULL)
            fail_msg("%s: %s", SAID[i], out);
    assert_true(there(*state, "good.json"));
    assert_int_equal(converse(*state,
                              "n\\n1\\n2\\n3\\n4\\n5\\n6\\n7\\n8\\n9\\n10\\n11\\n12\\n13\\n14"
                              "\\n15\\n16\\n17\\n18\\n19\\n20\\n21\\n22\\n23\\n24\\n25\\n",
                              "site -o never.json", out, err),
                     3);
    assert_non_null(strstr(err, "asked 20 times"));
}

static void json_is_the_document_alone(void **state) {
    static char out[OUTPUT_ROOM];
    static char err[OUTPUT_ROOM];
    assert_int_equal(
        converse(*state, "\\n\\nsuburb\\nmove\\n\\n\\n\\n\\n\\n\\n", "site --json", out, err), 0);
    cJSON *root = cJSON_Parse(out);
    assert_non_null(root);
    assert_string_equal(cJSON_GetObjectItemCaseSensitive(root, "document")->valuestring, "site");
    cJSON_Delete(root);
    assert_int_equal(converse(*state, "\\n", "site --json", out, err), 3);
    assert_string_equal(out, "");
    root = cJSON_Parse(err);
    assert_non_null(cJSON_GetObjectItemCaseSensitive(root, "error"));
    cJSON_Delete(root);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(wrong_calls),
        cmocka_unit_test(a_rotor_by_questions_goes_through_match),
        cmocka_unit_test(every_line_fits_the_screen),
        cmocka_unit_test(answers_that_end_early_save_nothing),
        cmocka_unit_test(answers_that_end_halfway_are_kept),
        cmocka_unit_test(a_bad_answer_is_asked_again),
        cmocka_unit_test(json_is_the_document_alone),
    };
    return cmocka_run_group_tests(tests, support_wrong_setup, support_wrong_teardown);
}
