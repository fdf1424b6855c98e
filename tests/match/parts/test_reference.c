/* The published tables: each value has a source or is marked, and the accessors find them. */
#include "tests/support.h"

#include "shared/files.h"
#include "shared/motor.h"
#include "src/match/parts/reference.h"
#include "src/match/sheet/remark.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *const STATUSES[] = {"published", "computed", "from memory", "common practice",
                                       NULL};

static void check_row(const sw_node *top, const sw_node *row) {
    const char *source = NULL;
    int status = -1;
    sw_error error = {0};
    sw_node sources;
    assert_ok(sw_node_object(top, "sources", &sources, &error), &error);
    assert_ok(sw_node_need(row, "source", "", &error), &error);
    assert_ok(sw_node_text(row, "source", &source, &error), &error);
    assert_ok(sw_node_need(&sources, source, "", &error), &error);
    assert_ok(sw_node_need(row, "status", "", &error), &error);
    assert_ok(sw_node_word(row, "status", STATUSES, &status, &error), &error);
    const char *text = NULL;
    assert_ok(sw_node_text(&sources, source, &text, &error), &error);
    assert_true(strlen(text) > 10);
    /* What is from memory must not look as if it had been read. */
    if (strstr(text, "rom memory") != NULL && strstr(text, "wording") == NULL)
        assert_true(status != 0);
}

static void check_columns(const sw_node *top, const sw_node *row) {
    static const char *const FREE[] = {"name",       "source",     "status",  "note",
                                       "conditions", "kind",       "values",  "phases",
                                       "gear",       "pneumatic",  "terrain", "length_range",
                                       "no_load",    "star_point", "called",  "good",
                                       "bad",        "judged",     NULL};
    sw_node units;
    sw_error error = {0};
    assert_ok(sw_node_object(top, "units", &units, &error), &error);
    const cJSON *item = NULL;
    cJSON_ArrayForEach(item, row->json) {
        bool known = cJSON_GetObjectItemCaseSensitive(units.json, item->string) != NULL;
        for (size_t i = 0; FREE[i] != NULL; i++)
            known = known || strcmp(FREE[i], item->string) == 0;
        if (!known)
            fail_msg("%s: column %s has no unit", row->path, item->string);
    }
}

static void check_list(const sw_node *top, const char *key, bool columns) {
    sw_node list;
    sw_error error = {0};
    assert_ok(sw_node_array(top, key, &list, &error), &error);
    for (size_t i = 0; i < sw_node_count(&list); i++) {
        sw_node row = sw_node_item(&list, i);
        check_row(top, &row);
        if (columns)
            check_columns(top, &row);
    }
}

static void check_table(const char *path, size_t *rows) {
    cJSON *root = NULL;
    sw_error error = {0};
    sw_node drag;
    const char *about = NULL;
    assert_ok(sw_json_read(path, &root, &error), &error);
    sw_node top = sw_node_top(root, path, NULL);
    assert_ok(sw_node_text(&top, "about", &about, &error), &error);
    assert_non_null(about);
    assert_true(sw_node_has(&top, "units") && sw_node_has(&top, "sources"));
    sw_node list;
    assert_ok(sw_node_array(&top, "list", &list, &error), &error);
    assert_true(sw_node_count(&list) > 0);
    *rows += sw_node_count(&list);
    check_list(&top, "list", true);
    check_list(&top, "static", false);
    assert_ok(sw_node_object(&top, "parked_drag", &drag, &error), &error);
    if (drag.json != NULL)
        check_row(&top, &drag);
    cJSON_Delete(root);
}

static size_t walk(const char *directory, size_t *rows) {
    char **paths = NULL;
    size_t count = 0;
    sw_error error = {0};
    assert_ok(sw_file_list(directory, ".json", &paths, &count, &error), &error);
    for (size_t i = 0; i < count; i++)
        check_table(paths[i], rows);
    sw_file_list_free(paths, count);
    return count;
}

