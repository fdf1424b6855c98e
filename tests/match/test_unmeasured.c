/* A motor of which less is known must not look better than its twin that was measured; and what is
 * not known is told where the builder reads it. */
#include "tests/match/scene.h"

#include "src/match/rank.h"
#include "src/match/sheet/cautions.h"
#include "src/report/match_text.h"
#include "src/report/rank_text.h"

#include <stdlib.h>

static void forget_drag(sw_motor *motor) {
    motor->drag_torque =
        (sw_drag){sw_quantity_unknown(), sw_quantity_unknown(), sw_quantity_unknown(),
                  sw_quantity_unknown(), sw_quantity_unknown()};
    motor->cogging_torque = sw_quantity_unknown();
}

/* Drag and cogging twice as large as usual for its size: measured, it shows them. */
static void make_stiff(sw_motor *motor) {
    sw_motor usual;
    forget_drag(motor);
    sw_usual_motor(motor, 0, &usual);
    double drag_nm = 2 * usual.drag_torque.constant.value;
    double cogging_nm = 2 * usual.cogging_torque.value;
    motor->drag_torque.constant = sw_quantity_of(drag_nm, 0.05 * drag_nm, "N m");
    motor->cogging_torque = sw_quantity_of(cogging_nm, 0.05 * cogging_nm, "N m");
}

typedef struct bench {
    scene scene;
    sw_match_request request;
    sw_match match;
    sw_text text;
} bench;

static bench *set_up(const sw_units *units) {
    bench *it = calloc(1, sizeof *it);
    assert_non_null(it);
    scene_set_up(units, SCENE_DRUM, SCENE_RING, SCENE_SITE, &it->scene);
    it->request = scene_request(&it->scene, NAN);
    it->scene.rotor.power_guessed = false;
    it->scene.site.mean_wind_guessed = false;
    return it;
}

/* One line, so that what stands in the text can be sought. */
static char *run(bench *it) {
    sw_error error = {0};
    sw_match_text_options options = {0};
    assert_ok(sw_match_run(&it->request, &it->match, &error), &error);
    sw_match_text(&it->request, &it->match, &options, &it->text);
    char *text = calloc(1, it->text.length + 1);
    assert_non_null(text);
    size_t used = 0;
    for (const char *at = sw_text_string(&it->text); *at != '\0'; at++) {
        char here = *at == '\n' ? ' ' : *at;
        if (here != ' ' || used == 0 || text[used - 1] != ' ')
            text[used++] = here;
    }
    return text;
}

static void tear_down(bench *it) {
    sw_match_free(&it->match);
    sw_text_free(&it->text);
    scene_tear_down(&it->scene);
    free(it);
}

static void assert_says(const char *said, const char *words) {
    if (strstr(said, words) == NULL)
        fail_msg("\"%s\" is not in: %s", words, said);
}

static void unmeasured_drag_is_a_condition_and_a_doubt(void **state) {
    bench *it = set_up(*state);
    forget_drag(&it->scene.motor);
    char *said = run(it);
    assert_int_equal(it->match.verdict, SW_VERDICT_USE_IF);
    assert_true(sw_remarked(&it->match.reasons, SW_REASON_GUESSED_DRAG));
    assert_says(said, "if its drag and cogging, not measured, are as usual");
    assert_says(said, "Its drag and cogging, only assumed so far");
    assert_true(it->match.sure.narrows[SW_DOUBT_DRAG] > 0.005);
    assert_true(it->match.cautious_started_kwh < it->match.started_kwh);
    assert_true(it->match.cautious_start_wind > it->match.curve.start_wind);
    free(said);
    tear_down(it);
}

/* The storm is not calmed by what was assumed, and the fuse says what it is for. */
static void unmeasured_inductance_makes_the_fuse_a_worst_case(void **state) {
    bench *it = set_up(*state);
    it->scene.motor.winding_inductance = sw_quantity_unknown();
    char *said = run(it);
    assert_int_equal(it->match.verdict, SW_VERDICT_USE_IF);
    assert_false(it->match.storm.brake.inductance_known);
    assert_true(it->match.sheet.usual_fuse_a < it->match.sheet.fuse_a);
    assert_says(said, "its inductance, not measured, is as usual");
    assert_says(said, "That is the worst case, because the inductance");
    free(said);
    tear_down(it);

    it = set_up(*state);
    said = run(it);
    assert_true(isnan(it->match.sheet.usual_fuse_a));
    assert_null(strstr(said, "worst case"));
    free(said);
    tear_down(it);
}

