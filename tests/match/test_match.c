/* The whole recommendation: verdicts, guesses, ranges. */
#include "tests/match/scene.h"

#include "src/report/match_text.h"

#include <math.h>
#include <stdlib.h>

typedef struct bench {
    scene scene;
    sw_match_request request;
    sw_match match;
} bench;

static bench *set_up(const sw_units *units, const char *rotor, const char *motor) {
    bench *it = calloc(1, sizeof *it);
    assert_non_null(it);
    scene_set_up(units, rotor, motor, SCENE_SITE, &it->scene);
    it->request = scene_request(&it->scene, NAN);
    it->request.run_out_mm = 2;
    it->request.moving_kg = 2;
    return it;
}

static void tear_down(bench *it) {
    sw_match_free(&it->match);
    scene_tear_down(&it->scene);
    free(it);
}

static void run(bench *it) {
    sw_error error = {0};
    assert_ok(sw_match_run(&it->request, &it->match, &error), &error);
}

static void nothing_guessed(bench *it) {
    it->scene.rotor.power_guessed = false;
    it->scene.rotor.power_u_relative = 0.05;
    it->scene.site.mean_wind_guessed = false;
}

static void measured_inputs_may_give_use(void **state) {
    bench *it = set_up(*state, SCENE_DRUM, SCENE_RING);
    nothing_guessed(it);
    run(it);
    assert_int_equal(it->match.verdict, SW_VERDICT_USE);
    assert_true(it->match.recommended && it->match.full);
    assert_true(it->match.started_kwh > 5);
    tear_down(it);
}

/* Whatever is guessed among wind, power coefficient and winding, it is never a plain yes. */
static void guesses_never_give_use(void **state) {
    for (int i = 0; i < 5; i++) {
        bench *it = set_up(*state, SCENE_DRUM, SCENE_RING);
        nothing_guessed(it);
        if (i == 0)
            it->scene.site.mean_wind_guessed = true;
        if (i == 1)
            it->scene.rotor.power_guessed = true;
        if (i == 2)
            it->scene.motor.winding_resistance.u = NAN;
        if (i == 3)
            it->scene.motor.winding_inductance = sw_quantity_unknown();
        if (i == 4)
            it->scene.motor.voltage_constant.u = NAN;
        run(it);
        assert_int_equal(it->match.verdict, SW_VERDICT_USE_IF);
        tear_down(it);
    }
}

static void missing_readings_are_named(void **state) {
    bench *it = set_up(*state, SCENE_DRUM, SCENE_RING);
    it->scene.motor.winding_resistance = sw_quantity_unknown();
    run(it);
    assert_int_equal(it->match.verdict, SW_VERDICT_NOT_YET);
    assert_true(sw_remarked(&it->match.reasons, SW_MISSING_RESISTANCE));
    assert_false(it->match.recommended);
    /* what can be said is said: the speed at which it charges */
    assert_true(it->match.cut_in_rpm > 100 && it->match.cut_in_rpm < 300);
    tear_down(it);

    it = set_up(*state, SCENE_DRUM, SCENE_RING);
    it->scene.motor.pole_pairs.value = 0;
    run(it);
    assert_int_equal(it->match.verdict, SW_VERDICT_NOT_YET);
    assert_true(sw_remarked(&it->match.reasons, SW_MISSING_POLE_PAIRS));
    tear_down(it);
}

static void no_magnets_leave(void **state) {
    bench *it = set_up(*state, SCENE_DRUM, SCENE_RING);
    it->scene.motor.kind = SW_NO_GENERATOR;
    run(it);
    assert_int_equal(it->match.verdict, SW_VERDICT_LEAVE);
    assert_true(sw_remarked(&it->match.reasons, SW_REASON_NO_MAGNETS));
    tear_down(it);
}

