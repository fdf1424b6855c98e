/* record --guide and record --simulate: led through a spin without hardware, by answers through a
 * pipe. --fast runs the simulated motor twenty times as fast as real life. */
#include "tests/support.h"

#include "shared/files.h"
#include "shared/json_read.h"
#include "shared/motor.h"
#include "shared/text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { ROOM = 60000 };
static char out[ROOM];
static char err[ROOM];
static char at[200];

static int run_here(const char *arguments) {
    char command[2600];
    snprintf(command, sizeof command, "cd '%s' && %s", at, arguments);
    return support_run(command, out, sizeof out, err, sizeof err);
}

/* `arguments` of the program, with a number of Enters and then more lines on standard input. */
static int led(const char *answers, const char *arguments) {
    char command[2000];
    snprintf(command, sizeof command, "printf '%s' | '%s' record --guide %s", answers,
             TEST_SPINWORTH, arguments);
    return run_here(command);
}

static int spinworth(const char *arguments) {
    char command[1500];
    snprintf(command, sizeof command, "'%s' %s", TEST_SPINWORTH, arguments);
    return run_here(command);
}

static bool is_there(const char *name) {
    char path[300];
    snprintf(path, sizeof path, "%s/%s", at, name);
    return sw_file_exists(path);
}

static sw_motor read_motor(const char *name, const sw_units *units) {
    char path[300];
    sw_motor motor;
    sw_error error;
    snprintf(path, sizeof path, "%s/%s", at, name);
    assert_ok(sw_motor_read(path, units, &motor, &error), &error);
    return motor;
}

static double true_volts_per_hertz(const char *name, const sw_units *units) {
    char path[300];
    cJSON *root = NULL;
    sw_error error;
    sw_quantity volts;
    snprintf(path, sizeof path, "%s/%s", at, name);
    assert_ok(sw_json_read(path, &root, &error), &error);
    sw_node top = sw_node_top(root, path, units);
    assert_ok(sw_node_quantity(&top, "volts_per_hertz", "V/Hz", &volts, &error), &error);
    cJSON_Delete(root);
    return volts.value;
}

static void assert_said(const char *text, const char *words) {
    if (strstr(text, words) == NULL)
        fail_msg("\"%s\" is not in:\n%s", words, text);
}

/* Nothing wider than a usual terminal; a carriage return begins a line too. */
static void assert_narrow(const char *text) {
    while (*text != '\0') {
        char line[1000];
        size_t length = strcspn(text, "\r\n");
        snprintf(line, sizeof line, "%.*s", (int)length, text);
        if (sw_text_columns(line) >= 80)
            fail_msg("%zu columns: %s", sw_text_columns(line), line);
        text += length + (text[length] != '\0');
    }
}

/* What the README walks through: divider, taps, calibrate, record --guide, match. */
static void from_divider_to_verdict(void **state) {
    char match[1000];
    support_temporary_directory(at, sizeof at);
    assert_int_equal(spinworth("divider --hand '6 V at 10 turns in 12 s' --top 400rpm "
                               "--probe-out probe.json"),
                     0);
    assert_int_equal(spinworth("simulate --taps --battery 9.2V --probe probe.json -o taps.wav"), 0);
    assert_int_equal(spinworth("calibrate taps.wav --battery 9.2V --into probe.json"), 0);
    assert_int_equal(led("\\n?\\n\\n\\n\\n\\n1\\n\\n350rpm\\n\\n1.9ohm\\n0.2ohm\\n2kg\\n285mm\\n",
                         "--simulate drum-48 --fast --probe probe.json drum.wav"),
                     0);
    assert_narrow(err);
    assert_narrow(out);
    static const char *const SAID[] = {
        "9. Eyes covered",       "Recording drum.wav from simulated drum-48",
        "Good. Hold it there.",  "Now free the shaft.",
        "It has stopped. Done.", "controller board",
        "A board that stays on",
    };
    for (size_t i = 0; i < sizeof SAID / sizeof *SAID; i++)
        assert_said(err, SAID[i]);
    assert_said(out, "Yes, it generates. Three phases.");
    assert_said(out, "Saved as drum.json.");
    assert_true(is_there("drum.wav") && is_there("drum.wav.json"));
    assert_close(true_volts_per_hertz("drum.truth.json", *state),
                 read_motor("drum.json", *state).volts_per_hertz.value, 0.02);

    sw_motor motor = read_motor("drum.json", *state);
    assert_int_equal(spinworth("simulate --family drum-48 -o other.wav"), 0);
    double truth = true_volts_per_hertz("other.truth.json", *state);
    assert_int_equal(motor.pole_pairs.value, 24);
    /* the battery's meter is good to 0.8 % (k = 2), twice that */
    assert_close(motor.volts_per_hertz.value / truth, 1, 0.016);
    assert_close(motor.winding_resistance.value, 1.7, 0.1);
    assert_true(sw_quantity_known(motor.drag_torque.constant));

    snprintf(match, sizeof match,
             "match drum.json --rotor '%s/rotor.json' --site "
             "'%s/site.json'",
             TEST_EXAMPLES_DIR, TEST_EXAMPLES_DIR);
    assert_int_equal(spinworth(match), 0);
    support_remove_tree(at);
}

