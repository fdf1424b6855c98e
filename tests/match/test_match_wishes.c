/* The options that move a verdict's limits and the draws, as typed. */
#include "tests/match/scene.h"

#include <stdlib.h>

enum { ROOM = 400000 };

typedef struct bench {
    char directory[200];
    char *out;
    char err[2000];
} bench;

static void write_file(const bench *it, const char *name, const char *body) {
    char path[300];
    snprintf(path, sizeof path, "%s/%s", it->directory, name);
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    fprintf(file, "{%s}", body);
    fclose(file);
}

static int set_up(void **state) {
    bench *it = calloc(1, sizeof *it);
    assert_non_null(it);
    it->out = malloc(ROOM);
    assert_non_null(it->out);
    support_temporary_directory(it->directory, sizeof it->directory);
    write_file(it, "ring.json", SCENE_RING);
    write_file(it, "rotor.json", SCENE_DRUM);
    write_file(it, "site.json", SCENE_SITE);
    *state = it;
    return 0;
}

static int tear_down(void **state) {
    bench *it = *state;
    support_remove_tree(it->directory);
    free(it->out);
    free(it);
    return 0;
}

static int match(bench *it, const char *options) {
    char command[1000];
    snprintf(command, sizeof command,
             "cd '%s' && '%s' match ring.json --rotor rotor.json --site site.json --wheel 200mm %s",
             it->directory, TEST_SPINWORTH, options);
    return support_run(command, it->out, ROOM, it->err, sizeof it->err);
}

static void assert_verdict(bench *it, const char *options, const char *verdict,
                           const char *reason) {
    assert_int_equal(match(it, options), 0);
    cJSON *root = cJSON_Parse(it->out);
    assert_non_null(root);
    assert_string_equal(cJSON_GetStringValue(cJSON_GetObjectItemCaseSensitive(root, "verdict")),
                        verdict);
    cJSON_Delete(root);
    if (strstr(it->out, reason) == NULL)
        fail_msg("%s: \"%s\" is no reason", options, reason);
}

static void the_limits_are_the_builders(void **state) {
    bench *it = *state;
    assert_verdict(it, "--json", "use-if", "\"starts_early\"");
    assert_verdict(it, "--json --least-share 95%", "spare", "\"poor_share\"");
    assert_verdict(it, "--json --late-start 0.2", "spare", "\"starts_late\"");
    assert_int_equal(match(it, "--least-share 95%"), 0);
    assert_non_null(strstr(it->out, "95 % (see --least-share)"));
}

/* The low end of the year's range. */
static double low_end(bench *it, const char *options) {
    assert_int_equal(match(it, options), 0);
    cJSON *root = cJSON_Parse(it->out);
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
    bench *it = *state;
    double usual = low_end(it, "--json");
    double other = low_end(it, "--json --seed 2");
    assert_close(low_end(it, "--json --seed 0"), usual, 0);
    assert_close(low_end(it, "--json --seed 2"), other, 0);
    assert_true(fabs(other - usual) > 0);
    /* some 5 % quantile of hundreds of draws: the two are alike */
    assert_close(other, usual, 0.1 * usual);
}

static void wrong_numbers_are_refused(void **state) {
    static const struct {
        const char *options;
        const char *says;
    } ROWS[] = {{"--seed 1.5", "--seed"},
                {"--seed -1", "--seed"},
                {"--least-share 120%", "--least-share"},
                {"--late-start 5kg", "--late-start"}};
    bench *it = *state;
    for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; i++) {
        assert_int_equal(match(it, ROWS[i].options), 2);
        if (strstr(it->err, ROWS[i].says) == NULL)
            fail_msg("%s: %s", ROWS[i].options, it->err);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_limits_are_the_builders),
        cmocka_unit_test(the_seed_draws_anew),
        cmocka_unit_test(wrong_numbers_are_refused),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