/* Silence through an input that shows no brushes decides nothing: a meter has to. */
static void silence_that_may_be_brushes_waits(void **state) {
    bench *it = set_up(*state, SCENE_DRUM, SCENE_RING);
    it->scene.motor.kind = SW_NO_GENERATOR;
    it->scene.motor.voltage_constant = sw_quantity_unknown();
    sw_motor_warn(&it->scene.motor, SW_WARN_DC_BLOCKED, "or brushes");
    run(it);
    assert_int_equal(it->match.verdict, SW_VERDICT_NOT_YET);
    assert_true(sw_remarked(&it->match.reasons, SW_MISSING_CONSTANT));
    assert_false(sw_remarked(&it->match.reasons, SW_REASON_NO_MAGNETS));
    tear_down(it);
}

static void a_sensor_coil_is_no_winding(void **state) {
    bench *it = set_up(*state, SCENE_DRUM, SCENE_RING);
    sw_motor_warn(&it->scene.motor, SW_WARN_SENSOR_COIL, "a coil of a sensor");
    run(it);
    assert_int_equal(it->match.verdict, SW_VERDICT_NOT_YET);
    assert_true(sw_remarked(&it->match.reasons, SW_MISSING_WINDING));
    tear_down(it);
}

/* So weak a motor that nothing comes of it: leave. */
static void little_energy_is_left(void **state) {
    bench *it = set_up(*state, SCENE_DRUM, SCENE_RING);
    nothing_guessed(it);
    it->scene.motor.winding_resistance.value = 40000;
    run(it);
    assert_int_equal(it->match.verdict, SW_VERDICT_LEAVE);
    assert_true(sw_remarked(&it->match.reasons, SW_REASON_LITTLE_ENERGY));
    tear_down(it);
}

static void stiff_motor_is_second_choice(void **state) {
    bench *it = set_up(*state, SCENE_DRUM, SCENE_RING);
    nothing_guessed(it);
    it->scene.motor.cogging_torque.value = 1.2;
    it->request.wheel_mm = 100;
    run(it);
    assert_true(it->match.verdict >= SW_VERDICT_USE_IF);
    assert_true(sw_remarked(&it->match.reasons, SW_REASON_STARTS_LATE) ||
                sw_remarked(&it->match.reasons, SW_REASON_NEEDS_PUSH));
    tear_down(it);
}

static void no_load_means_a_guessed_battery(void **state) {
    bench *it = set_up(*state, SCENE_DRUM, SCENE_RING);
    it->request.load = NULL;
    run(it);
    assert_true(sw_remarked(&it->match.guessed, SW_GUESS_LOAD));
    assert_int_equal(it->match.load.kind, SW_LOAD_BATTERY);
    tear_down(it);
}

static void energies_are_in_order(void **state) {
    bench *it = set_up(*state, SCENE_DRUM, SCENE_RING);
    run(it);
    const sw_match *match = &it->match;
    assert_true(match->usable_kwh <= match->started_kwh);
    assert_true(match->started_kwh <= match->running_kwh * (1 + 1e-9));
    assert_true(match->running_kwh < match->potential_kwh);
    assert_true(match->potential_kwh < match->betz_kwh);
    assert_true(match->sure.started_kwh.low < match->started_kwh);
    assert_true(match->sure.started_kwh.high > match->started_kwh);
    tear_down(it);
}

/* Energy of the year = sum over the printed curve, by hand. */
static void curve_gives_the_energy(void **state) {
    bench *it = set_up(*state, SCENE_DRUM, SCENE_RING);
    run(it);
    double kwh = 0;
    double scale = sw_weibull_scale(4.8, 2);
    const sw_power_curve *curve = &it->match.curve;
    for (size_t i = 1; i < curve->count; i++) {
        double low = curve->point[i - 1].wind_m_s;
        double high = curve->point[i].wind_m_s;
        double share = exp(-pow(low / scale, 2)) - exp(-pow(high / scale, 2));
        if (low >= curve->start_wind)
            kwh += 8.76 * share * 0.5 * (curve->point[i - 1].running_w + curve->point[i].running_w);
    }
    assert_close(kwh, it->match.started_kwh, 0.003 * kwh); /* 8760 or 8766 hours */
    tear_down(it);
}

