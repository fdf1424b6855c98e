/* Questions and answers: how lines are read, and that whatever is answered makes a document that
 * its own reader takes. */
#include "src/match/ask/ask.h"

#include "src/match/load/load.h"
#include "src/match/site/site.h"
#include "tests/support.h"

#include <cjson/cJSON.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

static size_t index_of(const sw_ask_sheet *sheet, const char *key) {
    for (size_t i = 0; i < sheet->count; i++)
        if (strcmp(sheet->question[i].key, key) == 0)
            return i;
    fail_msg("no question %s", key);
    return 0;
}

static const sw_ask_answer *answer(const sw_ask_sheet *sheet, const sw_ask_answers *answers,
                                   const char *key) {
    return &answers->item[index_of(sheet, key)];
}

static void reply(void **state, const sw_ask_sheet *sheet, sw_ask_answers *answers, const char *key,
                  const char *line) {
    sw_error error;
    assert_ok(sw_ask_read(sheet, index_of(sheet, key), line, *state, answers, &error), &error);
}

static sw_status refuse(void **state, const sw_ask_sheet *sheet, sw_ask_answers *answers,
                        const char *key, const char *line, const char *says) {
    sw_error error = {SW_OK, ""};
    sw_status status = sw_ask_read(sheet, index_of(sheet, key), line, *state, answers, &error);
    assert_int_not_equal(status, SW_OK);
    assert_non_null(strstr(error.message, says));
    assert_false(answer(sheet, answers, key)->known);
    return status;
}

static cJSON *document_of(void **state, const sw_ask_sheet *sheet, const sw_ask_answers *answers) {
    sw_error error;
    cJSON *document = NULL;
    assert_ok(sw_ask_document(sheet, answers, TEST_REFERENCE_DIR, *state, &document, &error),
              &error);
    return document;
}

static double value_at(const cJSON *document, const char *key, const char *member) {
    const cJSON *item = cJSON_GetObjectItemCaseSensitive(document, key);
    item = cJSON_GetObjectItemCaseSensitive(item, member);
    return cJSON_IsNumber(item) ? item->valuedouble : (double)NAN;
}

static bool guessed(const cJSON *document, const char *key) {
    const cJSON *list = cJSON_GetObjectItemCaseSensitive(document, "guessed");
    const cJSON *item = NULL;
    cJSON_ArrayForEach(item, list) if (strcmp(item->valuestring, key) == 0) return true;
    return false;
}

static void lines_are_read_as_people_type(void **state) {
    static const char *const UNKNOWN[] = {"",          "?",       "  ",           "don't know",
                                          "Dont Know", "no idea", "I don't know."};
    const sw_ask_sheet *sheet = &SW_ASK_ROTOR;
    sw_ask_answers answers;
    sw_ask_init(&answers);
    for (size_t i = 0; i < sizeof UNKNOWN / sizeof *UNKNOWN; i++) {
        reply(state, sheet, &answers, "shape", UNKNOWN[i]);
        assert_false(answer(sheet, &answers, "shape")->known);
    }
    static const struct {
        const char *line;
        int word;
    } SHAPES[] = {{"half pipe", 0}, {"Half-Pipe", 0}, {"1", 0},   {"half", 0},
                  {"V", 3},         {"corr", 4},      {" 6 ", 5}, {"wh", 7}};
    for (size_t i = 0; i < sizeof SHAPES / sizeof *SHAPES; i++) {
        reply(state, sheet, &answers, "shape", SHAPES[i].line);
        assert_int_equal(answer(sheet, &answers, "shape")->word, SHAPES[i].word);
    }
    reply(state, sheet, &answers, "vane_width", "10 in");
    assert_close(answer(sheet, &answers, "vane_width")->quantity.value, 0.254, 1e-12);
    reply(state, sheet, &answers, "name", "  the \033[1m big one ");
    assert_string_equal(answer(sheet, &answers, "name")->text, "the ?[1m big one");
}

static void bad_answers_are_explained(void **state) {
    const sw_ask_sheet *sheet = &SW_ASK_ROTOR;
    sw_ask_answers answers;
    sw_ask_init(&answers);
    refuse(state, sheet, &answers, "shape", "c", "half-pipe"); /* cup or corrugated */
    refuse(state, sheet, &answers, "shape", "9", "wheel");
    refuse(state, sheet, &answers, "vanes", "3.5", "whole number");
    refuse(state, sheet, &answers, "vanes", "0", "1 to 60");
    assert_int_equal(refuse(state, sheet, &answers, "vane_width", "300", "300"), SW_UNIT);
    refuse(state, sheet, &answers, "vane_width", "3 kg", "kg");
    reply(state, sheet, &answers, "vane_width", "600 mm");
    refuse(state, sheet, &answers, "arm", "200 mm", "middle of the vane");
    reply(state, sheet, &answers, "shape", "flat");
    refuse(state, sheet, &answers, "side", "no", "does not turn");
    refuse(state, &SW_ASK_MOTOR, &answers, "magnets", "45", "even");
}

