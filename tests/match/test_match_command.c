/* match and rank as typed at the bench. */
#include "tests/match/scene.h"

#include <math.h>
#include <stdlib.h>

enum { ROOM = 400000 };

typedef struct bench {
    char directory[200];
    char *out;
    char err[4000];
} bench;

static void write_file(const bench *it, const char *name, const char *body) {
    char path[300];
    snprintf(path, sizeof path, "%s/%s", it->directory, name);
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    fprintf(file, "{%s}", body);
    fclose(file);
}

static bench *set_up(void) {
    bench *it = calloc(1, sizeof *it);
    assert_non_null(it);
    it->out = malloc(ROOM);
    assert_non_null(it->out);
    support_temporary_directory(it->directory, sizeof it->directory);
    write_file(it, "ring.json", SCENE_RING);
    write_file(it, "brushes.json", SCENE_BRUSHED);
    write_file(it, "dead.json",
               "\"document\":\"motor\",\"version\":1,\"name\":\"dead\",\"kind\":\"none\"");
    write_file(it, "rotor.json", SCENE_DRUM);
    write_file(it, "lift.json", SCENE_LIFT);
    write_file(it, "site.json", SCENE_SITE);
    write_file(it, "load.json", SCENE_LOAD);
    return it;
}

static void tear_down(bench *it) {
    support_remove_tree(it->directory);
    free(it->out);
    free(it);
}

static int spinworth(bench *it, const char *arguments) {
    char command[1000];
    snprintf(command, sizeof command, "cd '%s' && '%s' %s", it->directory, TEST_SPINWORTH,
             arguments);
    return support_run(command, it->out, ROOM, it->err, sizeof it->err);
}

static cJSON *json_of(bench *it, const char *arguments) {
    assert_int_equal(spinworth(it, arguments), 0);
    cJSON *root = cJSON_Parse(it->out);
    assert_non_null(root);
    return root;
}

static const cJSON *at(const cJSON *root, const char *one, const char *two, const char *three) {
    const cJSON *item = cJSON_GetObjectItemCaseSensitive(root, one);
    item = two == NULL ? item : cJSON_GetObjectItemCaseSensitive(item, two);
    item = three == NULL ? item : cJSON_GetObjectItemCaseSensitive(item, three);
    assert_non_null(item);
    return item;
}

static double value_at(const cJSON *root, const char *two, const char *three) {
    const cJSON *item = at(root, "recommended", two, three);
    return cJSON_GetObjectItemCaseSensitive(item, "value")->valuedouble;
}

static void units_change_nothing(void **state) {
    (void)state;
    bench *it = set_up();
    write_file(it, "rotor_in.json",
               "\"document\":\"rotor\",\"version\":1,\"kind\":\"curve\","
               "\"width\":\"74.803149606299 in\",\"height\":\"59.055118110236 in\","
               "\"rim_diameter\":\"74.803149606299 in\",\"bearing_torque\":\"20 N cm\","
               "\"static_torque_coefficient\":0.2,"
               "\"curve\":{\"units\":{\"tip_speed_ratio\":\"1\",\"power_coefficient\":\"1\"},"
               "\"list\":[{\"tip_speed_ratio\":0.3,\"power_coefficient\":0.09},"
               "{\"tip_speed_ratio\":0.6,\"power_coefficient\":0.165},"
               "{\"tip_speed_ratio\":0.9,\"power_coefficient\":0.18},"
               "{\"tip_speed_ratio\":1.2,\"power_coefficient\":0.13},"
               "{\"tip_speed_ratio\":1.6,\"power_coefficient\":0.0}]}");
    cJSON *metric = json_of(it, "match ring.json --rotor rotor.json --site site.json --wheel "
                                "101.6mm --json");
    cJSON *inches = json_of(it, "match ring.json --rotor rotor_in.json --site site.json --wheel "
                                "4in --units us --json");
    /* lengths differ by their 14 digits; a root is found to 1e-13 */
    double energy = value_at(metric, "annual_energy", NULL);
    assert_close(value_at(inches, "annual_energy", NULL), energy, 1e-9 * energy);
    assert_close(value_at(inches, "drive", "contact_force"),
                 value_at(metric, "drive", "contact_force"), 1e-7);
    assert_close(value_at(inches, "start_wind", NULL), value_at(metric, "start_wind", NULL), 1e-7);
    cJSON_Delete(metric);
    cJSON_Delete(inches);
    tear_down(it);
}

