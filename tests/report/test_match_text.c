/* The short answer of a match, and its parts: short, in order, without absurd digits, and never
 * without its cautions. Each scene is worked out once and printed in many ways. */
#include "tests/match/scene.h"

#include "src/report/advice_text.h"
#include "src/report/match_parts.h"
#include "src/report/options_text.h"
#include "src/report/remark_text.h"

#include <ctype.h>
#include <stdlib.h>

/* Lines of the short answer: about 60; a scene with every caution may have a few more. */
enum { SHORT_LINES = 62, SCENES = 5 };

#define SITE(wind)                                                                                 \
    "\"document\":\"site\",\"version\":1,\"mean_wind\":\"" wind "\",\"storm_wind\":\"40 m/s\""

static const struct {
    const char *rotor;
    const char *motor;
    const char *site;
} SCENE[SCENES] = {
    {SCENE_DRUM, SCENE_RING, SCENE_SITE},       {SCENE_LIFT, SCENE_RING, SCENE_SITE},
    {SCENE_DRUM, SCENE_BRUSHED, SITE("4 m/s")}, {SCENE_DRUM, SCENE_RING, SITE("0.8 m/s")},
    {SCENE_DRUM, SCENE_RING, SITE("7 m/s")},
};

typedef struct stage {
    scene scene;
    sw_match_request request;
    sw_match match;
} stage;

typedef struct theatre {
    sw_units *units;
    stage stage[SCENES];
} theatre;

static int set_up(void **state) {
    theatre *it = calloc(1, sizeof *it);
    sw_error error = {0};
    assert_non_null(it);
    assert_ok(sw_units_new(&it->units, &error), &error);
    for (size_t i = 0; i < SCENES; i++) {
        stage *at = &it->stage[i];
        scene_set_up(it->units, SCENE[i].rotor, SCENE[i].motor, SCENE[i].site, &at->scene);
        at->request = scene_request(&at->scene, NAN);
        at->request.load = i % 2 == 0 ? NULL : &at->scene.load;
        assert_ok(sw_match_run(&at->request, &at->match, &error), &error);
    }
    *state = it;
    return 0;
}

static int tear_down(void **state) {
    theatre *it = *state;
    for (size_t i = 0; i < SCENES; i++) {
        sw_match_free(&it->stage[i].match);
        scene_tear_down(&it->stage[i].scene);
    }
    sw_units_free(it->units);
    free(it);
    return 0;
}

/* The caller frees it. */
static char *printed(const stage *at, const char *parts, bool us, bool details) {
    sw_match_text_options options = {us, details, 0, NULL};
    sw_text text = {0};
    sw_error error = {0};
    if (parts != NULL)
        assert_ok(sw_match_parts_read(parts, &options.parts, &error), &error);
    sw_match_text(&at->request, &at->match, &options, &text);
    char *copy = malloc(text.length + 1);
    assert_non_null(copy);
    memcpy(copy, sw_text_string(&text), text.length + 1);
    sw_text_free(&text);
    return copy;
}

/* In place: every run of blanks and line breaks is one blank. */
static void flatten(char *text) {
    char *to = text;
    for (const char *at = text; *at != '\0'; at++)
        if (!isspace((unsigned char)*at))
            *to++ = *at;
        else if (to > text && to[-1] != ' ')
            *to++ = ' ';
    *to = '\0';
}

static void the_short_answer_is_short(void **state) {
    const theatre *it = *state;
    for (size_t i = 0; i < SCENES; i++) {
        char *said = printed(&it->stage[i], NULL, false, false);
        size_t lines = 0;
        for (char *line = strtok(said, "\n"); line != NULL; line = strtok(NULL, "\n")) {
            lines++;
            if (sw_text_columns(line) >= 80)
                fail_msg("scene %zu: %s", i, line);
        }
        /* strtok skips the empty lines, one before each of at most six titles */
        if (lines + 6 > SHORT_LINES)
            fail_msg("scene %zu: %zu lines", i, lines + 6);
        free(said);
    }
}

static void every_part_fits_eighty_columns(void **state) {
    const theatre *it = *state;
    for (size_t i = 0; i < SCENES; i++)
        for (int us = 0; us < 2; us++) {
            char *said = printed(&it->stage[i], "all", us == 1, true);
            for (char *line = strtok(said, "\n"); line != NULL; line = strtok(NULL, "\n"))
                if (sw_text_columns(line) >= 80)
                    fail_msg("scene %zu: %zu columns: %s", i, sw_text_columns(line), line);
            free(said);
        }
}