static void questions_follow_from_answers(void **state) {
    const sw_ask_sheet *sheet = &SW_ASK_ROTOR;
    sw_ask_answers answers;
    sw_ask_init(&answers);
    assert_true(sw_ask_applies(sheet, &answers, index_of(sheet, "arm")));
    assert_false(sw_ask_applies(sheet, &answers, index_of(sheet, "width")));
    reply(state, sheet, &answers, "shape", "wheel");
    assert_false(sw_ask_applies(sheet, &answers, index_of(sheet, "arm")));
    assert_true(sw_ask_applies(sheet, &answers, index_of(sheet, "width")));
    assert_false(sw_ask_applies(sheet, &answers, index_of(sheet, "height")));
    sheet = &SW_ASK_SITE;
    sw_ask_init(&answers);
    assert_true(sw_ask_applies(sheet, &answers, index_of(sheet, "leaves")));
    assert_false(sw_ask_applies(sheet, &answers, index_of(sheet, "measured_height")));
    reply(state, sheet, &answers, "mean_wind", "9 mph");
    assert_false(sw_ask_applies(sheet, &answers, index_of(sheet, "leaves")));
    assert_true(sw_ask_applies(sheet, &answers, index_of(sheet, "measured_height")));
}

/* Each word of each question, all else unknown: every document is one its reader takes. */
static void every_word_makes_a_valid_document(void **state) {
    const sw_ask_sheet *const SHEETS[] = {&SW_ASK_MOTOR, &SW_ASK_ROTOR, &SW_ASK_SITE, &SW_ASK_LOAD};
    size_t made = 0;
    for (size_t s = 0; s < sizeof SHEETS / sizeof *SHEETS; s++)
        for (size_t i = 0; i < SHEETS[s]->count; i++) {
            const sw_ask_question *question = &SHEETS[s]->question[i];
            for (int w = 0; question->form == SW_ASK_WORD && question->choices[w].word; w++) {
                sw_ask_answers answers;
                sw_ask_init(&answers);
                reply(state, SHEETS[s], &answers, question->key, question->choices[w].word);
                cJSON_Delete(document_of(state, SHEETS[s], &answers));
                made++;
            }
        }
    assert_true(made > 30);
}

/* What nobody knows is there all the same, wide and listed. */
static void dont_know_is_listed_as_guessed(void **state) {
    sw_ask_answers answers;
    sw_ask_init(&answers);
    cJSON *document = document_of(state, &SW_ASK_ROTOR, &answers);
    static const char *const KEYS[] = {"shape", "vanes",    "vane_width",     "vane_height",
                                       "arm",   "shielded", "bearing_torque", "power_coefficient"};
    for (size_t i = 0; i < sizeof KEYS / sizeof *KEYS; i++)
        assert_true(guessed(document, KEYS[i]));
    const cJSON *u = cJSON_GetObjectItemCaseSensitive(document, "power_coefficient_u");
    /* hypot of 0.25, 0.4, 0.4, 0.4, 0.2, 0.3 */
    assert_close(u->valuedouble, sqrt(0.0625 + 3 * 0.16 + 0.04 + 0.09), 1e-9);
    assert_close(value_at(document, "vane_width", "u"), 0.12, 1e-12);
    cJSON_Delete(document);
    document = document_of(state, &SW_ASK_SITE, &answers);
    assert_true(guessed(document, "mean_wind"));
    assert_true(value_at(document, "mean_wind", "u") >=
                0.4 * value_at(document, "mean_wind", "value"));
    cJSON_Delete(document);
    document = document_of(state, &SW_ASK_MOTOR, &answers);
    const cJSON *why = cJSON_GetObjectItemCaseSensitive(document, "unknown");
    assert_non_null(cJSON_GetObjectItemCaseSensitive(why, "voltage_constant"));
    assert_non_null(cJSON_GetObjectItemCaseSensitive(why, "winding_resistance"));
    cJSON_Delete(document);
}

