/* A ranked shelf in words: two lines a motor, and what is alike is said to be. */
#include "tests/support.h"

#include "src/report/rank_text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { MOTORS = 30 };

typedef struct shelf {
    sw_motor motor[MOTORS];
    char *file[MOTORS];
    sw_rotor rotor;
    const char *rotor_file;
    sw_site site;
    sw_rank_row row[MOTORS];
    sw_rank_request request;
    sw_rank_names names;
} shelf;

/* motors with so many kWh a year each; named "motor 0" ... */
static void set_up(shelf *it, const double *kwh, size_t count) {
    memset(it, 0, sizeof *it);
    snprintf(it->rotor.name, sizeof it->rotor.name, "drum");
    it->site.storm_wind = sw_quantity_of(38, NAN, "m/s");
    for (size_t i = 0; i < count; i++) {
        snprintf(it->motor[i].name, sizeof it->motor[i].name, "motor %zu", i);
        it->file[i] = it->motor[i].name;
        it->row[i] = (sw_rank_row){.motor = i,
                                   .verdict = SW_VERDICT_USE,
                                   .reason = {.code = SW_REASON_ENERGY},
                                   .recommended = true,
                                   .started_kwh = kwh[i],
                                   .running_kwh = kwh[i],
                                   .cautious_started_kwh = kwh[i],
                                   .cautious_running_kwh = kwh[i],
                                   .cautious_start_wind = 4,
                                   .start_wind = 4,
                                   .cut_in_wind = 3};
        it->row[i].choice.gear = (sw_gear){.drive = SW_DRIVE_FRICTION};
        it->row[i].choice.gear.driver_mm = 1900;
        it->row[i].choice.gear.wheel_mm = 260;
    }
    it->rotor_file = it->rotor.name;
    it->request = (sw_rank_request){
        .motor = it->motor, .motors = count, .rotor = &it->rotor, .rotors = 1, .site = &it->site};
    it->names = (sw_rank_names){it->file, &it->rotor_file};
}

static void say(const shelf *it, bool details, sw_text *text) {
    sw_rank_text_options options = {false, details};
    sw_rank_text(&it->request, &it->names, it->row, &options, text);
}

static void one_best_is_taken(void **state) {
    (void)state;
    shelf it;
    sw_text text = {0};
    set_up(&it, (const double[]){40, 30, 8}, 3);
    say(&it, false, &text);
    const char *said = sw_text_string(&text);
    assert_int_equal(strncmp(said, "Take motor 0: about 40 kWh a year, coupled with a 260 mm", 56),
                     0);
    assert_non_null(strstr(said, " 2. motor 1: use it (fits this rotor)\n"
                                 "    30 kWh a year; 260 mm wheel; starts at 4 m/s, charges from "
                                 "3 m/s\n"));
    sw_text_free(&text);
}

/* Within a tenth no order is claimed; what starts earlier is named. */
static void what_is_alike_is_said_to_be(void **state) {
    (void)state;
    shelf it;
    sw_text text = {0};
    set_up(&it, (const double[]){34.3, 33.8, 12}, 3);
    it.row[1].start_wind = it.row[1].cautious_start_wind = 3.1;
    it.row[0].start_wind = it.row[0].cautious_start_wind = 5.2;
    say(&it, false, &text);
    const char *said = sw_text_string(&text);
    assert_int_equal(strncmp(said, "Take motor 0 or motor 1: each gives about 34 kWh a year", 55),
                     0);
    char *answer = strstr(said, "motor 1 starts in the lighter");
    assert_non_null(answer);
    sw_text_free(&text);
    /* another verdict is no tie */
    it.row[1].verdict = SW_VERDICT_SPARE;
    say(&it, false, &text);
    assert_int_equal(strncmp(sw_text_string(&text), "Take motor 0: about", 19), 0);
    sw_text_free(&text);
    /* nor is a motor that needs a push beside one that does not */
    it.row[1].verdict = SW_VERDICT_USE;
    it.row[1].started_kwh = 0;
    say(&it, false, &text);
    assert_int_equal(strncmp(sw_text_string(&text), "Take motor 0: about", 19), 0);
    sw_text_free(&text);
}

