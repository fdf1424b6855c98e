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
    if (fmax(sure->narrows[sure->order[0]], sure->inductance_matters) < LEAST_GAIN)
        return;
    sw_text_add(text, "\nWhat to measure, by how much each would narrow the range of energy\n");
    for (int i = 0; i < READINGS && sure->narrows[sure->order[i]] >= LEAST_GAIN; i++)
        sw_text_paragraph(text, 5, "  %d. %s (by up to %.0f %%)", i + 1, reading_of(sure->order[i]),
                          100 * sure->narrows[sure->order[i]]);
    if (sure->inductance_matters >= LEAST_GAIN)
        sw_text_paragraph(text, 4,
                          "  - %s; taken as none so far, it may change the energy by %.0f %%",
                          sw_remark_reading(SW_GUESS_INDUCTANCE), 100 * sure->inductance_matters);
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

/* Taken as none, which is no more likely than a large one: outside the range that was drawn. */
static void say_inductance(const sw_match *match, const sw_motor *motor, const char *motor_file,
                           sw_text *text) {
    char ohm[32];
    sw_words_number(resistor_for(motor), 1, ohm, sizeof ohm);
    sw_text_paragraph(text, 4,
                      "  - Its inductance, taken as none so far, may change the energy by %.0f %%. "
                      "Record the motor with a resistor of some %s ohm (it gets hot) across two "
                      "of its wires, then: spinworth measure --into %s --loaded LOADED.wav "
                      "--load-ohm %sohm",
                      100 * match->sure.inductance_matters, ohm,
                      motor_file != NULL ? motor_file : "motor.json", ohm);
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
    bool helps = match->full && sure->narrows[sure->order[0]] >= LEAST_GAIN;
    bool henries = match->full && sure->inductance_matters >= LEAST_GAIN;
    if (!match->full || (!helps && !henries && match->guessed.count == 0))
        return;
    sw_text_add(text, "\nWhat to measure next\n");
    if (helps)
        say_reading(sure, text);
    if (henries)
        say_inductance(match, motor, motor_file, text);
    say_guessed(match, text);
}

void sw_sure_add_json(cJSON *root, const sw_sure *sure) {
    cJSON *it = cJSON_AddObjectToObject(root, "how_sure");
    sw_json_add_number(it, "verdict_stands", sure->verdict_stands);
    sw_json_add_number(it, "choice_stands", sure->choice_stands);
    sw_json_add_number(it, "wheel_holds_dry", sure->holds_dry);
    sw_json_add_number(it, "wheel_holds_wet", sure->holds_wet);
    if (isnan(sure->holds_wet))
        sw_json_add_unknown(it, "wheel_holds_wet", "nothing is pressed on");
    double wind_known = 1 - sure->narrows[SW_DOUBT_WIND];
    if (sure->running_kwh.middle > 0)
        sw_json_add_number(it, "power_u",
                           wind_known * sure->running_kwh.u / sure->running_kwh.middle);
    if (sure->inductance_matters > 0)
        sw_json_add_number(it, "inductance_matters", sure->inductance_matters);
    cJSON *list = cJSON_AddArrayToObject(it, "next_measurements");
    for (size_t i = 0; i < SW_DOUBT_COUNT; i++) {
        cJSON *reading = cJSON_CreateObject();
        cJSON_AddStringToObject(reading, "of", sw_doubt_name(sure->order[i]));
        sw_json_add_number(reading, "narrows", sure->narrows[sure->order[i]]);
        cJSON_AddItemToArray(list, reading);
    }
}
