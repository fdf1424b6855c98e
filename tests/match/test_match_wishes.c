/* The options that move a verdict's limits and the draws, as typed. */
#include "tests/match/scene.h"

static void write_file(const char *name, const char *body) {
    FILE *file = fopen(support_at(name), "w");
    assert_non_null(file);
    fprintf(file, "{%s}", body);
    fclose(file);
}

static int set_up(void **state) {
    if (support_folder_setup(state) != 0)
        return -1;
    write_file("ring.json", SCENE_RING);
    write_file("rotor.json", SCENE_DRUM);
    write_file("site.json", SCENE_SITE);
    return 0;
}

static int match(const char *options) {
    char command[400];
    snprintf(command, sizeof command,
             "match ring.json --rotor rotor.json --site site.json --wheel 200mm %s", options);
    return support_call(command);
}

static void assert_verdict(const char *options, const char *verdict, const char *reason) {
    assert_int_equal(match(options), 0);
    cJSON *root = cJSON_Parse(support_out);
    assert_non_null(root);
    assert_string_equal(cJSON_GetStringValue(cJSON_GetObjectItemCaseSensitive(root, "verdict")),
                        verdict);
    cJSON_Delete(root);
    if (strstr(support_out, reason) == NULL)
        fail_msg("%s: \"%s\" is no reason", options, reason);
}

static void the_limits_are_the_builders(void **state) {
    (void)state;
    assert_verdict("--json", "use-if", "\"starts_early\"");
    assert_verdict("--json --least-share 95%", "spare", "\"poor_share\"");
    assert_verdict("--json --late-start 0.2", "spare", "\"starts_late\"");
    assert_int_equal(match("--least-share 95%"), 0);
    assert_non_null(strstr(support_out, "95 % (see --least-share)"));
}

/* The low end of the year's range. */
static double low_end(const char *options) {
    assert_int_equal(match(options), 0);
    cJSON *root = cJSON_Parse(support_out);
    const cJSON *at = cJSON_GetObjectItemCaseSensitive(root, "recommended");
    at = cJSON_GetObjectItemCaseSensitive(at, "annual_energy_range");
    at = cJSON_GetObjectItemCaseSensitive(at, "low");
    at = cJSON_GetObjectItemCaseSensitive(at, "value");
    assert_non_null(at);
    double low = at->valuedouble;
    cJSON_Delete(root);
    return low;
}

static void the_seed_draws_anew(void **state) {
    (void)state;
    double usual = low_end("--json");
    double other = low_end("--json --seed 2");
    assert_close(low_end("--json --seed 0"), usual, 0);
    assert_close(low_end("--json --seed 2"), other, 0);
    assert_true(fabs(other - usual) > 0);
    /* some 5 % quantile of hundreds of draws: the two are alike */
    assert_close(other, usual, 0.1 * usual);
}

static void wrong_numbers_are_refused(void **state) {
    (void)state;
    static const struct {
        const char *options;
        const char *says;
    } ROWS[] = {{"--seed 1.5", "--seed"},
                {"--seed -1", "--seed"},
                {"--least-share 120%", "--least-share"},
                {"--late-start 5kg", "--late-start"}};
    for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; i++) {
        assert_int_equal(match(ROWS[i].options), 2);
        if (strstr(support_err, ROWS[i].says) == NULL)
            fail_msg("%s: %s", ROWS[i].options, support_err);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_limits_are_the_builders),
        cmocka_unit_test(the_seed_draws_anew),
        cmocka_unit_test(wrong_numbers_are_refused),
    };
    return cmocka_run_group_tests(tests, set_up, support_folder_teardown);
}
