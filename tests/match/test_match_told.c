/* What match tells of its documents and of readings that are missing, each in the words that a
 * builder sees. */
#include "tests/match/scene.h"

#include "src/report/claim_text.h"
#include "src/report/match_parts.h"

#include <stdlib.h>

/* The caller frees it. */
static char *told(const sw_match_request *request, const char *parts) {
    sw_match_text_options options = {.parts = 0};
    sw_match *match = calloc(1, sizeof *match);
    sw_text text = {0};
    sw_error error = {0};
    assert_non_null(match);
    if (parts != NULL)
        assert_ok(sw_match_parts_read(parts, &options.parts, &error), &error);
    assert_ok(sw_match_run(request, match, &error), &error);
    sw_match_text(request, match, &options, &text);
    char *copy = malloc(text.length + 1);
    assert_non_null(copy);
    memcpy(copy, sw_text_string(&text), text.length + 1);
    sw_text_free(&text);
    sw_match_free(match);
    free(match);
    return copy;
}

static void assert_told(const char *text, const char *words) {
    if (strstr(text, words) == NULL)
        fail_msg("\"%s\" is not in: %s", words, text);
}

/* Surface that is no swept area, and rows left out of a wind file. */
static void notes_of_rotor_and_site_are_told(void **state) {
    scene it;
    sw_match match;
    sw_error error = {0};
    scene_set_up(*state, "\"surface\":\"12 m2\"," SCENE_DRUM, SCENE_RING, SCENE_SITE, &it);
    snprintf(it.site.note, sizeof it.site.note, "Seven rows were left out.");
    sw_match_request request = scene_request(&it, 70);
    char *text = told(&request, NULL);
    assert_told(text, "The vanes have 12 m2 of surface");
    assert_told(text, "Seven rows were left out.");
    free(text);
    request.brief = true;
    assert_ok(sw_match_run(&request, &match, &error), &error);
    cJSON *root = sw_match_to_json(&request, &match);
    assert_told(cJSON_GetStringValue(cJSON_GetObjectItemCaseSensitive(root, "rotor_note")),
                "swept area");
    assert_string_equal(cJSON_GetStringValue(cJSON_GetObjectItemCaseSensitive(root, "site_note")),
                        "Seven rows were left out.");
    cJSON_Delete(root);
    sw_match_free(&match);
    scene_tear_down(&it);
}

/* Pole pairs and volts are two readings; volts per hertz are volts enough. */
static void every_missing_reading_is_named(void **state) {
    scene it;
    scene_set_up(*state, SCENE_DRUM, SCENE_RING, SCENE_SITE, &it);
    it.motor.pole_pairs.value = 0;
    it.motor.voltage_constant = sw_quantity_unknown();
    it.motor.volts_per_hertz = sw_quantity_unknown();
    sw_match_request request = scene_request(&it, 70);
    char *text = told(&request, NULL);
    assert_told(text, "not yet: readings are missing");
    assert_told(text, "The number of pole pairs is not known");
    assert_told(text, "The voltage per turn is not known");
    free(text);
    it.motor.volts_per_hertz = sw_quantity_of(3.6, 0.03, "V/Hz");
    text = told(&request, NULL);
    assert_told(text, "not yet: a reading is missing");
    assert_null(strstr(text, "The voltage per turn is not known"));
    free(text);
    scene_tear_down(&it);
}

/* A part that is empty says why with the part, not above in what was not printed. */
static void an_empty_part_tells_the_reasons(void **state) {
    scene it;
    scene_set_up(*state, SCENE_DRUM, SCENE_RING, SCENE_SITE, &it);
    it.motor.winding_resistance = sw_quantity_unknown();
    sw_match_request request = scene_request(&it, 70);
    char *text = told(&request, "build");
    assert_told(text, "What is missing");
    assert_told(text, "There is nothing to show of \"build\" for the reasons above.");
    free(text);
    scene_tear_down(&it);
}

/* Seconds from rest where the inertia is known, and why not where it is not. */
static void the_time_to_spin_up_is_told(void **state) {
    scene it;
    sw_match match;
    sw_error error = {0};
    scene_set_up(*state, SCENE_DRUM, SCENE_RING, SCENE_SITE, &it);
    sw_match_request request = scene_request(&it, 70);
    char *text = told(&request, "winds");
    assert_told(text, "How long it takes to spin up is not counted");
    free(text);
    it.rotor.inertia = sw_quantity_of(30, NAN, "kg m2");
    text = told(&request, "winds");
    assert_told(text, "From rest to near that speed");
    assert_told(text, "Counted with an inertia of 30 kg m");
    free(text);
    assert_ok(sw_match_run(&request, &match, &error), &error);
    cJSON *raw = sw_match_to_json(&request, &match);
    char *print = cJSON_PrintUnformatted(raw);
    cJSON *root = cJSON_Parse(print);
    const cJSON *recommended = cJSON_GetObjectItemCaseSensitive(root, "recommended");
    const cJSON *spin_up = cJSON_GetObjectItemCaseSensitive(recommended, "spin_up");
    const cJSON *list = cJSON_GetObjectItemCaseSensitive(spin_up, "list");
    assert_int_equal(cJSON_GetArraySize(list), SW_SPIN_UPS);
    const cJSON *time = cJSON_GetObjectItemCaseSensitive(cJSON_GetArrayItem(list, 1), "time");
    assert_close(cJSON_GetObjectItemCaseSensitive(time, "value")->valuedouble,
                 match.spin_up.row[1].seconds, 1e-9);
    cJSON_free(print);
    cJSON_Delete(raw);
    cJSON_Delete(root);
    sw_match_free(&match);
    scene_tear_down(&it);
}

/* No more digits of a speed than are known. */
static void speeds_of_a_claim_are_rounded(void **state) {
    (void)state;
    sw_claim_finding finding = {.claim = {500, 800}, .tried_rpm = 19112};
    sw_text text = {0};
    sw_claim_text(&finding, false, &text);
    assert_told(sw_text_string(&text), "No speed up to 19100 rpm");
    sw_text_free(&text);
    finding.reached = true;
    finding.needed.speed_rpm = 1234.4;
    sw_claim_text(&finding, false, &text);
    assert_told(sw_text_string(&text), "really need 1230 rpm");
    sw_text_free(&text);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(notes_of_rotor_and_site_are_told),
        cmocka_unit_test(every_missing_reading_is_named),
        cmocka_unit_test(an_empty_part_tells_the_reasons),
        cmocka_unit_test(the_time_to_spin_up_is_told),
        cmocka_unit_test(speeds_of_a_claim_are_rounded),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