/* Seed 2 gives three times the volts that the divider was made for: the person who is led slows
 * down, and what is left uncut tells the motor. */
static void too_loud_is_held_slower(void **state) {
    support_temporary_directory(at, sizeof at);
    assert_int_equal(spinworth("divider --hand '6 V at 10 turns in 12 s' --top 400rpm "
                               "--probe-out probe.json"),
                     0);
    assert_int_equal(spinworth("simulate --taps --battery 9.2V --probe probe.json -o taps.wav"), 0);
    assert_int_equal(spinworth("calibrate taps.wav --battery 9.2V --into probe.json"), 0);
    assert_int_equal(
        led("\\n\\n\\n\\n\\n1\\n\\n590rpm\\n\\n130rpm\\n3\\n24.8ohm\\n5.33kg\\n208mm\\n",
            "--simulate drum-48 --seed 2 --fast --probe probe.json loud.wav"),
        0);
    assert_narrow(err);
    static const char *const SAID[] = {"Too loud: the crests are cut off. Hold it slower.",
                                       "CLIP",
                                       "Good. Hold it there.",
                                       "Now free the shaft.",
                                       "guesses 130rpm",
                                       "spinworth divider --volts "};
    for (size_t i = 0; i < sizeof SAID / sizeof *SAID; i++)
        assert_said(err, SAID[i]);
    sw_motor motor = read_motor("loud.json", *state);
    assert_int_equal(spinworth("simulate --family drum-48 --seed 2 -o other.wav"), 0);
    double truth = true_volts_per_hertz("other.truth.json", *state);
    assert_true(sw_motor_warned(&motor, SW_WARN_CLIPPED));
    assert_int_equal(motor.pole_pairs.value, 24);
    /* the battery's meter is good to 0.8 % (k = 2), twice that */
    assert_close(motor.volts_per_hertz.value / truth, 1, 0.016);
    /* the run-down is the last fall, not the easing of the trigger: from below half the speed */
    assert_true(sw_quantity_known(motor.drag_torque.constant));
    /* 0.504 N m by the simulation's own drag at 84 rpm; the disc is good to 10 %, and the little
     * run-down against so strong a cogging to some more */
    assert_close(motor.drag_torque.middle_torque.value, 0.504, 0.1);
    support_remove_tree(at);
}

/* What is no answer is asked again, with an example; "later" is an answer. */
static void nonsense_is_asked_again(void **state) {
    support_temporary_directory(at, sizeof at);
    assert_int_equal(led("\\n\\nperhaps\\nn\\n\\n\\n7\\nstring\\n\\nfast\\nlater\\n\\n200\\nmany\\n"
                         "3\\nlots\\nlater\\n"
                         "later\\n",
                         "--simulate hub-30 --seed 3 --fast hub.wav --hold 3s"),
                     0);
    static const char *const SAID[] = {"Found \"perhaps\": type n for no",
                                       "Found \"7\": type a number from 1 to 4",
                                       "Found \"200\": motors have 2 to 12; type for example 3",
                                       "Found \"many\"",
                                       "\"fast\"",
                                       "\"lots\"",
                                       "Now free the shaft.",
                                       "Drag is left"};
    for (size_t i = 0; i < sizeof SAID / sizeof *SAID; i++)
        assert_said(err, SAID[i]);
    assert_int_equal(read_motor("hub.json", *state).phases, 3);
    assert_int_equal(led("\\n\\n\\n\\n\\n\\n\\n\\n\\nmaybe\\nNO\\n",
                         "--simulate no-magnets --seed 1 --fast still.wav"),
                     0);
    assert_said(err, "Found \"maybe\": type y for yes, n for no.");
    assert_said(err, "Nothing was measured");
    support_remove_tree(at);
}