static size_t lines_of(const char *text) {
    size_t lines = 0;
    for (; *text != '\0'; text++)
        lines += *text == '\n';
    return lines;
}

static void a_long_shelf_is_cut(void **state) {
    (void)state;
    shelf it;
    sw_text text = {0};
    double kwh[MOTORS];
    for (size_t i = 0; i < MOTORS; i++)
        kwh[i] = 1000 / (1 + (double)i);
    set_up(&it, kwh, MOTORS);
    say(&it, false, &text);
    assert_true(lines_of(sw_text_string(&text)) <= 50);
    assert_non_null(
        strstr(sw_text_string(&text), "10 more give less or lack a reading; --details"));
    assert_null(strstr(sw_text_string(&text), "motor 25"));
    sw_text_free(&text);
    say(&it, true, &text);
    assert_non_null(strstr(sw_text_string(&text), "motor 25"));
    sw_text_free(&text);
}

/* One line for a motor to leave: no wheel for it. */
static void what_is_left_takes_one_line(void **state) {
    (void)state;
    shelf it;
    sw_text text = {0};
    set_up(&it, (const double[]){34, 0.2}, 2);
    it.row[1].verdict = SW_VERDICT_LEAVE;
    it.row[1].reason = (sw_remark){.code = SW_REASON_NO_MAGNETS};
    say(&it, false, &text);
    assert_non_null(strstr(sw_text_string(&text),
                           " 2. motor 1: leave it (cannot generate, no magnets turn in it)\n\n"));
    sw_text_free(&text);
}

/* Which rotor's vanes pull how hard cannot be told without their mass: that is said, once. */
static void a_missing_vane_mass_is_said(void **state) {
    (void)state;
    shelf it;
    sw_text text = {0};
    set_up(&it, (const double[]){34, 20}, 2);
    sw_rotor rotors[2] = {it.rotor, it.rotor};
    const char *files[2] = {"drum.json", "other.json"};
    it.request.rotor = rotors;
    it.request.rotors = 2;
    it.request.motors = 1;
    it.names.rotor = files;
    it.row[1].motor = 0;
    it.row[1].rotor = 1;
    for (size_t i = 0; i < 2; i++)
        it.row[i].vane = (sw_vane_storm){
            .wind_m_s = 38, .rotor_rad_s = 20, .wind_n = 500, .parked_n = 2000, .pull_n = NAN};
    say(&it, false, &text);
    const char *said = strstr(sw_text_string(&text), "The pull at a vane's fixings is left out");
    assert_non_null(said);
    assert_null(strstr(said + 1, "The pull at a vane's fixings is left out"));
    sw_text_free(&text);
    it.row[0].vane.pull_n = it.row[1].vane.pull_n = 900;
    say(&it, false, &text);
    assert_null(strstr(sw_text_string(&text), "left out"));
    sw_text_free(&text);
}

/* More is promised only where it was measured; who is not measured is told so. */
static void an_unmeasured_one_is_named_not_taken(void **state) {
    (void)state;
    shelf it;
    sw_text text = {0};
    set_up(&it, (const double[]){33, 44, 12}, 3);
    it.row[1].cautious_started_kwh = it.row[1].cautious_running_kwh = 20;
    it.row[1].assumed = (sw_assumed){.drag = true, .cogging = true};
    say(&it, false, &text);
    const char *said = sw_text_string(&text);
    assert_int_equal(strncmp(said, "Take motor 0: about 33 kWh a year", 33), 0);
    assert_non_null(strstr(said, "motor 1 may give more, about 44 kWh"));
    assert_non_null(strstr(said, "if bad, 20 kWh a year"));
    sw_text_free(&text);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_best_is_taken),
        cmocka_unit_test(what_is_alike_is_said_to_be),
        cmocka_unit_test(an_unmeasured_one_is_named_not_taken),
        cmocka_unit_test(a_long_shelf_is_cut),
        cmocka_unit_test(what_is_left_takes_one_line),
        cmocka_unit_test(a_missing_vane_mass_is_said),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
