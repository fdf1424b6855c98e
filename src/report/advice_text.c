#include "src/report/advice_text.h"

#include "shared/constants.h"
#include "src/report/match_text.h"
#include "src/report/options_text.h"
#include "src/report/remark_text.h"
#include "src/report/say.h"
#include "src/report/words.h"

#include <math.h>
#include <stdio.h>

enum { LINE_ROOM = 240 };

#define BULLET "  - %s"

static bool pushed(const sw_match *match) {
    return sw_remarked(&match->reasons, SW_REASON_NEEDS_PUSH);
}

/* ---- verdict ---- */

/* Conditions in the answer's first sentence, and what stands before the next of them. */
typedef struct conditions {
    sw_text *line;
    const char *lead;
} conditions;

static void say_if(conditions *it, const char *words) {
    sw_text_add(it->line, "%s%s", it->lead, words);
    it->lead = " and ";
}

/* Which readings of the motor are missing: all of them. */
static void say_unmeasured(conditions *it, const sw_assumed *assumed) {
    char names[SW_ASSUMED_ROOM];
    char words[SW_ASSUMED_ROOM + 40];
    if (!sw_assumed_any(assumed))
        return;
    bool several = sw_assumed_say(assumed, names, sizeof names) > 1;
    snprintf(words, sizeof words, "its %s, not measured, %s as usual", names,
             several ? "are" : "is");
    say_if(it, words);
}

/* "if" in a few words. */
static void say_conditions(const sw_match *match, sw_text *line) {
    bool perhaps = sw_remarked(&match->reasons, SW_REASON_MAY_BE_LITTLE);
    conditions it = {line, perhaps ? ". Use it, if " : ", if "};
    const struct {
        bool holds;
        const char *words;
    } CONDITIONS[] = {
        {sw_remarked(&match->reasons, SW_REASON_NEEDS_PUSH), "you start it by hand"},
        {sw_remarked(&match->reasons, SW_REASON_GUESSED_WIND), "the wind is what was guessed"},
        {sw_remarked(&match->reasons, SW_REASON_GUESSED_ROTOR),
         "the rotor catches what was assumed"},
        {sw_remarked(&match->guessed, SW_GUESS_RESISTANCE),
         "its ohms are as good as an ordinary reading"},
        {sw_remarked(&match->guessed, SW_GUESS_CONSTANT),
         "its volts per turn are as good as an ordinary reading"},
    };
    for (size_t i = 0; i < sizeof CONDITIONS / sizeof *CONDITIONS; i++)
        if (CONDITIONS[i].holds)
            say_if(&it, CONDITIONS[i].words);
    say_unmeasured(&it, &match->assumed);
}

static const char *const OPENINGS[SW_VERDICT_COUNT] = {
    [SW_VERDICT_USE] = "yes, use it",
    [SW_VERDICT_USE_IF] = "yes, use it",
    [SW_VERDICT_SPARE] = "second choice. It works here, but poorly",
    [SW_VERDICT_NOT_YET] = "not yet: a reading is missing",
    [SW_VERDICT_LEAVE] = "no, leave it",
};

static const char *opening(const sw_match *match) {
    if (sw_remarked(&match->reasons, SW_REASON_MAY_BE_LITTLE))
        return "perhaps";
    if (match->missing.count > 1 && match->verdict == SW_VERDICT_NOT_YET)
        return "not yet: readings are missing";
    return OPENINGS[match->verdict];
}

/* Did the start that was asked for decide? */
static bool asked_early(const sw_match *match) {
    return sw_remarked(&match->reasons, SW_REASON_START_COSTS) ||
           sw_remarked(&match->reasons, SW_REASON_START_BY);
}

/* How likely it is too little. */
static void say_chance(const sw_match *match, sw_text *line) {
    for (size_t i = 0; i < match->reasons.count; i++)
        if (match->reasons.item[i].code == SW_REASON_MAY_BE_LITTLE)
            sw_text_add(line,
                        "; with a chance of %.0f %% it is less than the %s that make it worth it.",
                        match->reasons.item[i].first.value,
                        sw_say(false, match->reasons.item[i].second).text);
}

