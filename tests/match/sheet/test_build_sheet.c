/* The cable of the build sheet: the one that is stated, else one to buy. */
#include "tests/match/scene.h"

#include "src/match/match.h"
#include "src/report/match_text.h"

typedef struct sheet_bench {
    scene scene;
    sw_match match;
    sw_match_request request;
    sw_text text;
} sheet_bench;

static sheet_bench *set_up(const sw_units *units, double length_m, double area_mm2) {
    static sheet_bench it;
    sw_error error = {0};
    it = (sheet_bench){0};
    scene_set_up(units, SCENE_DRUM, SCENE_RING, SCENE_SITE, &it.scene);
    it.scene.load.cable_length_m = length_m;
    it.scene.load.cable_area_mm2 = area_mm2;
    it.request = scene_request(&it.scene, 120);
    assert_ok(sw_match_run(&it.request, &it.match, &error), &error);
    assert_true(it.match.full);
    sw_build_sheet_text(&it.request, &it.match, false, &it.text);
    return &it;
}

static void tear_down(sheet_bench *it) {
    sw_text_free(&it->text);
    sw_match_free(&it->match);
    scene_tear_down(&it->scene);
}

static bool says(sheet_bench *it, const char *words) {
    return strstr(sw_text_string(&it->text), words) != NULL;
}

/* 2 x 15 m of 35 mm2 class 5, 0.554 ohm/km (IEC 60228, as in reference/wire_iec60228.json). */
static void a_stated_cable_is_used(void **state) {
    sheet_bench *it = set_up(*state, 15, 35);
    const sw_build_sheet *sheet = &it->match.sheet;
    double w = sw_plant_settle(&it->match.plant, it->match.best.working_wind, 0).running_rad_s;
    double amps = sw_plant_at(&it->match.plant, SW_GENERATOR_DC_AMPS, w);
    assert_close(sheet->own_mm2, 35, 0);
    assert_false(sheet->own_thin);
    assert_close(sheet->drop_v, 2 * 15e-3 * 0.554 * amps, 1e-6 * amps);
    assert_true(says(it, "Your cable of 35 mm"));
    assert_true(says(it, "15 m"));
    tear_down(it);
}

static void a_thin_cable_is_told(void **state) {
    sheet_bench *it = set_up(*state, 15, 0.5);
    assert_true(it->match.sheet.own_thin);
    assert_true(says(it, "is too thin"));
    tear_down(it);
}

static void without_one_it_is_to_be_bought(void **state) {
    sheet_bench *it = set_up(*state, 0, 0);
    assert_true(isnan(it->match.sheet.own_mm2) && !it->match.sheet.own_thin);
    assert_close(it->match.sheet.cable_m, 10, 0);
    assert_true(says(it, "Cable of at least"));
    tear_down(it);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_stated_cable_is_used),
        cmocka_unit_test(a_thin_cable_is_told),
        cmocka_unit_test(without_one_it_is_to_be_bought),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