static void every_value_has_a_source(void **state) {
    (void)state;
    size_t rows = 0;
    size_t tables = walk(TEST_REFERENCE_DIR, &rows);
    tables += walk(TEST_REFERENCE_DIR "/rotors", &rows);
    print_message("%zu tables, %zu rows\n", tables, rows);
    assert_true(tables >= 29 && rows > 200);
}

static void wheels_are_sorted(void **state) {
    (void)state;
    sw_stock_wheel *wheels = NULL;
    size_t count = 0;
    sw_error error = {0};
    assert_ok(sw_stock_wheels(TEST_REFERENCE_DIR, &wheels, &count, &error), &error);
    assert_true(count > 20);
    for (size_t i = 0; i < count; i++) {
        assert_true(wheels[i].diameter_mm > 40 && wheels[i].diameter_mm < 400);
        assert_true(wheels[i].tolerance_mm > 0 && wheels[i].tolerance_mm < 10);
        assert_true(wheels[i].name[0] != '\0');
        if (i > 0)
            assert_true(wheels[i].diameter_mm >= wheels[i - 1].diameter_mm);
    }
    free(wheels);
}

static void friction_is_a_range(void **state) {
    (void)state;
    static const char *const NAMES[] = {"polyurethane-steel", "polyurethane-painted-steel",
                                        "rubber-steel",       "rubber-painted-steel",
                                        "brake-rubber-rim",   "tyre-asphalt",
                                        "pneumatic-steel",    "plastic-steel"};
    for (size_t i = 0; i < sizeof NAMES / sizeof *NAMES; i++) {
        sw_friction pair;
        sw_error error = {0};
        assert_ok(sw_friction_pair(TEST_REFERENCE_DIR, NAMES[i], &pair, &error), &error);
        assert_true(pair.wet[0] > 0 && pair.wet[1] >= pair.wet[0]);
        assert_true(pair.dry[0] >= pair.wet[0] && pair.dry[1] > pair.wet[1]);
        assert_true(pair.creep[0] > 0 && pair.creep[1] < 0.1);
        assert_true(pair.rolling_arm_mm[0] > 0);
    }
}

static void cables(void **state) {
    (void)state;
    sw_error error = {0};
    double ohm = 0;
    double area = 0;
    assert_ok(sw_cable_resistance(TEST_REFERENCE_DIR, 2.5, &ohm, &error), &error);
    assert_close(ohm, 7.98, 1e-12);
    assert_ok(sw_cable_resistance(TEST_REFERENCE_DIR, 3.0, &ohm, &error), &error);
    assert_close(ohm, 7.98 * 2.5 / 3, 1e-12);
    assert_ok(sw_cable_resistance(TEST_REFERENCE_DIR, 0.25, &ohm, &error), &error);
    assert_close(ohm, 39.0 * 2, 1e-12);
    double before = HUGE_VAL;
    for (double size = 0.1; size < 60; size *= 1.05) {
        assert_ok(sw_cable_resistance(TEST_REFERENCE_DIR, size, &ohm, &error), &error);
        /* from one size of the standard to the next R x A may rise by 2 % */
        assert_true(ohm < before * 1.03);
        before = ohm;
    }
    /* lasting current: 4 mm2 32 A, 6 mm2 41 A */
    static const double CARRIED[][2] = {{30, 4}, {32, 4}, {32.1, 6}, {41, 6}};
    for (size_t i = 0; i < sizeof CARRIED / sizeof *CARRIED; i++) {
        assert_ok(sw_cable_for_current(TEST_REFERENCE_DIR, CARRIED[i][0], &area, &error), &error);
        assert_close(area, CARRIED[i][1], 0);
    }
    assert_int_equal(sw_cable_for_current(TEST_REFERENCE_DIR, 900, &area, &error), SW_VALUE);
}