void sw_advice_verdict(const sw_motor *motor, const sw_match *match, sw_text *text) {
    const sw_spread *spread = pushed(match) ? &match->sure.running_kwh : &match->sure.started_kwh;
    sw_text line = {0};
    bool perhaps = sw_remarked(&match->reasons, SW_REASON_MAY_BE_LITTLE);
    sw_text_add(&line, "%s: %s", motor->name[0] != '\0' ? motor->name : "This motor",
                opening(match));
    if (match->verdict == SW_VERDICT_USE_IF)
        say_conditions(match, &line);
    else if (match->verdict == SW_VERDICT_SPARE && pushed(match))
        sw_text_add(&line, ", and only when you start it by hand");
    else if (match->verdict == SW_VERDICT_LEAVE && asked_early(match))
        sw_text_add(&line, ", if it must start by itself so early");
    sw_text_add(&line, ".");
    if (match->full)
        sw_text_add(&line, " Expect %s a year (nine times in ten)%s",
                    sw_say_energy_range(spread->low, spread->high).text, perhaps ? "" : ".");
    if (perhaps)
        say_chance(match, &line);
    sw_text_paragraph(text, 0, "%s", sw_text_string(&line));
    sw_text_carry(&line, text);
}

/* ---- why ---- */

enum { REASONS_TOLD = 3 };

/* What decides first; what was only guessed stands in the answer's "if" or at the end. */
static const sw_remark_code WEIGHT[] = {
    SW_REASON_START_COSTS,       SW_REASON_ENERGY,      SW_REASON_LITTLE_ENERGY,
    SW_REASON_NEEDS_PUSH,        SW_REASON_STARTS_LATE, SW_REASON_OTHER_WHEEL,
    SW_REASON_DOUBLER,           SW_REASON_POOR_SHARE,  SW_REASON_HEAT_COSTS,
    SW_REASON_STARTS_ABOVE_MEAN, SW_REASON_STARTS_EARLY};

enum { WEIGHTS = sizeof WEIGHT / sizeof *WEIGHT };

static bool is_guess(sw_remark_code code) {
    return code == SW_REASON_GUESSED_WIND || code == SW_REASON_GUESSED_ROTOR ||
           code == SW_REASON_GUESSED_WINDING || code == SW_REASON_GUESSED_DRAG ||
           code == SW_REASON_MAY_BE_LITTLE;
}

static size_t weight_of(sw_remark_code code) {
    for (size_t i = 0; i < WEIGHTS; i++)
        if (WEIGHT[i] == code)
            return i;
    return 0;
}

/* The reasons to tell, most weighty first; how many. */
static size_t sorted_reasons(const sw_remarks *reasons, const sw_remark *told[SW_REMARK_LIMIT]) {
    size_t count = 0;
    for (size_t i = 0; i < reasons->count; i++) {
        const sw_remark *it = &reasons->item[i];
        if (is_guess(it->code))
            continue;
        size_t at = count++;
        for (; at > 0 && weight_of(told[at - 1]->code) > weight_of(it->code); at--)
            told[at] = told[at - 1];
        told[at] = it;
    }
    return count;
}

static void say_share(const sw_match *match, sw_text *text) {
    double energy = pushed(match) ? match->running_kwh : match->started_kwh;
    sw_text_paragraph(text, 4,
                      BULLET " of what this rotor could give at its best reaches the wires.",
                      sw_say_value(false, 100 * energy / match->potential_kwh, "%").text);
}

void sw_advice_why(const sw_match *match, bool us, sw_text *text) {
    const sw_remark *told[SW_REMARK_LIMIT];
    char sentence[SW_REMARK_ROOM];
    size_t count = sorted_reasons(&match->reasons, told);
    bool missing = match->verdict == SW_VERDICT_NOT_YET;
    if (count == 0)
        return;
    sw_text_add(text, missing ? "\nWhat is missing\n" : "\nWhy\n");
    for (size_t i = 0; i < count && (missing || i < REASONS_TOLD); i++) {
        sw_remark_say(us, told[i], sentence, sizeof sentence);
        sw_text_paragraph(text, 4, BULLET, sentence);
    }
    if (match->full && count < REASONS_TOLD && match->potential_kwh > 0)
        say_share(match, text);
}