/* The losses that were worked out one by one add up to what the rotor really takes. */
static void budget_adds_up(void **state) {
    bench *it = set_up(*state, SCENE_DRUM, SCENE_RING);
    run(it);
    const sw_budget *budget = &it->match.budget;
    const sw_power_curve *curve = &it->match.curve;
    double wind[SW_CURVE_LIMIT];
    double taken[SW_CURVE_LIMIT];
    double sum = budget->usable_kwh;
    for (size_t i = 0; i < curve->count; i++) {
        double w = curve->point[i].started_rad_s;
        wind[i] = curve->point[i].wind_m_s;
        taken[i] =
            w > 0 ? w * sw_rotor_torque_nm(&it->scene.rotor, it->scene.site.density, wind[i], w)
                  : 0;
    }
    for (size_t i = 0; i < SW_LOSS_COUNT; i++) {
        sum += budget->loss_kwh[i];
        assert_true(budget->loss_kwh[i] >= -1e-9);
    }
    assert_close(sum, budget->best_kwh, 1e-9 * sum);
    double by_rotor = sw_year_kwh(wind, taken, curve->count, &it->scene.site, 1);
    /* the tables of copper, diodes and torque are held to a part in a thousand each */
    double unused = budget->loss_kwh[SW_LOSS_OFF_BEST] + budget->loss_kwh[SW_LOSS_TOO_LIGHT];
    assert_close(budget->best_kwh - unused, by_rotor, 3e-3 * by_rotor);
    tear_down(it);
}

/* It charges as soon as it starts, so what is too light is the rotor's best up to the start: the
 * integral of 1/2 rho A v^3 Cp over the hours of each wind, here in steps of a thousandth. */
static void winds_too_light_have_a_row(void **state) {
    bench *it = set_up(*state, SCENE_DRUM, SCENE_RING);
    it->request.drives = SW_DRIVE_BIT(SW_DRIVE_FRICTION);
    run(it);
    const sw_rotor *rotor = &it->scene.rotor;
    const sw_budget *budget = &it->match.budget;
    double start = it->match.curve.start_wind;
    double kwh = 0;
    assert_true(it->match.curve.cut_in_wind < start);
    for (int i = 0; i < 1000; i++) {
        double low = start * i / 1000;
        double high = start * (i + 1) / 1000;
        double watts = 0.5 * it->scene.site.density * rotor->swept_area_m2 *
                       pow(0.5 * (low + high), 3) * rotor->peak_power;
        kwh += watts * sw_site_hours(&it->scene.site, low, high, 1) / 1000;
    }
    /* the curve's steps of 0.2 m/s weigh the edges: (0.2 / v)^2 of a cube, 1 % where most of it is
     */
    assert_close(budget->loss_kwh[SW_LOSS_TOO_LIGHT], kwh, 0.015 * kwh);
    tear_down(it);
}

/* Each yardstick leaves out one loss more than the one before. */
static void yardsticks_stand_in_order(void **state) {
    bench *it = set_up(*state, SCENE_DRUM, SCENE_RING);
    run(it);
    const sw_budget *budget = &it->match.budget;
    assert_true(it->match.started_kwh < budget->loss_free_kwh);
    assert_true(budget->loss_free_kwh < it->match.potential_kwh);
    assert_true(it->match.potential_kwh < it->match.betz_kwh);
    double motor = budget->loss_kwh[SW_LOSS_DRAG] + budget->loss_kwh[SW_LOSS_COPPER] +
                   budget->loss_kwh[SW_LOSS_DIODES];
    assert_close(budget->loss_free_kwh - it->match.started_kwh, motor, 1e-9 * motor);
    tear_down(it);
}