static void the_order_is_that_of_the_builder(void **state) {
    static const char *const TITLES[] = {"ring: yes, use it", "\nWhy\n",
                                         "\nWhat to do\n",    "\nWhat it gives\n",
                                         "\nWhat can hurt\n", "\nWhat to measure next\n",
                                         "\nThere is more"};
    const theatre *it = *state;
    char *said = printed(&it->stage[0], NULL, false, false);
    const char *last = said;
    for (size_t i = 0; i < sizeof TITLES / sizeof *TITLES; i++) {
        const char *at = strstr(said, TITLES[i]);
        if (at == NULL || at < last)
            fail_msg("\"%s\" is missing or too early in:\n%s", TITLES[i], said);
        last = at;
    }
    free(said);
}

/* Whatever is asked for: no caution is left out. Only the wheel's own swinging is none. */
static void cautions_are_always_there(void **state) {
    static const char *const ASKED[] = {NULL, "winds", "energy,others", "guesses", "storm", "all"};
    const theatre *it = *state;
    size_t checked = 0;
    for (size_t i = 0; i < SCENES; i++)
        for (size_t k = 0; k < sizeof ASKED / sizeof *ASKED; k++) {
            char *said = printed(&it->stage[i], ASKED[k], false, false);
            const sw_remarks *cautions = &it->stage[i].match.cautions;
            flatten(said);
            for (size_t j = 0; j < cautions->count; j++) {
                char sentence[SW_REMARK_ROOM];
                sw_remark_code code = cautions->item[j].code;
                if (code == SW_CAUTION_BOUNCE || code == SW_CAUTION_TWO_SPEEDS ||
                    code == SW_CAUTION_START_AT_LEAST)
                    continue; /* no danger: told with what it gives and how to build it */
                sw_remark_say(false, &cautions->item[j], sentence, sizeof sentence);
                if (strstr(said, sentence) == NULL)
                    fail_msg("scene %zu, --show %s: %s", i, ASKED[k] != NULL ? ASKED[k] : "-",
                             sentence);
                checked++;
            }
            free(said);
        }
    assert_true(checked >= 30);
}

/* Each part that the short answer lists is there when it is asked for; all holds every one. */
static void the_parts_that_are_listed_can_be_shown(void **state) {
    static const char *const PARTS[][2] = {
        {"build", "BUILD SHEET"},          {"winds", "In a steady wind, while"},
        {"storm", "\nWith the load lost"}, {"others", "Other ways"},
        {"guesses", "How sure it is"},     {"energy", "Where it goes"}};
    const theatre *it = *state;
    char *list = printed(&it->stage[0], NULL, false, false);
    char *all = printed(&it->stage[0], "all", false, false);
    for (size_t i = 0; i < sizeof PARTS / sizeof *PARTS; i++) {
        char row[40];
        snprintf(row, sizeof row, "\n  %-8s ", PARTS[i][0]);
        char *said = printed(&it->stage[0], PARTS[i][0], false, false);
        assert_non_null(strstr(list, row));
        assert_null(strstr(list, PARTS[i][1]));
        assert_non_null(strstr(said, PARTS[i][1]));
        assert_non_null(strstr(all, PARTS[i][1]));
        assert_int_equal(strncmp(said, "ring: yes, use it", 17), 0);
        free(said);
    }
    free(list);
    free(all);
}

static void parts_are_read(void **state) {
    (void)state;
    sw_match_parts one = 0;
    sw_match_parts other = 0;
    sw_match_parts both = 0;
    sw_error error = {0};
    assert_ok(sw_match_parts_read("winds", &one, &error), &error);
    assert_ok(sw_match_parts_read("storm", &other, &error), &error);
    assert_ok(sw_match_parts_read("storm, winds", &both, &error), &error);
    assert_int_equal(both, one | other);
    assert_ok(sw_match_parts_read("storm,all", &both, &error), &error);
    assert_int_equal(both, SW_MATCH_ALL_PARTS);
    static const char *const WRONG[] = {"strom", "", "storm,", ",storm", "Storm", "storms winds"};
    for (size_t i = 0; i < sizeof WRONG / sizeof *WRONG; i++) {
        assert_int_equal(sw_match_parts_read(WRONG[i], &both, &error), SW_USAGE);
        assert_non_null(strstr(error.message, "expected build, winds"));
    }
    assert_int_equal(sw_match_parts_read("strom", &both, &error), SW_USAGE);
    assert_non_null(strstr(error.message, "did you mean storm?"));
}

/* Figures from the first that is not zero to the last; zeros at the end of a whole number are none.
 */
static size_t figures_of(const char *number, size_t length) {
    size_t from = strspn(number, "0.");
    size_t figures = 0;
    bool point = memchr(number, '.', length) != NULL;
    while (!point && length > from && number[length - 1] == '0')
        length--;
    for (size_t i = from; i < length; i++)
        figures += number[i] != '.';
    return figures;
}