/* ---- what to do ---- */

static void say_coupling(const sw_match *match, bool us, sw_text *text) {
    char gear[LINE_ROOM];
    sw_text line = {0};
    sw_gear_say(us, &match->best, gear, sizeof gear);
    sw_text_add(&line, "%s %s",
                match->verdict == SW_VERDICT_LEAVE ? "The best that could be done is"
                                                   : "Couple it with",
                gear);
    if (match->plant.drive.kind->pressed)
        sw_text_add(&line, ", %spressed on with %s (%s on a luggage scale)",
                    match->plant.drive.wheels > 1 ? "each " : "",
                    sw_say_value(us, match->plant.drive.contact_n, "N").text,
                    sw_say_scale(us, match->plant.drive.contact_n).text);
    sw_text_paragraph(text, 4, BULLET ".", sw_text_string(&line));
    sw_text_carry(&line, text);
}

/* V; bridges for more are hard to find (common practice, no source). */
static const double SOLD_V = 1600;

static void say_wiring(const sw_match *match, sw_text *text) {
    char wires[LINE_ROOM];
    const sw_build_sheet *sheet = &match->sheet;
    const sw_electrical *used = &match->search.electrical[match->best.electrical];
    sw_text line = {0};
    sw_electrical_say(used, wires, sizeof wires);
    sw_text_add(&line, "Wiring: %s", wires);
    bool one = used->wiring.rectifier == SW_RECTIFIER_BLOCKING_DIODE;
    if (match->full && used->wiring.rectifier != SW_RECTIFIER_NONE)
        sw_text_add(&line, "; %s for at least %.0f V and %s",
                    one ? "the diode (it keeps the battery from driving the motor)"
                        : "diodes (they make DC of the motor's AC)",
                    ceil(sheet->diode_inverse_v / 10) * 10,
                    sw_say_value(false, fmax(sheet->diode_current_a, 0.1), "A").text);
    if (match->full && sheet->diode_inverse_v > SOLD_V)
        sw_text_add(&line, " (hardly sold: uncouple the motor before a storm)");
    sw_text_paragraph(text, 4, BULLET ".", sw_text_string(&line));
    sw_text_carry(&line, text);
}

static void say_fuse(const sw_match *match, bool us, sw_text *text) {
    const sw_build_sheet *sheet = &match->sheet;
    char cable[60];
    if (!match->full || match->load.kind == SW_LOAD_RESISTOR || !isfinite(sheet->fuse_a))
        return;
    sw_text line = {0};
    sw_text_add(&line, "Put a fuse of %g A %s", sheet->fuse_a,
                match->load.kind == SW_LOAD_BATTERY
                    ? "within a hand's width of the battery's plus terminal"
                    : "before the converter");
    if (isfinite(sheet->cable_mm2)) {
        sw_cable_say(us, sheet->cable_mm2, cable, sizeof cable);
        if (sheet->own_thin)
            sw_text_add(&line, ", and cable of %s up to it: yours of %g mm\u00b2 is too thin",
                        cable, sheet->own_mm2);
        else if (isnan(sheet->own_mm2))
            sw_text_add(&line, ", and cable of %s up to it", cable);
        else
            sw_text_add(&line, "; your cable of %g mm\u00b2 bears it", sheet->own_mm2);
    }
    if (isfinite(sheet->usual_fuse_a))
        sw_text_add(&line,
                    ". That is the worst case, because the inductance, which holds the "
                    "current back, is not known; with a usual one %g A would do",
                    sheet->usual_fuse_a);
    sw_text_paragraph(text, 4, BULLET ".", sw_text_string(&line));
    sw_text_carry(&line, text);
}

/* Slower than this nobody turns evenly by hand, faster nobody turns at all: seconds a turn. */
static const double SLOWEST_HAND_S = 30;
static const double FASTEST_HAND_S = 1.5;