/* The drill stays on; the answers end after the recording: the motor is saved all the same. */
static void what_is_not_answered_is_not_known(void **state) {
    support_temporary_directory(at, sizeof at);
    assert_int_equal(led("\\n\\nn\\n\\n\\n?\\n\\nten\\n-3rpm\\n?\\n\\n3\\n",
                         "--simulate hub-30 --seed 3 --fast hub.wav -o mine.json --hold 3s"),
                     0);
    assert_said(err, "Now let the trigger go.");
    assert_said(err, "ten"); /* what is no speed is explained */
    assert_said(err, "found -3 rpm");
    assert_true(is_there("mine.json") && !is_there("hub.json"));
    sw_motor motor = read_motor("mine.json", *state);
    assert_int_equal(motor.phases, 3); /* by the wires, one channel cannot tell */
    assert_false(sw_quantity_known(motor.winding_resistance));
    assert_false(sw_quantity_known(motor.drag_torque.constant));
    support_remove_tree(at);
}

/* An induction motor is silent. */
static void a_silent_motor(void **state) {
    support_temporary_directory(at, sizeof at);
    assert_int_equal(spinworth("divider --volts 70V --probe-out probe.json"), 0);
    assert_int_equal(led("\\n\\n\\n\\n\\n\\n\\n\\n\\ny\\n",
                         "--simulate no-magnets --seed 1 --fast --for 24s --probe probe.json "
                         "mute.wav"),
                     0);
    assert_said(err, "Nothing heard yet.");
    assert_said(err, "Did the shaft turn?");
    sw_motor motor = read_motor("mute.json", *state);
    assert_int_equal(motor.kind, SW_NO_GENERATOR);
    assert_int_equal(
        led("\\n\\n\\n\\n\\n\\n\\n\\n\\nn\\n", "--simulate no-magnets --seed 1 --fast still.wav"),
        0);
    assert_said(err, "Nothing was measured");
    assert_true(is_there("still.wav") && !is_there("still.json"));
    support_remove_tree(at);
}

/* The shaft is freed but nothing was weighed: the drag waits, and the call that is told gives it.
 * A second run, added to what is saved, needs no weighing again. */
static void drag_waits_for_the_inertia(void **state) {
    support_temporary_directory(at, sizeof at);
    assert_int_equal(led("\\n\\n\\n\\n\\n1\\n\\n\\n?\\n?\\n",
                         "--simulate drum-56 --seed 2 --fast --about 220rpm a.wav"),
                     0);
    assert_said(err, "Drag is left");
    assert_false(sw_quantity_known(read_motor("a.json", *state).drag_torque.constant));
    char *call = strstr(err, "spinworth measure");
    assert_non_null(call);
    char *weight = strstr(call, "WEIGHT");
    char *size = strstr(call, "SIZE");
    assert_true(weight != NULL && size != NULL);
    memcpy(weight, "0.60kg", strlen("WEIGHT"));
    memcpy(size, "22cm", strlen("SIZE"));
    static char told[1000];
    snprintf(told, sizeof told, "%s", call + strlen("spinworth"));
    assert_int_equal(spinworth(told), 0);
    assert_true(sw_quantity_known(read_motor("a.json", *state).drag_torque.constant));
    assert_int_equal(led("\\n\\n\\n\\n\\n1\\n\\n\\n?\\n",
                         "--simulate drum-56 --seed 2 --fast --about 220rpm --into a.json b.wav"),
                     0);
    assert_null(strstr(err, "Drag is left"));
    assert_true(is_there("b.wav") && !is_there("b.json"));
    support_remove_tree(at);
}

/* What measure refuses costs no recording: here the saved motor is another one. */
static void a_refusal_after_the_spin(void **state) {
    (void)state;
    support_temporary_directory(at, sizeof at);
    assert_int_equal(run_here("echo '{\"document\": \"motor\", \"version\": 1, \"kind\": "
                              "\"magnet-ac\", \"winding_resistance\": {\"value\": 50, \"unit\": "
                              "\"ohm\", \"u\": 0.1}}' > other.json"),
                     0);
    assert_int_equal(led("\\n\\n\\n\\n\\n\\n\\n\\n20ohm\\n",
                         "--simulate drum-48 --fast --about 300rpm --into other.json a.wav"),
                     3);
    assert_said(err, "is it the same motor?");
    assert_said(err, "The recording is kept");
    assert_true(is_there("a.wav") && !is_there("a.json"));
    support_remove_tree(at);
}