static void more_wind_is_never_less_energy(void **state) {
    bench *it = set_up(*state, SCENE_DRUM, SCENE_RING);
    run(it);
    const sw_outlook *outlook = &it->match.outlook;
    for (size_t i = 1; i < SW_OUTLOOK_ROWS; i++)
        assert_true(outlook->row[i].started_kwh > outlook->row[i - 1].started_kwh);
    assert_true(outlook->turns_at > 1 && outlook->turns_at < 4.8);
    tear_down(it);
}

static void wheel_is_no_brake(void **state) {
    bench *it = set_up(*state, SCENE_DRUM, SCENE_RING);
    it->request.drives = SW_DRIVE_BIT(SW_DRIVE_FRICTION);
    run(it);
    assert_true(it->match.best.drive.kind->pressed);
    assert_false(it->match.sheet.brake_trusted);
    assert_true(sw_remarked(&it->match.cautions, SW_CAUTION_WHEEL_NO_BRAKE));
    assert_true(it->match.sheet.stop_wind <= it->match.best.working_wind);
    tear_down(it);
}

static void sheet_has_margins(void **state) {
    bench *it = set_up(*state, SCENE_DRUM, SCENE_RING);
    run(it);
    const sw_build_sheet *sheet = &it->match.sheet;
    const sw_storm_row *worst = &it->match.storm.row[it->match.storm.site_row];
    assert_true(sheet->diode_inverse_v >= 2 * worst->dc_v);
    assert_true(sheet->diode_current_a >= 1.5 * sheet->storm_dc_a);
    assert_true(sheet->fuse_a > sheet->storm_dc_a);
    double least_mm2 = 0;
    sw_error error = {0};
    assert_ok(sw_cable_for_current(TEST_REFERENCE_DIR, sheet->fuse_a, &least_mm2, &error), &error);
    assert_true(sheet->cable_mm2 >= least_mm2);
    tear_down(it);
}

static void same_seed_same_range(void **state) {
    bench *a = set_up(*state, SCENE_DRUM, SCENE_RING);
    bench *b = set_up(*state, SCENE_DRUM, SCENE_RING);
    run(a);
    run(b);
    assert_close(a->match.sure.started_kwh.low, b->match.sure.started_kwh.low, 0);
    tear_down(a);
    tear_down(b);
}

static void known_inputs_narrow_the_range(void **state) {
    bench *wide = set_up(*state, SCENE_DRUM, SCENE_RING);
    bench *narrow = set_up(*state, SCENE_DRUM, SCENE_RING);
    nothing_guessed(wide);
    nothing_guessed(narrow);
    wide->scene.site.mean_wind.u = 0.8;
    narrow->scene.site.mean_wind.u = 0.01;
    run(wide);
    run(narrow);
    assert_true(narrow->match.sure.started_kwh.u < 0.9 * wide->match.sure.started_kwh.u);
    assert_int_equal(wide->match.sure.order[0], SW_DOUBT_WIND);
    assert_true(narrow->match.sure.order[0] != SW_DOUBT_WIND);
    tear_down(wide);
    tear_down(narrow);
}

static void text_begins_with_the_answer(void **state) {
    bench *it = set_up(*state, SCENE_DRUM, SCENE_RING);
    sw_text text = {0};
    sw_match_text_options options = {false, true, SW_MATCH_ALL_PARTS, NULL};
    it->request.drives = SW_DRIVE_BIT(SW_DRIVE_FRICTION);
    run(it);
    sw_match_text(&it->request, &it->match, &options, &text);
    const char *said = sw_text_string(&text);
    assert_int_equal(strncmp(said, "ring: yes, use it", 17), 0);
    assert_non_null(strstr(said, "kWh a year"));
    const char *sheet = strstr(said, "BUILD SHEET");
    assert_non_null(sheet);
    assert_non_null(strstr(sheet, "Before you leave it alone tonight"));
    assert_true(strstr(sheet, "Before you leave") < strstr(sheet, "Wheel and spring"));
    assert_null(strstr(said, "nan"));
    assert_null(strstr(said, "inf "));
    sw_text_free(&text);
    tear_down(it);
}

