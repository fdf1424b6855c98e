/* Wheel, belt, chain and direct against each other on one rotor. */
#include "tests/match/search/support_search.h"

#include <math.h>

/* A fast rotor with a small rim, as a multi-blade one has. */
#define FAST                                                                                       \
    "\"document\":\"rotor\",\"version\":1,\"kind\":\"curve\",\"width\":\"2.4 m\","                 \
    "\"height\":\"4 m\",\"rim_diameter\":\"900 mm\",\"static_torque_coefficient\":0.2,"            \
    "\"curve\":{\"units\":{\"tip_speed_ratio\":\"1\",\"power_coefficient\":\"1\"},\"list\":["      \
    "{\"tip_speed_ratio\":0.3,\"power_coefficient\":0.09},"                                        \
    "{\"tip_speed_ratio\":0.8,\"power_coefficient\":0.2},"                                         \
    "{\"tip_speed_ratio\":1.6,\"power_coefficient\":0.0}]}"

/* Stated, all kinds are equal. */
#define ALL_DRIVES                                                                                 \
    (SW_DRIVE_BIT(SW_DRIVE_FRICTION) | SW_DRIVE_BIT(SW_DRIVE_BELT) |                               \
     SW_DRIVE_BIT(SW_DRIVE_CHAIN) | SW_DRIVE_BIT(SW_DRIVE_DIRECT))

static size_t count_of(const sw_search *search, sw_drive_id drive) {
    size_t count = 0;
    for (size_t i = 0; i < search->choices; i++)
        count += search->choice[i].gear.drive == drive;
    return count;
}

/* A rim adds its wheels to what there was; it takes nothing away. */
static void a_rim_never_costs_energy(void **state) {
    search_bench it;
    sw_search search;
    search_set_up(*state, FAST, SCENE_RING, &it);
    it.request.drives = ALL_DRIVES;
    search_run(&it, &search);
    for (int drive = 0; drive < SW_DRIVE_COUNT; drive++)
        assert_true(count_of(&search, (sw_drive_id)drive) > 0);
    double with_rim = search.choice[0].started_kwh;
    sw_search_free(&search);
    it.scene.rotor.rim_diameter_mm = NAN;
    search_run(&it, &search);
    assert_int_equal(count_of(&search, SW_DRIVE_FRICTION), 0);
    assert_true(count_of(&search, SW_DRIVE_CHAIN) > 0);
    /* the wheels' larger ratios stretch the table over speed, whose points then lie elsewhere */
    assert_true(with_rim >= search.choice[0].started_kwh * 0.995);
    sw_search_free(&search);
    scene_tear_down(&it.scene);
}

/* The one that gives most is recommended, whatever its kind: with a motor of so many volts a turn
 * that it wants no gear, straight on the shaft. */
static void the_kind_with_most_energy_wins(void **state) {
    search_bench it;
    sw_search search;
    search_set_up(*state, FAST, SCENE_RING, &it);
    it.request.drives = ALL_DRIVES;
    for (double volts = 0.06; volts < 1; volts *= 2) {
        it.scene.motor.voltage_constant.value = volts;
        search_run(&it, &search);
        double most = 0;
        for (size_t i = 0; i < search.choices; i++) {
            sw_choice again = search.choice[i];
            if (again.rejection != SW_REJECTED_NOT ||
                again.started_kwh < 0.9 * search.choice[0].started_kwh)
                continue;
            sw_search_refine(&it.request, &search, &again);
            if (again.rejection == SW_REJECTED_NOT)
                most = fmax(most, again.started_kwh);
        }
        /* sketches sort what is looked at closely: neighbours of one kind may change places */
        assert_true(search.found && search.choice[0].started_kwh >= 0.99 * most);
        sw_search_free(&search);
    }
    scene_tear_down(&it.scene);
}

