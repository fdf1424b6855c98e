#include "src/report/sure_text.h"

#include "shared/json_write.h"
#include "src/report/remark_text.h"
#include "src/report/words.h"

#include <ctype.h>
#include <math.h>
#include <stdbool.h>
#include <stdio.h>

/* A reading that narrows the range by less is not worth an afternoon. */
static const double LEAST_GAIN = 0.03;

enum { READINGS = 3 };

static void row(sw_text *text, const char *label, double probability, bool details) {
    sw_text_add(text, "  %-40s %s", label, sw_words_probability(probability));
    if (details)
        sw_text_add(text, "  %.2f", probability);
    sw_text_add(text, "\n");
}

static const char *reading_of(sw_doubt doubt) {
    static const sw_remark_code CODES[SW_DOUBT_COUNT] = {
        [SW_DOUBT_WIND] = SW_GUESS_WIND,
        [SW_DOUBT_ROTOR] = SW_GUESS_ROTOR_POWER,
        [SW_DOUBT_CONSTANT] = SW_MISSING_CONSTANT,
        [SW_DOUBT_DRAG] = SW_GUESS_DRAG,
        [SW_DOUBT_RESISTANCE] = SW_GUESS_RESISTANCE,
        [SW_DOUBT_INDUCTANCE] = SW_GUESS_INDUCTANCE,
        [SW_DOUBT_DRIVE] = SW_GUESS_FRICTION};
    return sw_remark_reading(CODES[doubt]);
}

static void say_readings(const sw_sure *sure, sw_text *text) {
    if (sure->narrows[sure->order[0]] < LEAST_GAIN)
        return;
    sw_text_add(text, "\nWhat to measure, by how much each would narrow the range of energy\n");
    for (int i = 0; i < READINGS && sure->narrows[sure->order[i]] >= LEAST_GAIN; i++)
        sw_text_paragraph(text, 5, "  %d. %s (by up to %.0f %%)", i + 1, reading_of(sure->order[i]),
                          100 * sure->narrows[sure->order[i]]);
}

/* What the recommended choice was held against: stock sizes and wirings at hand. Another battery, a
 * wheel made to measure and an opened motor stand apart (options_text.c). */
static const char *best_of(const sw_match *match) {
    const sw_electrical *used = &match->search.electrical[match->best.electrical];
    if (match->load.kind != SW_LOAD_BATTERY)
        return "the best in stock, wired as it can be";
    return used->tell_voltage ? "the best in stock, of these batteries"
                              : "the best in stock, with this battery";
}

void sw_sure_text(const sw_match *match, bool details, sw_text *text) {
    if (!match->full)
        return;
    sw_text_add(text, "\nHow sure it is\n");
    row(text, "this verdict holds", match->sure.verdict_stands, details);
    row(text, best_of(match), match->sure.choice_stands, details);
    if (isfinite(match->sure.holds_wet)) {
        row(text, "the wheel holds on a dry rim", match->sure.holds_dry, details);
        row(text, "the wheel holds on a wet rim", match->sure.holds_wet, details);
    }
    say_readings(&match->sure, text);
}

static void say_guessed(const sw_match *match, sw_text *text) {
    sw_text topics = {0};
    if (match->guessed.count == 0)
        return;
    sw_remarks_topics(&match->guessed, &topics);
    sw_text_paragraph(text, 4, "  - Guessed so far: %s.", sw_text_string(&topics));
    sw_text_carry(&topics, text);
}

/* Five times the winding's own, a round figure: enough current to see a drop, not too much heat. */
static double resistor_for(const sw_motor *motor) {
    double ohm = 5 * motor->winding_resistance.value;
    double step = pow(10, floor(log10(ohm)));
    return step * round(ohm / step);
}

/* How to measure it, with the command. */
static void say_inductance(const sw_match *match, const sw_motor *motor, const char *motor_file,
                           sw_text *text) {
    char ohm[32];
    sw_words_number(resistor_for(motor), 1, ohm, sizeof ohm);
    sw_text_paragraph(text, 4,
                      "  - Its inductance, only assumed so far: that would narrow the range of "
                      "energy by up to %.0f %%. Record the motor with a resistor of some %s ohm "
                      "(it gets hot) across two of its wires, then: spinworth measure --into %s "
                      "--loaded LOADED.wav --load-ohm %sohm",
                      100 * match->sure.narrows[SW_DOUBT_INDUCTANCE], ohm,
                      motor_file != NULL ? motor_file : "motor.json", ohm);
}