/* A slip is found at the question, by the limits that measure has, and asked again. */
static void slips_are_asked_again(void **state) {
    support_temporary_directory(at, sizeof at);
    assert_int_equal(led("\\n\\n\\n\\n\\n1\\n\\n1e9rpm\\n300000rpm\\n350rpm\\n\\n2Mohm\\n3ohm\\n"
                         "5ohm\\n0.2ohm\\n900kg\\n9mm\\n2kg\\n285mm\\n",
                         "--simulate drum-48 --fast --hold 2s slip.wav"),
                     0);
    static const char *const SAID[] = {
        "found 1e+09 rpm, expected 0.1 to 1e+06",
        "expected 0 to 100000", /* the simulated spindle */
        "found 2e+06 ohm, expected 0.0001 to 1e+06",
        "found 5 ohm, which leaves nothing of the 3 ohm read",
        "a disc of 900 kg and 9 mm across would be a pole of steel",
    };
    for (size_t i = 0; i < sizeof SAID / sizeof *SAID; i++)
        assert_said(err, SAID[i]);
    sw_motor motor = read_motor("slip.json", *state);
    assert_close(motor.winding_resistance.value, 2.8, 1e-9);
    /* J = m d^2 / 8 */
    assert_close(motor.inertia.value, 2 * 0.285 * 0.285 / 8, 1e-9);
    support_remove_tree(at);
}

/* Brushes give steady volts, which the input does not pass: the meter's reading is asked for, that
 * of the simulated motor is told, and a motor comes out. */
static void a_brushed_motor(void **state) {
    double volts = 0;
    double rpm = 0;
    char answers[200];
    static const char PRACTICE[] =
        "--simulate brushed-2 --fast --about 1000rpm --coast with-drill ";
    char call[200];
    support_temporary_directory(at, sizeof at);
    snprintf(call, sizeof call, "%s--for 25s a.wav", PRACTICE);
    assert_int_equal(led("\\n\\n\\n\\n\\n\\n\\n?\\n?\\n", call), 0);
    assert_said(err, "through brushes, and no sound input passes");
    assert_said(out, "spinworth measure --into a.json \\\n--dc-volts 12.3V --speed");
    const char *told = strstr(err, "(The simulated meter shows ");
    assert_non_null(told);
    assert_int_equal(sscanf(told, "(The simulated meter shows %lfV at %lfrpm.)", &volts, &rpm), 2);
    /* a slip of the speed first */
    snprintf(answers, sizeof answers,
             "\\n\\n\\n\\n\\n\\n\\n200V\\n5rpm\\n%.6gV\\n%.6grpm\\n1.4ohm\\n0.2ohm\\n", volts, rpm);
    snprintf(call, sizeof call, "%s--for 25s b.wav", PRACTICE);
    assert_int_equal(led(answers, call), 0);
    assert_narrow(err);
    assert_said(err, "40000 V at 1000 rpm: no brushed motor known here gives");
    sw_motor motor = read_motor("b.json", *state);
    assert_int_equal(motor.kind, SW_BRUSHED);
    assert_close(1000 * motor.voltage_constant.value, 1000 * volts / rpm, 1e-9);
    assert_close(motor.winding_resistance.value, 1.2, 1e-9);
    /* what was told is what the motor really is, to the meter's three digits */
    char path[300];
    cJSON *root = NULL;
    sw_error error;
    sw_quantity truth;
    snprintf(path, sizeof path, "%s/b.truth.json", at);
    assert_ok(sw_json_read(path, &root, &error), &error);
    sw_node top = sw_node_top(root, path, *state);
    assert_ok(sw_node_quantity(&top, "voltage_constant", "V/rpm", &truth, &error), &error);
    cJSON_Delete(root);
    assert_close(motor.voltage_constant.value / truth.value, 1, 0.006);
    support_remove_tree(at);
}

static void stopping_before_the_spin_records_nothing(void **state) {
    (void)state;
    static const struct {
        const char *answers;
        int exit_status;
        const char *said;
    } cases[] = {
        {"q\\n", 0, "nothing was recorded"},
        {"\\n\\ny\\n", 0, "Put that right first"},
        {"\\n\\n\\n\\n\\n1\\n\\nq\\n", 0, "nothing was recorded"},
        {"", 3, "the answers end"},
        {"\\n\\n\\n\\n\\n1\\n\\n", 3, "the answers end"},
        {"\\n?\\n?", 3, "the answers end"},
    };
    support_temporary_directory(at, sizeof at);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        assert_int_equal(led(cases[i].answers, "--simulate drum-48 --fast rec.wav"),
                         cases[i].exit_status);
        assert_said(err, cases[i].said);
        assert_string_equal(out, "");
        assert_false(is_there("rec.wav"));
    }
    support_remove_tree(at);
}

