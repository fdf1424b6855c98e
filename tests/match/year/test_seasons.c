/* Months and hot magnets. */
#include "tests/match/scene.h"

#include "src/match/match.h"

#include <math.h>

static const char MONTHS[] =
    ",\"monthly_mean_wind\":{\"unit\":\"m/s\",\"list\":[6,6,5.5,5,4.5,4,3.6,3.8,4.4,5,5.5,6]}";

static void months_follow_their_wind(void **state) {
    char body[600];
    snprintf(body, sizeof body, "%s%s", SCENE_SITE, MONTHS);
    sw_rotor rotor = scene_rotor(*state, SCENE_DRUM);
    sw_motor motor = scene_motor(*state, SCENE_RING);
    sw_site site = scene_site(*state, body);
    sw_load load = scene_load(*state, SCENE_LOAD);
    sw_shop shop = scene_shop();
    sw_match *match = test_calloc(1, sizeof *match);
    sw_error error = {0};
    load.standby_w = 0.5;
    sw_match_request request = {.motor = &motor,
                                .rotor = &rotor,
                                .site = &site,
                                .load = &load,
                                .shop = &shop,
                                .wheel_mm = 125,
                                .run_out_mm = NAN,
                                .moving_kg = NAN};
    assert_ok(sw_match_run(&request, match, &error), &error);
    const sw_seasons *it = &match->seasons;
    assert_true(it->monthly);
    assert_int_equal(it->leanest, 6);
    assert_true(it->month_wh_day[0] > it->month_wh_day[3]);
    assert_true(it->month_wh_day[3] > it->month_wh_day[6]);
    for (int i = 0; i < SW_SITE_MONTHS; i++)
        assert_true(it->usable_wh_day[i] >= 0 && it->usable_wh_day[i] <= it->month_wh_day[i]);
    /* A month with the year's own mean gives a day's share of the year: 365 days. */
    double mean = site.mean_wind.value;
    site.month_mean_m_s[2] = mean;
    sw_seasons again;
    sw_seasons_request asked = {&match->plant, &match->curve, &site, &match->load,
                                TEST_REFERENCE_DIR};
    assert_ok(sw_seasons_of(&asked, &again, &error), &error);
    assert_close(again.month_wh_day[2], 1000 * match->started_kwh / 365,
                 1e-9 * again.month_wh_day[2]);
    /* ferrite at 80 degC: 12 % less, so the current begins 1/0.88 faster */
    assert_close(it->hot_emf, 0.88, 1e-9);
    assert_close(it->hot_cut_in_rpm, match->cut_in_rpm / 0.88, 1e-6 * it->hot_cut_in_rpm);
    sw_match_free(match);
    test_free(match);
    sw_rotor_free(&rotor);
    sw_site_free(&site);
    sw_shop_free(&shop);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(months_follow_their_wind),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