static void say_check(const sw_match *match, sw_text *text) {
    double rotor_rad_s = match->cut_in_rpm / sw_plant_generator_rpm(&match->plant, 1);
    double turn_s = 60 / (rotor_rad_s * SW_RPM_PER_RAD_S);
    char seconds[24];
    if (!(turn_s > 0 && turn_s < SLOWEST_HAND_S))
        return;
    if (turn_s < FASTEST_HAND_S) {
        sw_text_paragraph(text, 4,
                          "  - To check, spin the motor with a drill: from %.0f turns a minute on "
                          "the ammeter should show a current.",
                          match->cut_in_rpm);
        return;
    }
    sw_words_number(turn_s, 2, seconds, sizeof seconds);
    sw_text_paragraph(text, 4,
                      "  - To check, turn the rotor by hand, one turn in %s s (%.0f turns a minute "
                      "of the motor): the ammeter should just begin to show a current.",
                      seconds, match->cut_in_rpm);
}

static void say_worth_from(const sw_match *match, bool us, sw_text *text) {
    if (isfinite(match->outlook.turns_at))
        sw_text_paragraph(text, 4, "  - It is worth using where the mean wind is %s or more.",
                          sw_say_value(us, match->outlook.turns_at, "m/s").text);
}

void sw_advice_do(const sw_match *match, int machines, bool us, sw_text *text) {
    bool leave = match->verdict == SW_VERDICT_LEAVE;
    sw_text_add(text, leave ? "\nIf you build it all the same\n" : "\nWhat to do\n");
    say_coupling(match, us, text);
    say_wiring(match, text);
    say_fuse(match, us, text);
    if (leave)
        say_worth_from(match, us, text);
    if (leave)
        return;
    say_check(match, text);
    sw_options_machines(match, machines, text);
    sw_options_best(match, us, text);
}

/* ---- what it gives ---- */

static void say_cut_in(const sw_match *match, bool us, sw_text *text) {
    bool battery = match->load.kind == SW_LOAD_BATTERY;
    if (!isfinite(match->curve.cut_in_wind) || pushed(match))
        return;
    const char *verb = battery ? "charges" : "gives power";
    sw_said wind = sw_say_value(us, match->curve.cut_in_wind, "m/s");
    if (match->curve.cut_in_wind > match->curve.start_wind)
        sw_text_paragraph(text, 4, "  - It %s from a wind of %s on (cut-in).", verb, wind.text);
    else
        sw_text_paragraph(text, 4, "  - Once it turns, it %s down to a wind of %s (cut-in).", verb,
                          wind.text);
}

static void say_watts(const sw_match *match, bool us, sw_text *text) {
    static const double WINDS[] = {5, 8, 12};
    char number[24];
    sw_text line = {0};
    for (size_t i = 0; i < sizeof WINDS / sizeof *WINDS; i++) {
        double speed = sw_plant_settle(&match->plant, WINDS[i], 0).running_rad_s;
        double watts = sw_plant_at(&match->plant, SW_GENERATOR_DC_POWER, speed);
        if (!(watts >= 0.1) || WINDS[i] > match->curve.top_wind)
            continue;
        sw_words_number(watts, 2, number, sizeof number);
        sw_text_add(&line, "%s%s W at %s", line.length > 0 ? ", " : "", number,
                    sw_say_value(us, WINDS[i], "m/s").text);
    }
    if (line.length > 0)
        sw_text_paragraph(text, 4, "  - In a steady wind: %s.", sw_text_string(&line));
    sw_text_carry(&line, text);
}

static void say_uses(const sw_match *match, sw_text *text) {
    char uses[LINE_ROOM];
    sw_uses_say(match, uses, sizeof uses);
    sw_text_paragraph(text, 4, "  - On average it %s.", uses);
}

void sw_advice_gives(const sw_match *match, bool us, sw_text *text) {
    sw_text_add(text, "\nWhat it gives\n");
    say_uses(match, text);
    say_cut_in(match, us, text);
    say_watts(match, us, text);
    sw_advice_cautions(match, true, us, text);
    say_worth_from(match, us, text);
}