static void limits_and_kinds(void **state) {
    (void)state;
    sw_error error = {0};
    sw_safety_limit dry;
    sw_safety_limit wet;
    sw_battery_kind kind;
    sw_diode_rating rating;
    sw_drag_pair drag;
    assert_ok(sw_safety_find(TEST_REFERENCE_DIR, "bare-dry", &dry, &error), &error);
    assert_ok(sw_safety_find(TEST_REFERENCE_DIR, "bare-wet", &wet, &error), &error);
    assert_true(wet.ac_v < dry.ac_v && wet.dc_v < dry.dc_v);
    assert_ok(sw_battery_find(TEST_REFERENCE_DIR, "lifepo4", &kind, &error), &error);
    assert_true(kind.empty_v < kind.rest_v && kind.rest_v < kind.full_v);
    assert_ok(sw_diode_rating_find(TEST_REFERENCE_DIR, "silicon", &rating, &error), &error);
    assert_true(rating.current_a > 10 && rating.inverse_v > 100);
    assert_ok(sw_diode_rating_find(TEST_REFERENCE_DIR, "ideal", &rating, &error), &error);
    assert_true(isnan(rating.current_a));
    assert_ok(sw_drag_find(TEST_REFERENCE_DIR, "half-pipe", &drag, &error), &error);
    assert_true(drag.front > drag.back);
    assert_int_equal(sw_drag_find(TEST_REFERENCE_DIR, "spoon", &drag, &error), SW_NOT_FOUND);
}

typedef const char *(*name_of)(int code);

static const char *warning_name(int code) {
    return sw_warning_name((sw_warning_code)code);
}

static const char *remark_name(int code) {
    return sw_remark_name((sw_remark_code)code);
}

/* The enumeration of a schema and the program's closed list are the same set. */
static void check_codes(const char *path, const char *definition, name_of name, int count) {
    cJSON *root = NULL;
    sw_error error = {0};
    sw_node node;
    sw_node list;
    assert_ok(sw_json_read(path, &root, &error), &error);
    sw_node top = sw_node_top(root, path, NULL);
    assert_ok(sw_node_object(&top, "$defs", &node, &error), &error);
    assert_ok(sw_node_object(&node, definition, &node, &error), &error);
    assert_ok(sw_node_array(&node, "enum", &list, &error), &error);
    for (int i = 0; i < count; i++) {
        bool found = false;
        const cJSON *item = NULL;
        cJSON_ArrayForEach(item, list.json) found =
            found || strcmp(item->valuestring, name(i)) == 0;
        if (!found)
            fail_msg("%s: %s lacks \"%s\"", path, definition, name(i));
    }
    assert_int_equal(sw_node_count(&list), count);
    cJSON_Delete(root);
}

static void schemas_list_every_code(void **state) {
    (void)state;
    check_codes(TEST_REFERENCE_DIR "/schema/motor.schema.json", "warning_code", warning_name,
                SW_WARN_COUNT);
    check_codes(TEST_REFERENCE_DIR "/schema/match.schema.json", "remark_code", remark_name,
                SW_REMARK_COUNT);
}

static void missing_tables_are_named(void **state) {
    (void)state;
    sw_error error = {0};
    sw_table table;
    assert_int_equal(sw_table_open("/no/such/place", "wheels", &table, &error), SW_NOT_FOUND);
    assert_non_null(strstr(error.message, "/no/such/place/wheels.json"));
    sw_table_close(&table);
    assert_int_equal(sw_table_open(TEST_REFERENCE_DIR, "wheelz", &table, &error), SW_NOT_FOUND);
    sw_table_close(&table);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_value_has_a_source), cmocka_unit_test(wheels_are_sorted),
        cmocka_unit_test(friction_is_a_range),      cmocka_unit_test(cables),
        cmocka_unit_test(limits_and_kinds),         cmocka_unit_test(schemas_list_every_code),
        cmocka_unit_test(missing_tables_are_named),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