/* Nothing here is known to five figures; four are left to turns a minute and sizes. */
static void no_number_has_absurd_digits(void **state) {
    enum { MOST = 4 };
    const theatre *it = *state;
    for (size_t i = 0; i < SCENES; i++)
        for (int us = 0; us < 2; us++) {
            char *said = printed(&it->stage[i], "all", us == 1, true);
            for (const char *at = said; *at != '\0';) {
                size_t length = strspn(at, "0123456789.");
                if (length > 0 && figures_of(at, length) > MOST)
                    fail_msg("scene %zu: %.60s", i, at);
                at += length > 0 ? length : 1;
            }
            free(said);
        }
}

/* --units us leaves no metric unit behind, and no odd wire gauge. */
static void us_units_are_all_us(void **state) {
    static const char *const METRIC[] = {" mm", "m/s", " N ", " N,",
                                         " N.", "N m", " kg", "\u00b0C"};
    const theatre *it = *state;
    size_t gauges = 0;
    for (size_t i = 0; i < SCENES; i++) {
        char *said = printed(&it->stage[i], "all", true, true);
        flatten(said);
        /* a wheel is sold under its metric name */
        for (char *name = strstr(said, "sold as "); name != NULL; name = strstr(name, "sold as "))
            memset(name, '-', strcspn(name, "("));
        for (size_t k = 0; k < sizeof METRIC / sizeof *METRIC; k++) {
            const char *at = strstr(said, METRIC[k]);
            if (at != NULL)
                fail_msg("scene %zu: %.60s", i, at > said + 30 ? at - 30 : said);
        }
        for (const char *at = strstr(said, " AWG"); at != NULL; at = strstr(at + 1, " AWG")) {
            if (strchr("02468", at[-1]) == NULL)
                fail_msg("scene %zu: %.10s", i, at - 3);
            gauges++;
        }
        free(said);
    }
    assert_true(gauges > 0);
}

/* A start that was asked for: the text does not say in one breath that it starts and that it does
 * not, and it names the option that decided. */
static void an_early_start_does_not_contradict_itself(void **state) {
    theatre *it = *state;
    const stage *free_start = &it->stage[4];
    sw_error error = {0};
    stage bound = {.request = free_start->request};
    bound.request.start_by = 0.8 * free_start->match.curve.start_wind;
    assert_ok(sw_match_run(&bound.request, &bound.match, &error), &error);
    char *said = printed(&bound, NULL, false, false);
    flatten(said);
    assert_true(bound.match.recommended);
    assert_true(bound.match.curve.start_wind <= bound.request.start_by);
    assert_null(strstr(said, "too stiff"));
    if (sw_remarked(&bound.match.reasons, SW_REASON_START_COSTS))
        assert_non_null(strstr(said, "--start-by"));
    free(said);
    sw_match_free(&bound.match);
}

static void the_remark_on_an_early_start_names_what_it_costs(void **state) {
    (void)state;
    char said[SW_REMARK_ROOM];
    sw_remark remark = {SW_REASON_START_COSTS, sw_quantity_of(34, NAN, "kWh"),
                        sw_quantity_of(5.2, NAN, "m/s")};
    sw_remark_say(false, &remark, said, sizeof said);
    assert_non_null(strstr(said, "--start-by"));
    assert_non_null(strstr(said, "34 kWh"));
    assert_non_null(strstr(said, "only at 5.2 m/s"));
}

/* Where a threshold decides, the option that sets it is named. */
static void the_threshold_is_named(void **state) {
    const theatre *it = *state;
    for (size_t i = 0; i < SCENES; i++) {
        char *said = printed(&it->stage[i], NULL, false, false);
        flatten(said);
        assert_non_null(strstr(said, "from 5 kWh on it is worth it (see --worth)"));
        free(said);
    }
}

/* What is to be left is not dressed up, and asks for no build. */
static void what_is_to_be_left_says_so(void **state) {
    const theatre *it = *state;
    assert_int_equal(it->stage[3].match.verdict, SW_VERDICT_LEAVE);
    char *said = printed(&it->stage[3], NULL, false, false);
    char *build = printed(&it->stage[3], "build", false, false);
    assert_non_null(strstr(said, "ring: no, leave it."));
    assert_null(strstr(said, "\nWhat to do\n"));
    assert_null(strstr(said, "\n  build "));
    assert_non_null(strstr(build, "nothing to show of \"build\""));
    free(build);
    free(said);
}

/* A converter has no battery's volts to tell; a brushed motor no AC. */
static void what_is_not_there_is_not_said(void **state) {
    (void)state;
    char said[SW_REMARK_ROOM];
    sw_electrical electrical = {.tell_voltage = true, .nominal_v = NAN};
    electrical.wiring.machines = 1;
    sw_electrical_say(&electrical, said, sizeof said);
    assert_null(strstr(said, "nan"));
    electrical.nominal_v = 24;
    sw_electrical_say(&electrical, said, sizeof said);
    assert_non_null(strstr(said, "on a 24 V battery"));
    sw_remark volts = {SW_CAUTION_VOLTS_HIGH, sw_quantity_of(0, NAN, "V"),
                       sw_quantity_of(182, NAN, "V")};
    sw_remark_say(false, &volts, said, sizeof said);
    assert_null(strstr(said, "AC"));
    assert_non_null(strstr(said, "182 V DC stands"));
}