/* Drag that nobody measured is told however little it narrows the range: the start hangs on it. */
static void say_drag(const sw_match *match, sw_text *text) {
    const sw_assumed *assumed = &match->assumed;
    sw_text line = {0};
    sw_text_add(&line, "  - Its %s, only assumed so far",
                assumed->drag && assumed->cogging ? "drag and cogging"
                : assumed->drag                   ? "drag"
                                                  : "cogging");
    if (match->sure.narrows[SW_DOUBT_DRAG] >= LEAST_GAIN)
        sw_text_add(&line, ": that would narrow the range of energy by up to %.0f %%",
                    100 * match->sure.narrows[SW_DOUBT_DRAG]);
    sw_text_add(&line, ".");
    if (assumed->drag)
        sw_text_add(&line, " For the drag let it run down freely and record that.");
    if (assumed->cogging)
        sw_text_add(&line, " For the cogging %s.", sw_remark_reading(SW_GUESS_COGGING));
    sw_text_paragraph(text, 4, "%s", sw_text_string(&line));
    sw_text_carry(&line, text);
}

static void say_reading(const sw_sure *sure, sw_text *text) {
    char reading[200];
    snprintf(reading, sizeof reading, "%s", reading_of(sure->order[0]));
    reading[0] = (char)toupper((unsigned char)reading[0]);
    sw_text_paragraph(text, 4, "  - %s. That would narrow the range of energy by up to %.0f %%.",
                      reading, 100 * sure->narrows[sure->order[0]]);
}

void sw_sure_next_text(const sw_match *match, const sw_motor *motor, const char *motor_file,
                       sw_text *text) {
    const sw_sure *sure = &match->sure;
    const sw_assumed *assumed = &match->assumed;
    bool drag = assumed->drag || assumed->cogging;
    bool henries = assumed->inductance && sure->narrows[SW_DOUBT_INDUCTANCE] >= LEAST_GAIN;
    bool told = (sure->order[0] == SW_DOUBT_DRAG && drag) ||
                (sure->order[0] == SW_DOUBT_INDUCTANCE && henries);
    bool helps = !told && sure->narrows[sure->order[0]] >= LEAST_GAIN;
    if (!match->full || (!helps && !henries && !drag && match->guessed.count == 0))
        return;
    sw_text_add(text, "\nWhat to measure next\n");
    if (helps)
        say_reading(sure, text);
    if (drag)
        say_drag(match, text);
    if (henries)
        say_inductance(match, motor, motor_file, text);
    say_guessed(match, text);
}

void sw_sure_add_json(cJSON *root, const sw_sure *sure) {
    cJSON *it = cJSON_AddObjectToObject(root, "how_sure");
    sw_json_add_number(it, "verdict_stands", sure->verdict_stands);
    sw_json_add_number(it, "choice_stands", sure->choice_stands);
    sw_json_add_number(it, "below_worth", sure->below_worth);
    sw_json_add_number(it, "wheel_holds_dry", sure->holds_dry);
    sw_json_add_number(it, "wheel_holds_wet", sure->holds_wet);
    if (isnan(sure->holds_wet))
        sw_json_add_unknown(it, "wheel_holds_wet", "nothing is pressed on");
    double wind_known = 1 - sure->narrows[SW_DOUBT_WIND];
    if (sure->running_kwh.middle > 0)
        sw_json_add_number(it, "power_u",
                           wind_known * sure->running_kwh.u / sure->running_kwh.middle);
    cJSON *list = cJSON_AddArrayToObject(it, "next_measurements");
    for (size_t i = 0; i < SW_DOUBT_COUNT; i++) {
        cJSON *reading = cJSON_CreateObject();
        cJSON_AddStringToObject(reading, "of", sw_doubt_name(sure->order[i]));
        sw_json_add_number(reading, "narrows", sure->narrows[sure->order[i]]);
        cJSON_AddItemToArray(list, reading);
    }
}