static void wrong_calls(void **state) {
    (void)state;
    static const struct {
        const char *arguments;
        int exit_status;
        const char *said;
    } cases[] = {
        {"record --guide --json --simulate drum-48 rec.wav", 2, "--guide"},
        {"record --fast rec.wav", 2, "--simulate"},
        {"record --seed 3 rec.wav", 2, "--simulate"},
        {"record -o m.json --simulate drum-48 rec.wav", 2, "--guide"},
        {"record --simulate drum-49 rec.wav", 2, "--simulate: found \"drum-49\""},
        {"record --simulate drum-48 --input 2 rec.wav", 2, "--input"},
        {"record --simulate drum-48 --fast told.wav", 2, "told.truth.json"},
        {"record --simulate drum-48 --meter loud rec.wav", 2, "--meter"},
        {"record --simulate drum-48 --probe no.json rec.wav", 3, "no.json"},
        {"record --guide --simulate drum-48 -o old.json rec.wav </dev/null", 2, "old.json"},
        {"record --guide --simulate drum-48 old.wav </dev/null", 2, "old.json"},
        {"record --guide --simulate drum-48 --about 350 rec.wav </dev/null", 2, "--about"},
        {"record --guide --simulate drum-48 --resistance 1rpm rec.wav", 2, "--resistance"},
        {"record --guide --simulate drum-48 --between clips rec.wav", 2, "--between"},
        {"record --simulate drum-48 --coast slowly rec.wav", 2, "--coast"},
        {"record --simulate drum-48 --into none.json rec.wav", 3, "none.json"},
    };
    support_temporary_directory(at, sizeof at);
    assert_int_equal(run_here("echo {} > old.json && echo {} > told.truth.json"), 0);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        if (spinworth(cases[i].arguments) != cases[i].exit_status)
            fail_msg("%s: %s", cases[i].arguments, err);
        assert_said(err, cases[i].said);
        assert_false(is_there("rec.wav"));
    }
    support_remove_tree(at);
}

/* Recorded and measured are the simulated samples themselves. */
static void a_simulated_record_is_what_simulate_makes(void **state) {
    (void)state;
    support_temporary_directory(at, sizeof at);
    assert_int_equal(spinworth("record --simulate pump-6 --seed 4 --fast --meter off a.wav"), 0);
    assert_said(out, "a.wav");
    assert_null(strstr(err, "waiting"));
    assert_int_equal(spinworth("simulate --family pump-6 --seed 4 -o b.wav"), 0);
    assert_int_equal(spinworth("measure - --json < a.wav > a.json"), 0);
    assert_int_equal(spinworth("measure - --json < b.wav > b.json"), 0);
    assert_int_equal(run_here("cmp a.json b.json"), 0);
    support_remove_tree(at);
}

static void the_drawn_meter_stays_on_its_line(void **state) {
    (void)state;
    support_temporary_directory(at, sizeof at);
    assert_int_equal(spinworth("record --simulate drum-48 --seed 1 --fast --meter line --about "
                               "300rpm a.wav"),
                     0);
    assert_narrow(err);
    assert_said(err, "\r");
    assert_said(err, "Hz");
    assert_said(err, "~");            /* 20 to 29 pole pairs: as rough as that speed, */
    assert_said(err, "0rpm");         /* to two figures */
    assert_null(strchr(err, '\033')); /* no terminal, no bold type */
    size_t drawn = 0;
    size_t lines = 0;
    for (const char *c = err; *c != '\0'; c++) {
        drawn += *c == '\r';
        lines += *c == '\n';
    }
    /* ten a second of a record of more than five; blocks may bring two at once */
    assert_true(drawn > 25);
    assert_true(lines < 5);
    support_remove_tree(at);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(from_divider_to_verdict),
        cmocka_unit_test(too_loud_is_held_slower),
        cmocka_unit_test(nonsense_is_asked_again),
        cmocka_unit_test(what_is_not_answered_is_not_known),
        cmocka_unit_test(a_silent_motor),
        cmocka_unit_test(drag_waits_for_the_inertia),
        cmocka_unit_test(a_refusal_after_the_spin),
        cmocka_unit_test(slips_are_asked_again),
        cmocka_unit_test(a_brushed_motor),
        cmocka_unit_test(stopping_before_the_spin_records_nothing),
        cmocka_unit_test(wrong_calls),
        cmocka_unit_test(a_simulated_record_is_what_simulate_makes),
        cmocka_unit_test(the_drawn_meter_stays_on_its_line),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