static void the_mean_wind_follows_the_exposure(void **state) {
    (void)state;
    for (int leaves = -1; leaves < 4; leaves++)
        for (int place = 1; place < 5; place++)
            assert_true(sw_ask_mean_wind(place, leaves).value >
                        sw_ask_mean_wind(place - 1, leaves).value);
    for (int place = -1; place < 5; place++)
        for (int leaves = 1; leaves < 4; leaves++)
            assert_true(sw_ask_mean_wind(place, leaves).value >
                        sw_ask_mean_wind(place, leaves - 1).value);
    for (int place = -1; place < 5; place++)
        for (int leaves = -1; leaves < 4; leaves++) {
            sw_quantity mean = sw_ask_mean_wind(place, leaves);
            /* never held better than a quarter; the small slack is rounding */
            assert_true(mean.u / mean.value >= 0.25 - 1e-12);
            assert_true(mean.value > 1 && mean.value < 7);
        }
    /* By hand: both witnesses 0.35 wide, 2.2 and 2.2 m/s. */
    assert_close(sw_ask_mean_wind(0, 1).value, 2.2, 1e-12);
}

static void a_site_carries_the_guess_to_the_hub(void **state) {
    sw_ask_answers answers;
    sw_site site;
    sw_error error;
    sw_ask_init(&answers);
    reply(state, &SW_ASK_SITE, &answers, "exposure", "open field");
    reply(state, &SW_ASK_SITE, &answers, "hub_height", "12 m");
    cJSON *document = document_of(state, &SW_ASK_SITE, &answers);
    assert_ok(sw_site_parse(document, "site", TEST_REFERENCE_DIR, *state, &site, &error), &error);
    /* log law from 6 m over farmland-open, z0 = 0.03 m */
    assert_close(site.mean_wind.value, 4.3 * log(12 / 0.03) / log(6 / 0.03), 1e-9);
    assert_true(site.mean_wind_guessed);
    sw_site_free(&site);
    cJSON_Delete(document);
}

static void a_battery_gets_its_resistance_from_kind_and_size(void **state) {
    sw_ask_answers answers;
    sw_load load;
    sw_error error;
    sw_ask_init(&answers);
    reply(state, &SW_ASK_LOAD, &answers, "battery", "agm");
    reply(state, &SW_ASK_LOAD, &answers, "voltage", "24 V");
    reply(state, &SW_ASK_LOAD, &answers, "capacity", "50 Ah");
    cJSON *document = document_of(state, &SW_ASK_LOAD, &answers);
    assert_ok(sw_load_parse(document, "load", TEST_REFERENCE_DIR, *state, &load, &error), &error);
    assert_close(load.resistance.value, 2 * 1.0 / 50, 1e-12); /* two blocks of 1.0 ohm Ah */
    assert_close(load.voltage.value, 2 * 12.8, 1e-12);
    assert_true(load.resistance_guessed);
    assert_true(guessed(document, "resistance"));
    cJSON_Delete(document);
}

static void a_motor_s_constant_is_as_good_as_its_speed(void **state) {
    static const struct {
        const char *word;
        double u; /* relative, of the speed */
    } ROWS[] = {{"tachometer", 0.01}, {"counted", 0.02}, {"drill-plate", 0.15}, {"?", 0.15}};
    for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; i++) {
        sw_ask_answers answers;
        sw_ask_init(&answers);
        reply(state, &SW_ASK_MOTOR, &answers, "volts", "24 V");
        reply(state, &SW_ASK_MOTOR, &answers, "speed", "48 turns in 12 s");
        reply(state, &SW_ASK_MOTOR, &answers, "speed_by", ROWS[i].word);
        cJSON *document = document_of(state, &SW_ASK_MOTOR, &answers);
        assert_close(value_at(document, "voltage_constant", "value"), 0.1, 1e-12);
        /* "48 turns in 12 s" may state an uncertainty of its own */
        const sw_ask_answer *speed = answer(&SW_ASK_MOTOR, &answers, "speed");
        double speed_u = isnan(speed->quantity.u) ? ROWS[i].u : speed->quantity.u / 240;
        assert_close(value_at(document, "voltage_constant", "u"), 0.1 * hypot(0.03, speed_u), 1e-9);
        cJSON_Delete(document);
    }
}

static void a_motor_s_size_is_kept(void **state) {
    sw_ask_answers answers;
    sw_motor motor;
    sw_error error;
    sw_ask_init(&answers);
    reply(state, &SW_ASK_MOTOR, &answers, "magnet_kind", "alnico");
    reply(state, &SW_ASK_MOTOR, &answers, "diameter", "10 in");
    reply(state, &SW_ASK_MOTOR, &answers, "length", "60 mm");
    reply(state, &SW_ASK_MOTOR, &answers, "mass", "?");
    cJSON *document = document_of(state, &SW_ASK_MOTOR, &answers);
    assert_ok(sw_motor_parse(document, "motor", *state, &motor, &error), &error);
    assert_int_equal(motor.magnet_kind, SW_MAGNET_ALNICO);
    assert_close(motor.diameter.value, 254, 1e-9);
    assert_close(motor.length.value, 60, 1e-9);
    assert_false(sw_quantity_known(motor.mass));
    cJSON_Delete(document);
}