static void us_units_say_inches(void **state) {
    bench *it = set_up(*state, SCENE_DRUM, SCENE_RING);
    sw_text text = {0};
    sw_match_text_options options = {true, false, 0, NULL};
    it->request.drives = SW_DRIVE_BIT(SW_DRIVE_FRICTION);
    run(it);
    sw_match_text(&it->request, &it->match, &options, &text);
    const char *said = sw_text_string(&text);
    assert_non_null(strstr(said, " in rim"));
    assert_non_null(strstr(said, "mph"));
    assert_null(strstr(said, " mm wheel"));
    assert_null(strstr(said, "m/s"));
    sw_text_free(&text);
    tear_down(it);
}

static void json_has_the_contract(void **state) {
    static const char *const TOP[] = {"verdict",      "reasons",     "guessed",     "recommended",
                                      "alternatives", "power_curve", "build_sheet", "cautions"};
    static const char *const INNER[] = {"drive",      "connection",           "rectifier",
                                        "start_wind", "cut_in_wind",          "annual_energy",
                                        "storm",      "annual_energy_running"};
    bench *it = set_up(*state, SCENE_DRUM, SCENE_RING);
    it->request.drives = SW_DRIVE_BIT(SW_DRIVE_FRICTION);
    run(it);
    cJSON *root = sw_match_to_json(&it->request, &it->match);
    for (size_t i = 0; i < sizeof TOP / sizeof *TOP; i++)
        assert_true(cJSON_HasObjectItem(root, TOP[i]));
    const cJSON *recommended = cJSON_GetObjectItemCaseSensitive(root, "recommended");
    for (size_t i = 0; i < sizeof INNER / sizeof *INNER; i++)
        assert_true(cJSON_HasObjectItem(recommended, INNER[i]));
    const cJSON *drive = cJSON_GetObjectItemCaseSensitive(recommended, "drive");
    assert_string_equal(cJSON_GetObjectItemCaseSensitive(drive, "kind")->valuestring,
                        "friction-wheel");
    const cJSON *curve = cJSON_GetObjectItemCaseSensitive(root, "power_curve");
    int count = cJSON_GetArraySize(cJSON_GetObjectItemCaseSensitive(curve, "wind"));
    assert_true(count > 20);
    assert_int_equal(cJSON_GetArraySize(cJSON_GetObjectItemCaseSensitive(curve, "dc_power")),
                     count);
    cJSON_Delete(root);
    tear_down(it);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(measured_inputs_may_give_use),
        cmocka_unit_test(guesses_never_give_use),
        cmocka_unit_test(missing_readings_are_named),
        cmocka_unit_test(no_magnets_leave),
        cmocka_unit_test(silence_that_may_be_brushes_waits),
        cmocka_unit_test(a_sensor_coil_is_no_winding),
        cmocka_unit_test(little_energy_is_left),
        cmocka_unit_test(stiff_motor_is_second_choice),
        cmocka_unit_test(no_load_means_a_guessed_battery),
        cmocka_unit_test(energies_are_in_order),
        cmocka_unit_test(curve_gives_the_energy),
        cmocka_unit_test(budget_adds_up),
        cmocka_unit_test(winds_too_light_have_a_row),
        cmocka_unit_test(yardsticks_stand_in_order),
        cmocka_unit_test(more_wind_is_never_less_energy),
        cmocka_unit_test(wheel_is_no_brake),
        cmocka_unit_test(sheet_has_margins),
        cmocka_unit_test(same_seed_same_range),
        cmocka_unit_test(known_inputs_narrow_the_range),
        cmocka_unit_test(text_begins_with_the_answer),
        cmocka_unit_test(us_units_say_inches),
        cmocka_unit_test(json_has_the_contract),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