static double best_of(const sw_search *search, bool wheel) {
    double most = 0;
    for (size_t i = 0; i < search->choices; i++)
        if ((search->choice[i].gear.drive == SW_DRIVE_FRICTION) == wheel &&
            search->choice[i].rejection == SW_REJECTED_NOT)
            most = fmax(most, search->choice[i].started_kwh);
    return most;
}

/* Nothing stated, the rim gets its wheel, until another kind gives half as much again. */
static void a_rim_asks_for_a_wheel(void **state) {
    static const char *const ROTORS[] = {SCENE_DRUM, FAST};
    bool seen[2] = {false, false};
    for (size_t i = 0; i < 2; i++) {
        search_bench it;
        sw_search search;
        search_set_up(*state, ROTORS[i], SCENE_RING, &it);
        search_run(&it, &search);
        bool wheel = search.choice[0].gear.drive == SW_DRIVE_FRICTION;
        seen[wheel] = true;
        /* most are sketches, some percent off */
        double gain = best_of(&search, false) / best_of(&search, true);
        assert_true(wheel ? gain > 1 && gain < 1.6 : gain > 1.4);
        sw_search_free(&search);
        scene_tear_down(&it.scene);
    }
    assert_true(seen[0] && seen[1]);
}

static void only_the_kinds_that_are_allowed(void **state) {
    search_bench it;
    sw_search search;
    sw_error error = {0};
    search_set_up(*state, FAST, SCENE_RING, &it);
    it.request.drives = SW_DRIVE_BIT(SW_DRIVE_BELT) | SW_DRIVE_BIT(SW_DRIVE_DIRECT);
    search_run(&it, &search);
    assert_true(search.choices > 1);
    assert_int_equal(count_of(&search, SW_DRIVE_FRICTION) + count_of(&search, SW_DRIVE_CHAIN), 0);
    sw_search_free(&search);
    it.request.wheel_mm = 100;
    assert_int_equal(sw_search_run(&it.request, &search, &error), SW_MISMATCH);
    it.request.wheel_mm = NAN;
    it.request.drives = SW_DRIVE_BIT(SW_DRIVE_FRICTION);
    it.scene.rotor.rim_diameter_mm = NAN;
    assert_int_equal(sw_search_run(&it.request, &search, &error), SW_MISMATCH);
    assert_non_null(strstr(error.message, "rim_diameter"));
    scene_tear_down(&it.scene);
}

/* Pairs of about one ratio are one, and none of the ratios that can be had is lost. */
static void every_ratio_is_kept(void **state) {
    sw_shop shop = scene_shop();
    sw_gear gear[SW_GEAR_LIMIT];
    sw_gear_wish wish = {NAN, NAN, SW_DRIVE_BIT(SW_DRIVE_CHAIN)};
    size_t gears = sw_shop_gears(&shop, &wish, gear);
    (void)state;
    for (size_t i = 0; i < shop.sprockets; i++)
        for (size_t j = 0; j < shop.sprockets; j++) {
            if (shop.teeth[i] < 28 || shop.teeth[j] > 28 || shop.teeth[i] == shop.teeth[j])
                continue;
            double wanted = sw_chain_pitch_mm(shop.teeth[i]) / sw_chain_pitch_mm(shop.teeth[j]);
            double nearest = INFINITY;
            for (size_t k = 0; k < gears; k++)
                nearest = fmin(nearest, fabs(gear[k].driver_mm / gear[k].wheel_mm / wanted - 1));
            assert_true(nearest < 0.04); /* twice the step: a pair may take another's place */
        }
    for (size_t i = 1; i < gears; i++)
        for (size_t j = 0; j < i; j++)
            assert_true(gear[i].driver_teeth != gear[j].driver_teeth ||
                        gear[i].wheel_teeth != gear[j].wheel_teeth);
    sw_shop_free(&shop);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_rim_never_costs_energy),
        cmocka_unit_test(the_kind_with_most_energy_wins),
        cmocka_unit_test(a_rim_asks_for_a_wheel),
        cmocka_unit_test(only_the_kinds_that_are_allowed),
        cmocka_unit_test(every_ratio_is_kept),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
