/* The search with a converter: what tracking gives, and what it must not be given. */
#include "tests/match/search/support_search.h"

#include <math.h>

static double best_kwh(search_bench *it, double low_v, double high_v) {
    sw_search search;
    it->scene.load.kind = SW_LOAD_CONVERTER;
    it->scene.load.window_low_v = low_v;
    it->scene.load.window_high_v = high_v;
    it->scene.load.voltage = sw_quantity_of(0.5 * (low_v + high_v), NAN, "V");
    search_run(it, &search);
    assert_true(search.found);
    double energy = search.choice[0].started_kwh;
    sw_search_free(&search);
    return energy;
}

/* A converter that may choose among voltages gives no less than the best of them held. */
static void tracking_beats_every_voltage_held(void **state) {
    static const double HELD[] = {15, 25, 45};
    search_bench it;
    search_set_up(*state, SCENE_DRUM, SCENE_RING, &it);
    double tracking = best_kwh(&it, 15, 45);
    for (size_t i = 0; i < sizeof HELD / sizeof *HELD; i++) {
        double held = best_kwh(&it, HELD[i], HELD[i]);
        /* its tables are sketches, good to 2 % */
        assert_true(tracking >= 0.97 * held);
    }
    scene_tear_down(&it.scene);
}

/* More volts than the converter bears while it does not draw: left out. */
static void a_converter_is_not_overvolted(void **state) {
    search_bench it;
    sw_search search;
    search_set_up(*state, SCENE_DRUM, SCENE_RING, &it);
    it.scene.load.kind = SW_LOAD_CONVERTER;
    it.scene.load.window_low_v = it.scene.load.window_high_v = 20;
    it.scene.load.voltage = sw_quantity_of(20, NAN, "V");
    it.scene.load.input_max_v = 60;
    search_run(&it, &search);
    size_t left_out = 0;
    for (size_t i = 0; i < search.choices; i++)
        left_out += search.choice[i].rejection == SW_REJECTED_VOLTS;
    assert_true(left_out > 0);
    sw_search_free(&search);
    scene_tear_down(&it.scene);
}

/* A wheel that slips early under load is turned as fast as any by a storm without load: grip does
 * not let it through. */
static void grip_keeps_no_volts_away(void **state) {
    search_bench it;
    sw_search search;
    search_set_up(*state, SCENE_DRUM, SCENE_RING, &it);
    it.request.drives = SW_DRIVE_BIT(SW_DRIVE_FRICTION);
    it.request.rim.most_n = 150; /* most wheels work up to a part of the winds only */
    it.scene.load.kind = SW_LOAD_CONVERTER;
    it.scene.load.window_low_v = it.scene.load.window_high_v = 20;
    it.scene.load.voltage = sw_quantity_of(20, NAN, "V");
    it.scene.load.input_max_v = 60;
    search_run(&it, &search);
    size_t early = 0;
    for (size_t i = 0; i < search.choices; i++) {
        const sw_choice *choice = &search.choice[i];
        if (choice->rejection != SW_REJECTED_NOT && choice->rejection != SW_REJECTED_VOLTS)
            continue;
        sw_plant plant = sw_search_plant(&it.request, &search, choice);
        double idle = sw_plant_settle_idle(&plant, search.working_wind).running_rad_s;
        /* the crest of a sine; diodes take less than 2 V of it */
        double volts = sqrt(2) * 0.06 * sw_plant_generator_rpm(&plant, idle);
        early += choice->working_wind < 0.95 * search.working_wind;
        if (volts > 62)
            assert_int_equal(choice->rejection, SW_REJECTED_VOLTS);
        if (volts < 58)
            assert_int_equal(choice->rejection, SW_REJECTED_NOT);
    }
    assert_true(early > 0);
    sw_search_free(&search);
    scene_tear_down(&it.scene);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(tracking_beats_every_voltage_held),
        cmocka_unit_test(a_converter_is_not_overvolted),
        cmocka_unit_test(grip_keeps_no_volts_away),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
