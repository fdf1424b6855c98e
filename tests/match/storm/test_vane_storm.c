/* A storm on one vane, by hand. */
#include "tests/match/scene.h"

#include "src/match/rank.h"
#include "src/match/storm/vane_storm.h"

#include <math.h>
#include <stdlib.h>

#define CUPS                                                                                       \
    "\"document\":\"rotor\",\"version\":1,\"kind\":\"cups\",\"vanes\":4,"                          \
    "\"vane_width\":\"600 mm\",\"vane_height\":\"1500 mm\",\"arm\":\"700 mm\","                    \
    "\"drag_front\":1.4,\"drag_back\":0.7,\"shielded\":0.5,\"rim_diameter\":\"1900 mm\""

static void forces_by_hand(void **state) {
    sw_rotor rotor = scene_rotor(*state, CUPS ",\"vane_mass\":\"3 kg\"");
    sw_vane_storm vane = sw_vane_storm_of(&rotor, 1.2, 30, 10);
    assert_close(vane.wind_n, 0.5 * 1.2 * 900 * 1.4 * 0.6 * 1.5, 1e-9);
    assert_close(vane.pull_n, 3 * 100 * 0.7, 1e-9);
    assert_true(vane.parked_n > vane.wind_n && vane.parked_n < 4 * vane.wind_n);
    /* Twice the wind: four times both forces of a free rotor. */
    sw_vane_storm slow = sw_vane_storm_free(&rotor, 1.2, 15);
    sw_vane_storm fast = sw_vane_storm_free(&rotor, 1.2, 30);
    assert_close(fast.wind_n / slow.wind_n, 4, 1e-9);
    assert_close(fast.pull_n / slow.pull_n, 4, 1e-9);
    assert_close(fast.rotor_rad_s, rotor.no_load_tip_speed_ratio * 30 / rotor.radius_m, 1e-6);
    sw_rotor_free(&rotor);
}

static void what_is_not_known_is_not_told(void **state) {
    sw_rotor rotor = scene_rotor(*state, CUPS);
    sw_vane_storm vane = sw_vane_storm_of(&rotor, 1.2, 30, 10);
    assert_true(isfinite(vane.wind_n) && isnan(vane.pull_n));
    sw_rotor_free(&rotor);
    rotor = scene_rotor(*state, SCENE_DRUM);
    vane = sw_vane_storm_of(&rotor, 1.2, 30, 10);
    assert_true(isnan(vane.wind_n) && isnan(vane.pull_n));
    sw_rotor_free(&rotor);
}

/* Two vane sets under one motor: the heavier loads turn no faster than the free rotor. */
static void rank_tells_each_rotor_s_storm(void **state) {
    sw_motor motor = scene_motor(*state, SCENE_RING);
    sw_rotor rotor[2] = {scene_rotor(*state, CUPS ",\"vane_mass\":\"3 kg\""),
                         scene_rotor(*state, SCENE_DRUM)};
    sw_site site = scene_site(*state, SCENE_SITE);
    sw_shop shop = scene_shop();
    sw_rank_row *rows = NULL;
    sw_error error;
    sw_rank_request request = {
        .motor = &motor, .motors = 1, .rotor = rotor, .rotors = 2, .site = &site, .shop = &shop};
    assert_ok(sw_rank_run(&request, &rows, &error), &error);
    for (size_t i = 0; i < 2; i++) {
        const sw_rank_row *row = &rows[i];
        sw_vane_storm most = sw_vane_storm_free(&rotor[row->rotor], site.density, 35);
        assert_true(row->recommended);
        assert_close(row->vane.wind_m_s, 35, 0);
        assert_true(row->vane.rotor_rad_s > 0 &&
                    row->vane.rotor_rad_s <= most.rotor_rad_s * (1 + 1e-6));
        assert_true(row->strong_w > row->light_w && row->strong_w > 0);
        assert_int_equal(isfinite(row->vane.pull_n), row->rotor == 0);
    }
    free(rows);
    sw_rotor_free(&rotor[0]);
    sw_rotor_free(&rotor[1]);
    sw_site_free(&site);
    sw_shop_free(&shop);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(forces_by_hand),
        cmocka_unit_test(what_is_not_known_is_not_told),
        cmocka_unit_test(rank_tells_each_rotor_s_storm),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