static void test_leads_are_taken_off(void **state) {
    sw_ask_answers answers;
    sw_ask_init(&answers);
    reply(state, &SW_ASK_MOTOR, &answers, "winding_resistance", "1.1");
    refuse(state, &SW_ASK_MOTOR, &answers, "test_leads", "1.2 ohm", "less");
    reply(state, &SW_ASK_MOTOR, &answers, "test_leads", "0.3");
    cJSON *document = document_of(state, &SW_ASK_MOTOR, &answers);
    assert_close(value_at(document, "winding_resistance", "value"), 0.8, 1e-12);
    cJSON_Delete(document);
    reply(state, &SW_ASK_MOTOR, &answers, "test_leads", "?");
    document = document_of(state, &SW_ASK_MOTOR, &answers);
    assert_close(value_at(document, "winding_resistance", "value"), 0.9, 1e-12);
    cJSON_Delete(document);
}

static void surface_is_no_swept_area(void **state) {
    sw_ask_answers answers;
    sw_text text = {0};
    sw_ask_init(&answers);
    reply(state, &SW_ASK_ROTOR, &answers, "vane_width", "600 mm");
    reply(state, &SW_ASK_ROTOR, &answers, "vane_height", "1500 mm");
    reply(state, &SW_ASK_ROTOR, &answers, "arm", "700 mm");
    SW_ASK_ROTOR.remark(&answers, &text);
    assert_non_null(strstr(sw_text_string(&text), "sweeps 3 m2")); /* 2 (0.7 + 0.3) 1.5 */
    assert_null(strstr(sw_text_string(&text), "only the swept area"));
    sw_text_free(&text);
    reply(state, &SW_ASK_ROTOR, &answers, "surface", "12 m2");
    SW_ASK_ROTOR.remark(&answers, &text);
    assert_non_null(strstr(sw_text_string(&text), "only the swept area catches wind"));
    sw_text_free(&text);
}

/* An example must be an answer. */
static void every_example_is_an_answer(void **state) {
    static const char *const SHEETS[] = {"motor", "rotor", "site", "load"};
    size_t seen = 0;
    for (size_t k = 0; k < sizeof SHEETS / sizeof *SHEETS; k++) {
        const sw_ask_sheet *sheet = NULL;
        assert_ok(sw_ask_find(SHEETS[k], &sheet, NULL), NULL);
        for (size_t i = 0; i < sheet->count; i++) {
            const char *example = sheet->question[i].example;
            bool value = sheet->question[i].form == SW_ASK_COUNT ||
                         sheet->question[i].form == SW_ASK_QUANTITY;
            assert_int_equal(example != NULL, value);
            for (const char *at = example; at != NULL; seen++) { /* "1 m, or 3 ft" */
                char one[60];
                const char *end = strstr(at, ", or ");
                snprintf(one, sizeof one, "%.*s", end != NULL ? (int)(end - at) : 50, at);
                sw_ask_answers answers;
                sw_error error;
                sw_ask_init(&answers);
                if (sw_ask_read(sheet, i, one, *state, &answers, &error) != SW_OK &&
                    sheet->question[i].fits == NULL)
                    fail_msg("%s %s: %s", SHEETS[k], one, error.message);
                at = end != NULL ? end + strlen(", or ") : NULL;
            }
        }
    }
    assert_true(seen > 30);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_example_is_an_answer),
        cmocka_unit_test(lines_are_read_as_people_type),
        cmocka_unit_test(bad_answers_are_explained),
        cmocka_unit_test(questions_follow_from_answers),
        cmocka_unit_test(every_word_makes_a_valid_document),
        cmocka_unit_test(dont_know_is_listed_as_guessed),
        cmocka_unit_test(the_mean_wind_follows_the_exposure),
        cmocka_unit_test(a_site_carries_the_guess_to_the_hub),
        cmocka_unit_test(a_battery_gets_its_resistance_from_kind_and_size),
        cmocka_unit_test(a_motor_s_constant_is_as_good_as_its_speed),
        cmocka_unit_test(a_motor_s_size_is_kept),
        cmocka_unit_test(test_leads_are_taken_off),
        cmocka_unit_test(surface_is_no_swept_area),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