static void halving_the_wheel_doubles_the_ratio(void **state) {
    (void)state;
    bench *it = set_up();
    cJSON *whole = json_of(it, "match ring.json --rotor rotor.json --site site.json --load "
                               "load.json --wheel 120mm --json");
    cJSON *half = json_of(it, "match ring.json --rotor rotor.json --site site.json --load "
                              "load.json --wheel 60mm --json");
    double ratio = at(whole, "recommended", "drive", "ratio")->valuedouble;
    assert_close(ratio, 1900.0 / 120, 1e-12);
    assert_close(at(half, "recommended", "drive", "ratio")->valuedouble, 2 * ratio, 1e-12);
    assert_close(value_at(half, "drive", "wheel_diameter"), 60, 1e-12);
    cJSON_Delete(whole);
    cJSON_Delete(half);
    tear_down(it);
}

static void wrong_calls_name_what_is_wrong(void **state) {
    static const struct {
        const char *call;
        int exit;
        const char *says;
    } CALLS[] = {
        {"match --rotor rotor.json --site site.json", 2, "motor document"},
        {"match ring.json --site site.json", 2, "--rotor"},
        {"match ring.json --rotor rotor.json", 2, "--site"},
        {"match ring.json brushes.json --rotor rotor.json --site site.json", 2, "rank"},
        {"match ring.json --rotor rotor.json --site site.json --wheel 70", 2, "--wheel"},
        {"match ring.json --rotor rotor.json --site site.json --wheel -3mm", 2, "--wheel"},
        {"match ring.json --rotor rotor.json --site site.json --wheel '5 kg'", 2, "--wheel"},
        {"match ring.json --rotor lift.json --site site.json --wheel 70mm", 3, "rim_diameter"},
        {"match ring.json --rotor rotor.json --site site.json --show strom", 2, "mean storm?"},
        {"match ring.json --rotor rotor.json --site site.json --show", 2, "--show needs a value"},
        {"match nowhere.json --rotor rotor.json --site site.json", 3, "nowhere.json"},
        {"match ring.json --rotor site.json --site site.json", 3, "site.json"},
        {"match ring.json --rotor rotor.json --site rotor.json", 3, "rotor.json"},
        {"match ring.json --rotor rotor.json --site site.json --load ring.json", 3, "ring.json"},
        {"match rotor.json --rotor rotor.json --site site.json", 3, "rotor.json"},
        {"match ring.json --rotor rotor.json --site site.json -o site.json", 2, "site.json"},
        {"rank --rotor rotor.json --site site.json", 2, "motors"},
        {"rank . --site site.json", 2, "--rotor"},
        {"rank . --rotor rotor.json", 2, "--site"},
        {"rank nowhere --rotor rotor.json --site site.json", 3, "nowhere"},
        {"rank rotor.json --rotor rotor.json --site site.json", 3, "rotor.json"},
    };
    (void)state;
    bench *it = set_up();
    for (size_t i = 0; i < sizeof CALLS / sizeof *CALLS; i++) {
        int exit_status = spinworth(it, CALLS[i].call);
        if (exit_status != CALLS[i].exit || strstr(it->err, CALLS[i].says) == NULL)
            fail_msg("%s: exit %d, says %s", CALLS[i].call, exit_status, it->err);
        assert_string_equal(it->out, "");
    }
    tear_down(it);
}

static void saves_and_keeps_old_files(void **state) {
    (void)state;
    bench *it = set_up();
    assert_int_equal(spinworth(it, "match ring.json --rotor rotor.json --site site.json -o "
                                   "m.json"),
                     0);
    assert_true(strstr(it->out, "ring: ") == it->out);
    assert_int_not_equal(spinworth(it, "match ring.json --rotor rotor.json --site site.json -o "
                                       "m.json"),
                         0);
    assert_int_equal(spinworth(it, "match ring.json --rotor rotor.json --site site.json -o "
                                   "m.json --force"),
                     0);
    tear_down(it);
}

