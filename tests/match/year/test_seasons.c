/* Months and hot magnets. */
#include "tests/match/scene.h"

#include "src/match/match.h"

static const char MONTHS[] =
    ",\"monthly_mean_wind\":{\"unit\":\"m/s\",\"list\":[6,6,5.5,5,4.5,4,3.6,3.8,4.4,5,5.5,6]}";

static void months_follow_their_wind(void **state) {
    char body[600];
    snprintf(body, sizeof body, "%s%s", SCENE_SITE, MONTHS);
    scene it;
    scene_set_up(*state, SCENE_DRUM, SCENE_RING, body, &it);
    sw_match *match = test_calloc(1, sizeof *match);
    sw_error error = {0};
    it.load.standby_w = 0.5;
    sw_match_request request = scene_request(&it, 125);
    assert_ok(sw_match_run(&request, match, &error), &error);
    const sw_seasons *seasons = &match->seasons;
    assert_true(seasons->monthly);
    assert_int_equal(seasons->leanest, 6);
    assert_true(seasons->month_wh_day[0] > seasons->month_wh_day[3]);
    assert_true(seasons->month_wh_day[3] > seasons->month_wh_day[6]);
    for (int i = 0; i < SW_SITE_MONTHS; i++)
        assert_true(seasons->usable_wh_day[i] >= 0 &&
                    seasons->usable_wh_day[i] <= seasons->month_wh_day[i]);
    /* A month with the year's own mean gives a day's share of the year: 365 days. */
    double mean = it.site.mean_wind.value;
    it.site.month_mean_m_s[2] = mean;
    sw_seasons again;
    sw_seasons_request asked = {&match->plant, &match->curve, &it.site, &match->load,
                                TEST_REFERENCE_DIR};
    assert_ok(sw_seasons_of(&asked, &again, &error), &error);
    assert_close(again.month_wh_day[2], 1000 * match->started_kwh / 365,
                 1e-9 * again.month_wh_day[2]);
    /* ferrite at 80 degC: 12 % less, so the current begins 1/0.88 faster */
    assert_close(seasons->hot_emf, 0.88, 1e-9);
    assert_close(seasons->hot_cut_in_rpm, match->cut_in_rpm / 0.88, 1e-6 * seasons->hot_cut_in_rpm);
    sw_match_free(match);
    test_free(match);
    scene_tear_down(&it);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(months_follow_their_wind),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
