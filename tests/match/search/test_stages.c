/* Motors lowered on one rim one after another. */
#include "tests/match/scene.h"

#include "src/match/match.h"

/* A motor that cogs hard: three of them on the rim from the start need a strong wind, one does not.
 */
static void one_after_another_pays_where_cogging_holds(void **state) {
    sw_rotor rotor = scene_rotor(*state, SCENE_DRUM);
    sw_motor motor = scene_motor(*state, SCENE_RING);
    sw_site site = scene_site(*state, SCENE_SITE);
    sw_load load = scene_load(*state, SCENE_LOAD);
    sw_shop shop = scene_shop();
    sw_match *match = test_calloc(1, sizeof *match);
    sw_error error = {0};
    motor.cogging_torque = sw_quantity_of(0.6, 0.05, "N m");
    motor.winding_resistance = sw_quantity_of(12, 0.1, "ohm");
    sw_match_request request = {.motor = &motor,
                                .rotor = &rotor,
                                .site = &site,
                                .load = &load,
                                .shop = &shop,
                                .wheel_mm = 125,
                                .run_out_mm = 1,
                                .moving_kg = 2,
                                .machines = 3};
    assert_ok(sw_match_run(&request, match, &error), &error);
    const sw_stages *stages = &match->stages;
    print_message("%zu stages, %.1f kWh against %.1f\n", stages->stages, stages->kwh,
                  stages->against_kwh);
    assert_true(stages->pays);
    assert_true(stages->kwh > stages->against_kwh);
    assert_int_equal(stages->stage[0].machines, 1);
    for (size_t i = 1; i < stages->stages; i++) {
        assert_true(stages->stage[i].from_wind >= stages->stage[i - 1].from_wind);
        assert_true(stages->stage[i].machines > stages->stage[i - 1].machines);
        assert_true(stages->stage[i].from_rotor_rad_s > 0);
    }
    /* no envelope beats the rotor at its best */
    assert_true(stages->kwh < match->potential_kwh);
    sw_match_free(match);
    test_free(match);
    sw_rotor_free(&rotor);
    sw_site_free(&site);
    sw_shop_free(&shop);
}

static void one_motor_has_no_stages(void **state) {
    scene it;
    scene_set_up(*state, SCENE_DRUM, SCENE_RING, SCENE_SITE, &it);
    sw_match *match = test_calloc(1, sizeof *match);
    sw_error error = {0};
    sw_match_request request = scene_request(&it, 125);
    assert_ok(sw_match_run(&request, match, &error), &error);
    assert_false(match->stages.pays);
    sw_match_free(match);
    test_free(match);
    scene_tear_down(&it);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_after_another_pays_where_cogging_holds),
        cmocka_unit_test(one_motor_has_no_stages),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