/* Without a word the short answer, which tells the words; with --details everything. */
static void show_and_details_print_more(void **state) {
    (void)state;
    bench *it = set_up();
    assert_int_equal(spinworth(it, "match ring.json --rotor rotor.json --site site.json"), 0);
    assert_null(strstr(it->out, "BUILD SHEET"));
    assert_non_null(strstr(it->out, "--show"));
    assert_int_equal(spinworth(it, "match ring.json --rotor rotor.json --site site.json --show "
                                   "build,energy"),
                     0);
    assert_non_null(strstr(it->out, "BUILD SHEET"));
    assert_non_null(strstr(it->out, "Where it goes"));
    assert_null(strstr(it->out, "How sure it is"));
    assert_int_equal(spinworth(it, "match ring.json --rotor rotor.json --site site.json --details"),
                     0);
    assert_non_null(strstr(it->out, "BUILD SHEET"));
    assert_non_null(strstr(it->out, "How sure it is"));
    tear_down(it);
}

static void rank_sorts_by_energy(void **state) {
    (void)state;
    bench *it = set_up();
    cJSON *list = json_of(it, "rank . --rotor rotor.json --site site.json --load load.json --json");
    assert_true(cJSON_IsArray(list));
    assert_int_equal(cJSON_GetArraySize(list), 3);
    double last = INFINITY;
    for (int i = 0; i < 3; i++) {
        const cJSON *row = cJSON_GetArrayItem(list, i);
        const cJSON *energy = cJSON_GetObjectItemCaseSensitive(row, "annual_energy");
        double kwh = cJSON_IsNull(energy)
                         ? 0
                         : cJSON_GetObjectItemCaseSensitive(energy, "value")->valuedouble;
        assert_true(kwh <= last);
        assert_true(cJSON_IsString(cJSON_GetObjectItemCaseSensitive(row, "reason")));
        last = kwh;
    }
    const cJSON *dead = cJSON_GetArrayItem(list, 2);
    assert_string_equal(cJSON_GetObjectItemCaseSensitive(dead, "motor")->valuestring, "dead");
    assert_string_equal(cJSON_GetObjectItemCaseSensitive(dead, "verdict")->valuestring, "leave");
    cJSON_Delete(list);
    tear_down(it);
}

static void rank_takes_several_rotors(void **state) {
    (void)state;
    bench *it = set_up();
    cJSON *list = json_of(it, "rank ring.json brushes.json --rotor rotor.json --rotor lift.json "
                              "--site site.json --json");
    assert_int_equal(cJSON_GetArraySize(list), 4);
    cJSON_Delete(list);
    assert_int_equal(spinworth(it, "rank ring.json --rotor rotor.json --site site.json"), 0);
    assert_true(strncmp(it->out, "Take ring", 9) == 0);
    tear_down(it);
}

/* The same question to three commands: one answer. */
static void one_cut_in_for_all_commands(void **state) {
    (void)state;
    bench *it = set_up();
    cJSON *match = json_of(it, "match ring.json --rotor rotor.json --site site.json --json");
    double by_match = at(match, "charging_speed", "value", NULL)->valuedouble;
    cJSON *deliver = json_of(it, "deliver ring.json --speed 100rpm --battery 12.6V --json");
    assert_close(at(deliver, "cut_in_speed", "value", NULL)->valuedouble, by_match,
                 1e-9 * by_match);
    cJSON_Delete(deliver);
    cJSON_Delete(match);
    /* measure says it to three figures. */
    char said[80];
    snprintf(said, sizeof said, "12 V at %.*f rpm", by_match < 99.95 ? 1 : 0, by_match);
    assert_int_equal(spinworth(it, "measure --into ring.json --resistance 2.2ohm"), 0);
    assert_non_null(strstr(it->out, said));
    tear_down(it);
}

