/* The wires command as typed: wrong uses, and a document that comes back as it went in. */
#include "tests/cli/support_wrong.h"
#include "tests/support.h"

#include <cjson/cJSON.h>
#include <stdio.h>
#include <string.h>

#define HEAD "{\"document\": \"wires\", \"version\": 1, \"wires\": 3, "

static void wrong_calls(void **state) {
    static const wrong_use ROWS[] = {
        {"wires", 2, "--wires is missing|--wires 6"},
        {"wires --wires 3", 2, "--ohms is missing|1-2 7.2"},
        {"wires --wires 2.5 --ohms '1-2 7'", 2, "--wires|2.5|whole number"},
        {"wires --wires 40 --ohms '1-2 7'", 2, "--wires|40|12"},
        {"wires w.json --wires 3", 2, "not both"},
        {"wires --wires 3 --ohms ''", 2, "--ohms|no reading"},
        {"wires --wires 3 --ohms seven", 2, "--ohms|\"seven\"|1-2"},
        {"wires --wires 3 --ohms '1-4 7'", 2, "--ohms|wire 4|1 to 3"},
        {"wires --wires 3 --ohms '2-2 7'", 2, "two different wires"},
        {"wires --wires 3 --ohms '1-2 7,2-1 8'", 2, "2-1|twice"},
        {"wires --wires 3 --ohms '1-2'", 2, "1-2|ohms are missing"},
        {"wires --wires 3 --ohms '1-2 7 V'", 2, "1-2|ohm"},
        {"wires --wires 3 --ohms '1-2 -7'", 2, "1-2|-7|0 or more"},
        {"wires --wires 3 --ohms '1-2 7' --thick 1,x", 2, "--thick|\"x\"|1,2,3"},
        {"wires --wires 3 --ohms '1-2 7' --thick 1 --thin 1", 2, "wire 1|both"},
        {"wires --wires 3 --ohms '1-2 7' --colours red", 2, "1 colours for 3"},
        {"wires --wires 3 --ohms '1-2 7' --stiffer 1-2 --not-stiffer 1-2", 2, "1-2|both"},
        {"wires --wires 3 --ohms '1-2 7' --stiffer 1-3", 3, "1-3|open"},
        {"wires --wires 3 --ohms '1-2 7,2-3 7'", 3, "1-3|1-2 and 2-3|again"},
        {"wires --wires 2 --ohms '1-2 0.1' --test-leads 3ohm", 3, "1-2|test leads"},
    };
    support_wrong_check(*state, ROWS_OF(ROWS));
}

static void wrong_documents(void **state) {
    static const wrong_use ROWS[] = {
        {"wires no.json", 3, "no.json"},
        {"wires w.json", 3, "w.json|ohms", "w.json", HEAD "\"thick\": [1]}"},
        {"wires w.json", 3, "w.json|ohms|1-9|1 to 3", "w.json", HEAD "\"ohms\": {\"1-9\": 7}}"},
        {"wires w.json", 3, "w.json|ohms|twice", "w.json",
         HEAD "\"ohms\": {\"1-2\": 7, \"2-1\": 7}}"},
        {"wires w.json", 3, "w.json|ohm", "w.json", HEAD "\"ohm\": {\"1-2\": 7}}"},
        {"wires w.json", 3, "w.json|thick", "w.json",
         HEAD "\"ohms\": {\"1-2\": 7}, \"thick\": [\"one\"]}"},
        {"wires motor.json", 3, "motor.json|wires"},
    };
    support_wrong_check(*state, ROWS_OF(ROWS));
}

static cJSON *run_json(const char *directory, const char *arguments) {
    static char out[40000];
    char err[1000];
    char line[2000];
    snprintf(line, sizeof line, "cd %s && %s wires %s --json", directory, TEST_SPINWORTH,
             arguments);
    assert_int_equal(support_run(line, out, sizeof out, err, sizeof err), 0);
    cJSON *root = cJSON_Parse(out);
    assert_non_null(root);
    return root;
}

static void what_it_prints_it_reads(void **state) {
    const char *directory = *state;
    char line[2000];
    cJSON *typed = run_json(directory, "--wires 6 --thick 1-3 --thin 4,5 --test-leads 0.2ohm "
                                       "--ohms '1-2 7.2 ± 0.1, 2-3 7.1, 1-3 7.2, 4-5 120, 1-6 OL' "
                                       "--stiffer 1-2 --not-stiffer 4-5 --volts '4-5 11 V' "
                                       "--colours 'blue,white,red,,grey,green/yellow'");
    char *text = cJSON_PrintUnformatted(typed);
    snprintf(line, sizeof line, "%s/back.json", directory);
    FILE *file = fopen(line, "w");
    assert_non_null(file);
    assert_true(fputs(text, file) >= 0);
    assert_int_equal(fclose(file), 0);
    cJSON *again = run_json(directory, "back.json");
    assert_true(cJSON_Compare(typed, again, true));
    const cJSON *found = cJSON_GetObjectItemCaseSensitive(typed, "found");
    assert_string_equal(cJSON_GetObjectItemCaseSensitive(found, "machine")->valuestring,
                        "three-phase");
    cJSON_free(text);
    cJSON_Delete(typed);
    cJSON_Delete(again);
}

static void the_answer_comes_first_and_fits_the_screen(void **state) {
    char out[8000];
    (void)state;
    int status = support_run(TEST_SPINWORTH " wires --wires 6 --thick 1,2,3 --stiffer 1-2 "
                                            "--ohms '1-2 7.2, 2-3 7.1, 1-3 7.2, 4-5 120'",
                             out, sizeof out, NULL, 0);
    assert_int_equal(status, 0);
    static const char START[] = "Use wires 1, 2 and 3: three phases. Leave wires 4, 5 and 6";
    assert_memory_equal(out, START, sizeof START - 1);
    assert_non_null(strstr(out, "speed-sensor coil"));
    assert_non_null(strstr(out, "Before the first spin"));
    assert_non_null(strstr(out, "discharged through a resistor (10 kohm, 5 W, for ten"));
    for (const char *line = out; *line != '\0'; line += strcspn(line, "\n") + 1)
        assert_true(strcspn(line, "\n") < 84); /* bytes; a few letters take two */
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(wrong_calls),
        cmocka_unit_test(wrong_documents),
        cmocka_unit_test(what_it_prints_it_reads),
        cmocka_unit_test(the_answer_comes_first_and_fits_the_screen),
    };
    return cmocka_run_group_tests(tests, support_wrong_setup, support_wrong_teardown);
}