/* Programs that read a match know every code from the schema. */
static void the_schema_lists_every_remark(void **state) {
    (void)state;
    cJSON *root = NULL;
    sw_error error = {0};
    assert_ok(sw_json_read(TEST_REFERENCE_DIR "/schema/match.schema.json", &root, &error), &error);
    const cJSON *codes = cJSON_GetObjectItemCaseSensitive(
        cJSON_GetObjectItemCaseSensitive(cJSON_GetObjectItemCaseSensitive(root, "$defs"),
                                         "remark_code"),
        "enum");
    assert_int_equal(cJSON_GetArraySize(codes), SW_REMARK_COUNT);
    for (int i = 0; i < SW_REMARK_COUNT; i++) {
        const char *name = sw_remark_name((sw_remark_code)i);
        bool listed = false;
        const cJSON *code = NULL;
        cJSON_ArrayForEach(code, codes) listed |= strcmp(code->valuestring, name) == 0;
        if (!listed)
            fail_msg("%s is not in the schema", name);
    }
    cJSON_Delete(root);
}

static void a_year_runs_things_of_the_house(void **state) {
    static const struct {
        double kwh;
        const char *said;
    } ROWS[] = {
        {5.8, "gives less than one phone takes"},
        {6.5, "charges one phone a day"},
        {8, "lights one lamp of 5 W for four hours a day"},
        {37, "lights 5 lamps of 5 W for four hours a day"},
        {100, "keeps an internet box of 10 W going day and night"},
        {250, "runs one small, efficient refrigerator"},
        {420, "runs 3 small, efficient refrigerators"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; i++) {
        char said[160];
        sw_match match = {.usable_kwh = ROWS[i].kwh, .started_kwh = ROWS[i].kwh};
        sw_uses_say(&match, said, sizeof said);
        assert_string_equal(said, ROWS[i].said);
    }
    /* pushed by hand: of what it gives while running */
    char said[160];
    sw_match pushed = {.running_kwh = 250};
    sw_remark_add_plain(&pushed.reasons, SW_REASON_NEEDS_PUSH);
    sw_uses_say(&pushed, said, sizeof said);
    assert_string_equal(said, "runs one small, efficient refrigerator");
}

/* Pushed by hand, another way may give more than the recommended one: then the rule is told. */
static void what_is_pushed_tells_how_it_was_chosen(void **state) {
    sw_match *match = calloc(1, sizeof *match);
    sw_text text = {0};
    (void)state;
    assert_non_null(match);
    sw_remark_add_plain(&match->reasons, SW_REASON_NEEDS_PUSH);
    match->started_kwh = 3;
    match->running_kwh = 20;
    match->alternatives = 1;
    match->alternative[0] = (sw_alternative){.kind = SW_ALTERNATIVE_SMALLER_WHEEL};
    match->alternative[0].choice.gear =
        (sw_gear){.drive = SW_DRIVE_FRICTION, .driver_mm = 1900, .wheel_mm = 95};
    match->alternative[0].choice.running_kwh = 30;
    sw_options_text(match, false, &text);
    assert_non_null(strstr(sw_text_string(&text), "without a push (3 kWh a year)"));
    sw_text_free(&text);
    match->alternative[0].choice.running_kwh = 19;
    sw_options_text(match, false, &text);
    assert_null(strstr(sw_text_string(&text), "without a push"));
    sw_text_free(&text);
    free(match);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_short_answer_is_short),
        cmocka_unit_test(every_part_fits_eighty_columns),
        cmocka_unit_test(the_order_is_that_of_the_builder),
        cmocka_unit_test(cautions_are_always_there),
        cmocka_unit_test(the_parts_that_are_listed_can_be_shown),
        cmocka_unit_test(parts_are_read),
        cmocka_unit_test(no_number_has_absurd_digits),
        cmocka_unit_test(us_units_are_all_us),
        cmocka_unit_test(an_early_start_does_not_contradict_itself),
        cmocka_unit_test(the_remark_on_an_early_start_names_what_it_costs),
        cmocka_unit_test(the_threshold_is_named),
        cmocka_unit_test(what_is_to_be_left_says_so),
        cmocka_unit_test(what_is_not_there_is_not_said),
        cmocka_unit_test(the_schema_lists_every_remark),
        cmocka_unit_test(a_year_runs_things_of_the_house),
        cmocka_unit_test(what_is_pushed_tells_how_it_was_chosen),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