/* One motor that cannot be read or worked out is listed with its reason, after the others. */
static void a_failing_motor_does_not_end_the_ranking(void **state) {
    (void)state;
    bench *it = set_up();
    char command[300];
    snprintf(command, sizeof command, "cd '%s' && mkdir shelf && cp ring.json dead.json shelf/",
             it->directory);
    assert_int_equal(support_run(command, NULL, 0, NULL, 0), 0);
    write_file(it, "shelf/broken.json",
               "\"document\":\"motor\",\"version\":1,\"kind\":\"magnet-ac\",\"phases\":7");
    cJSON *list = json_of(it, "rank shelf/ --rotor rotor.json --site site.json --json");
    assert_int_equal(cJSON_GetArraySize(list), 3);
    const cJSON *last = cJSON_GetArrayItem(list, 2);
    const char *file = cJSON_GetObjectItemCaseSensitive(last, "file")->valuestring;
    const char *reason = cJSON_GetObjectItemCaseSensitive(last, "reason")->valuestring;
    assert_string_equal(file, "shelf/broken.json"); /* one slash */
    assert_non_null(strstr(reason, "shelf/broken.json: phases"));
    cJSON_Delete(list);
    assert_int_equal(spinworth(it, "rank shelf --rotor rotor.json --site site.json"), 0);
    assert_non_null(strstr(it->out, "not judged: shelf/broken.json"));
    /* Not one that can be judged is an error. */
    assert_int_equal(spinworth(it, "rank shelf/broken.json --rotor rotor.json --site site.json"),
                     3);
    tear_down(it);
}

/* What is not worth using has no conditions under which it would be. */
static void a_motor_to_leave_has_no_conditions(void **state) {
    (void)state;
    bench *it = set_up();
    write_file(it, "calm.json", "\"document\":\"site\",\"version\":1,\"mean_wind\":\"0.8 m/s\"");
    assert_int_equal(spinworth(it, "match ring.json --rotor rotor.json --site calm.json"), 0);
    assert_non_null(strstr(it->out, "no, leave it"));
    assert_null(strstr(it->out, "Use it if"));
    tear_down(it);
}

/* The wheel that is there against the one that would suit. */
static void rank_names_a_better_wheel(void **state) {
    (void)state;
    bench *it = set_up();
    cJSON *list = json_of(it, "rank ring.json --rotor rotor.json --site site.json --wheel 30mm "
                              "--json");
    const cJSON *row = cJSON_GetArrayItem(list, 0);
    const char *reason = cJSON_GetObjectItemCaseSensitive(row, "reason")->valuestring;
    assert_non_null(strstr(reason, "needs a different wheel"));
    cJSON_Delete(list);
    tear_down(it);
}

/* What is worth it is the builder's to say: the same motor, other verdicts. */
static void worth_moves_the_verdict(void **state) {
    (void)state;
    bench *it = set_up();
    cJSON *modest = json_of(it, "match ring.json --rotor rotor.json --site site.json --json");
    cJSON *choosy = json_of(it, "match ring.json --rotor rotor.json --site site.json --worth "
                                "100000kWh --json");
    assert_string_not_equal(at(modest, "verdict", NULL, NULL)->valuestring, "leave");
    assert_string_equal(at(choosy, "verdict", NULL, NULL)->valuestring, "leave");
    assert_close(value_at(choosy, "annual_energy", NULL), value_at(modest, "annual_energy", NULL),
                 1e-9);
    cJSON_Delete(modest);
    cJSON_Delete(choosy);
    tear_down(it);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_cut_in_for_all_commands),
        cmocka_unit_test(rank_names_a_better_wheel),
        cmocka_unit_test(worth_moves_the_verdict),
        cmocka_unit_test(a_failing_motor_does_not_end_the_ranking),
        cmocka_unit_test(a_motor_to_leave_has_no_conditions),
        cmocka_unit_test(units_change_nothing),
        cmocka_unit_test(halving_the_wheel_doubles_the_ratio),
        cmocka_unit_test(wrong_calls_name_what_is_wrong),
        cmocka_unit_test(saves_and_keeps_old_files),
        cmocka_unit_test(show_and_details_print_more),
        cmocka_unit_test(rank_sorts_by_energy),
        cmocka_unit_test(rank_takes_several_rotors),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
