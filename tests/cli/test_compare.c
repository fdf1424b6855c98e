/* compare as typed: wrong calls, and a log beside a match that was saved. */
#include "tests/cli/support_wrong.h"
#include "tests/support.h"

#include <cjson/cJSON.h>
#include <stdio.h>
#include <string.h>

static void wrong_calls(void **state) {
    static const wrong_use ROWS[] = {
        {"compare", 2, "one log|0 are given"},
        {"compare good.csv", 2, "--match is missing"},
        {"compare good.csv --match no.json", 3, "no.json"},
        {"compare good.csv --match site.json", 3, "site.json|match"},
        {"compare good.csv --match x.json --altitude 5m", 2, "--temperature"},
        {"compare good.csv --match m.json", 3, "m.json|power_curve|nothing", "m.json",
         "{\"document\": \"match\", \"version\": 1, \"power_curve\": null}"},
        {"compare good.csv --match m.json", 3, "power_curve.wind|1 values, expected 2 to", "m.json",
         "{\"document\": \"match\", \"version\": 1, \"power_curve\": {\"wind\": [1]}}"},
        {"compare good.csv --match m.json", 3, "power_curve|dc_power|1 values", "m.json",
         "{\"document\": \"match\", \"version\": 1, \"power_curve\": {\"wind\": [1, 2], "
         "\"rotor_speed\": [1, 2], \"dc_power\": [1]}}"},
        {"compare good.csv --match m.json", 3, "good.csv|wind or rotor speed", "m.json",
         "{\"document\": \"match\", \"version\": 1, \"power_curve\": {\"wind\": [1, 2], "
         "\"rotor_speed\": [1, 2], \"dc_power\": [1, 2]}}"},
    };
    support_wrong_check(*state, ROWS_OF(ROWS));
}

static void five_rows_beside_a_saved_match(void **state) {
    static char out[20000];
    char err[1000];
    char line[2000];
    snprintf(line, sizeof line,
             "cd %s && %s match motor.json --rotor rotor.json --site site.json -o saved.json "
             "--json > all.json && printf 'wind [Beaufort], volts, amps\\n2,12.6,0\\n3,12.7,0.1\\n"
             "4,12.8,0.3\\n5,13,0.8\\n6,13.2,1\\n' > five.csv && "
             "%s compare five.csv --match saved.json --temperature 10degC --json",
             (const char *)*state, TEST_SPINWORTH, TEST_SPINWORTH);
    assert_int_equal(support_run(line, out, sizeof out, err, sizeof err), 0);
    cJSON *root = cJSON_Parse(out);
    const cJSON *bins = cJSON_GetObjectItemCaseSensitive(root, "bins");
    const cJSON *list = cJSON_GetObjectItemCaseSensitive(bins, "list");
    assert_int_equal(cJSON_GetArraySize(list), 5);
    assert_non_null(cJSON_GetObjectItemCaseSensitive(root, "cause"));
    cJSON_Delete(root);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(wrong_calls),
        cmocka_unit_test(five_rows_beside_a_saved_match),
    };
    return cmocka_run_group_tests(tests, support_wrong_setup, support_wrong_teardown);
}