static void less_known_does_not_rank_higher(void **state) {
    enum { MOTORS = 2 };
    scene it;
    sw_rank_row *rows = NULL;
    sw_error error = {0};
    scene_set_up(*state, SCENE_DRUM, SCENE_RING, SCENE_SITE, &it);
    sw_motor *motor = calloc(MOTORS, sizeof *motor);
    assert_non_null(motor);
    motor[0] = motor[1] = it.motor;
    forget_drag(&motor[0]);
    make_stiff(&motor[1]);
    snprintf(motor[0].name, sizeof motor[0].name, "unmeasured");
    snprintf(motor[1].name, sizeof motor[1].name, "measured");
    sw_rank_request request = {.motor = motor,
                               .motors = MOTORS,
                               .rotor = &it.rotor,
                               .rotors = 1,
                               .site = &it.site,
                               .load = &it.load,
                               .shop = &it.shop};
    assert_ok(sw_rank_run(&request, &rows, &error), &error);
    assert_int_equal(rows[0].motor, 1);
    assert_true(rows[1].started_kwh > rows[0].started_kwh);
    assert_true(rows[1].cautious_started_kwh <= rows[0].cautious_started_kwh);
    assert_true(rows[1].assumed.drag && rows[1].assumed.cogging && !rows[0].assumed.drag);
    const char *file[MOTORS] = {"a.json", "b.json"};
    const char *rotor_file = "rotor.json";
    char *names[MOTORS] = {(char *)file[0], (char *)file[1]};
    sw_rank_names known = {names, &rotor_file};
    sw_rank_text_options options = {0};
    sw_text text = {0};
    sw_rank_text(&request, &known, rows, &options, &text);
    assert_true(strncmp(sw_text_string(&text), "Take measured", 13) == 0);
    assert_says(sw_text_string(&text), "Of unmeasured less is known");
    assert_null(strstr(sw_text_string(&text), "unmeasured starts in the lighter wind"));
    sw_text_free(&text);
    free(rows);
    free(motor);
    scene_tear_down(&it);
}

/* Little wind, badly known: the middle is above what is worth it, much of the range is not. */
static void a_likely_little_is_a_perhaps(void **state) {
    bench *it = set_up(*state);
    it->scene.site.mean_wind.u = 0.3 * it->scene.site.mean_wind.value;
    free(run(it));
    double middle_kwh = it->match.sure.started_kwh.middle;
    sw_match_free(&it->match);
    sw_text_free(&it->text);
    sw_thresholds thresholds = sw_thresholds_worth(0.9 * middle_kwh);
    it->request.thresholds = &thresholds;
    char *said = run(it);
    assert_true(it->match.sure.below_worth > SW_PERHAPS_FROM && it->match.sure.below_worth < 0.6);
    assert_int_equal(it->match.verdict, SW_VERDICT_USE_IF);
    assert_true(sw_remarked(&it->match.reasons, SW_REASON_MAY_BE_LITTLE));
    assert_says(said, "ring: perhaps.");
    assert_says(said, "with a chance of");
    free(said);
    tear_down(it);
}

static void several_motors_are_answered(void **state) {
    bench *it = set_up(*state);
    it->request.machines = 2;
    char *said = run(it);
    bool two = it->match.search.electrical[it->match.best.electrical].wiring.machines == 2;
    assert_says(said, two ? "One such motor alone would give" : "Two such motors on one rim");
    free(said);
    tear_down(it);
}

/* Above the mean wind a start speaks against it. */
static void a_start_above_the_mean_is_no_praise(void **state) {
    bench *it = set_up(*state);
    sw_remarks none = {0};
    sw_remarks reasons = {0};
    free(run(it));
    sw_verdict_request verdict = {.motor = &it->scene.motor,
                                  .search = &it->match.search,
                                  .missing = &none,
                                  .guessed = &none,
                                  .thresholds = &SW_THRESHOLDS,
                                  .mean_wind = 5,
                                  .started_kwh = 34,
                                  .running_kwh = 40,
                                  .potential_kwh = 90,
                                  .start_wind = 5.2};
    sw_verdict_of(&verdict, &reasons);
    assert_true(sw_remarked(&reasons, SW_REASON_STARTS_ABOVE_MEAN));
    assert_false(sw_remarked(&reasons, SW_REASON_STARTS_EARLY));
    tear_down(it);
}

/* A winding that makes next to no heat needs no hand on it. */
static void no_heat_is_no_caution(void **state) {
    bench *it = set_up(*state);
    free(run(it));
    assert_true(sw_remarked(&it->match.cautions, SW_CAUTION_HEAT_UNKNOWN));
    sw_remarks cautions = {0};
    it->match.best.working_heat_w = 0.0089;
    sw_caution_list(&it->request, &it->match, &cautions);
    assert_false(sw_remarked(&cautions, SW_CAUTION_HEAT_UNKNOWN));
    tear_down(it);
}

static int open_units(void **state) {
    sw_error error = {0};
    sw_units *units = NULL;
    assert_ok(sw_units_new(&units, &error), &error);
    *state = units;
    return 0;
}

static int close_units(void **state) {
    sw_units_free(*state);
    return 0;
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(unmeasured_drag_is_a_condition_and_a_doubt),
        cmocka_unit_test(unmeasured_inductance_makes_the_fuse_a_worst_case),
        cmocka_unit_test(less_known_does_not_rank_higher),
        cmocka_unit_test(a_likely_little_is_a_perhaps),
        cmocka_unit_test(several_motors_are_answered),
        cmocka_unit_test(a_start_above_the_mean_is_no_praise),
        cmocka_unit_test(no_heat_is_no_caution),
    };
    return cmocka_run_group_tests(tests, open_units, close_units);
}
