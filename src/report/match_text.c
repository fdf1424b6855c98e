#include "src/report/match_text.h"

#include "shared/constants.h"

#include "src/report/claim_text.h"
#include "src/report/options_text.h"
#include "src/report/remark_text.h"
#include "src/report/say.h"
#include "src/report/seasons_text.h"
#include "src/report/stages_text.h"
#include "src/report/storm_text.h"
#include "src/report/sure_text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { LINE_ROOM = 240 };

static bool pushed(const sw_match *match) {
    return sw_remarked(&match->reasons, SW_REASON_NEEDS_PUSH);
}

static void say_energy(const sw_match *match, sw_text *line) {
    const sw_spread *spread = pushed(match) ? &match->sure.running_kwh : &match->sure.started_kwh;
    sw_said range = sw_say_energy_range(spread->low, spread->high);
    sw_text_add(line, " Expect %s a year.", range.text);
}

/* Which reading of the winding is missing. */
static const char *winding_words(const sw_remarks *guessed) {
    bool ohms = sw_remarked(guessed, SW_GUESS_RESISTANCE);
    bool henries = sw_remarked(guessed, SW_GUESS_INDUCTANCE);
    if (ohms && henries)
        return "its ohms are as read and its inductance is small (neither is sure)";
    if (henries)
        return "its inductance, which was not measured, is small";
    if (ohms)
        return "its ohms are as good as an ordinary reading";
    return "its volts per turn are as good as an ordinary reading";
}

/* "if" in a few words, for the answer's first sentence. */
static void say_conditions(const sw_match *match, sw_text *line) {
    bool first = true;
    const struct {
        sw_remark_code code;
        const char *words;
    } CONDITIONS[] = {
        {SW_REASON_NEEDS_PUSH, "you start it by hand"},
        {SW_REASON_GUESSED_WIND, "the wind is what was guessed"},
        {SW_REASON_GUESSED_ROTOR, "the rotor catches what was assumed"},
        {SW_REASON_GUESSED_WINDING, winding_words(&match->guessed)},
    };
    for (size_t i = 0; i < sizeof CONDITIONS / sizeof *CONDITIONS; i++) {
        if (!sw_remarked(&match->reasons, CONDITIONS[i].code))
            continue;
        sw_text_add(line, "%s%s", first ? ", if " : " and ", CONDITIONS[i].words);
        first = false;
    }
}

static const char *const OPENINGS[SW_VERDICT_COUNT] = {
    [SW_VERDICT_USE] = "yes, use it",
    [SW_VERDICT_USE_IF] = "yes, use it",
    [SW_VERDICT_SPARE] = "second choice. It works here, but poorly",
    [SW_VERDICT_NOT_YET] = "not yet: a reading is missing",
    [SW_VERDICT_LEAVE] = "no, leave it",
};

static void say_verdict(const sw_motor *motor, const sw_match *match, sw_text *text) {
    sw_text line = {0};
    sw_text_add(&line, "%s: %s", motor->name[0] != '\0' ? motor->name : "This motor",
                OPENINGS[match->verdict]);
    if (match->verdict == SW_VERDICT_USE_IF)
        say_conditions(match, &line);
    sw_text_add(&line, ".");
    if (match->full)
        say_energy(match, &line);
    sw_text_paragraph(text, 0, "%s", sw_text_string(&line));
    sw_text_carry(&line, text);
}

static void say_what_to_do(const sw_match *match, bool us, sw_text *text) {
    char gear[LINE_ROOM];
    char wires[LINE_ROOM];
    const sw_electrical *electrical = &match->search.electrical[match->best.electrical];
    sw_text line = {0};
    sw_gear_say(us, &match->best, gear, sizeof gear);
    sw_electrical_say(electrical, wires, sizeof wires);
    sw_text_add(&line, "%s %s",
                match->verdict == SW_VERDICT_LEAVE ? "The best that could be done is"
                                                   : "Couple it with",
                gear);
    if (match->plant.drive.kind->pressed) {
        sw_said force = sw_say_value(us, match->plant.drive.contact_n, "N");
        sw_said scale = sw_say_scale(us, match->plant.drive.contact_n);
        sw_text_add(&line, ", %spressed on with %s (%s on a luggage scale)",
                    match->plant.drive.wheels > 1 ? "each " : "", force.text, scale.text);
    }
    sw_text_add(&line, "; use %s.", wires);
    sw_text_paragraph(text, 0, "%s", sw_text_string(&line));
    sw_text_carry(&line, text);
}

static void say_winds(const sw_match *match, bool us, sw_text *text) {
    sw_said cut_in = sw_say_value(us, match->curve.cut_in_wind, "m/s");
    sw_text line = {0};
    if (isfinite(match->curve.start_wind)) {
        sw_said start = sw_say_value(us, match->curve.start_wind, "m/s");
        sw_text_add(&line, "The rotor starts by itself at %s", start.text);
    } else {
        sw_text_add(&line, "The rotor does not start by itself");
    }
    if (isfinite(match->curve.cut_in_wind))
        sw_text_add(&line, "; while it runs, it %s from %s (cut-in) on.",
                    match->load.kind == SW_LOAD_BATTERY ? "charges" : "gives power", cut_in.text);
    sw_text_paragraph(text, 0, "%s", sw_text_string(&line));
    sw_text_carry(&line, text);
}

static void say_check(const sw_match *match, sw_text *text) {
    double rotor_rad_s = match->cut_in_rpm / sw_plant_generator_rpm(&match->plant, 1);
    double rotor_rpm = rotor_rad_s * SW_RPM_PER_RAD_S;
    if (!(rotor_rpm > 0) || match->verdict == SW_VERDICT_LEAVE)
        return;
    sw_text_add(text, "\n");
    sw_text_paragraph(text, 0,
                      "To check: turn the rotor by hand, one turn in %.1f s. The motor then makes "
                      "%.0f turns a minute, and the ammeter should just begin to move.",
                      60 / rotor_rpm, match->cut_in_rpm);
}

static void row(sw_text *text, const char *label, sw_said said, const char *comment) {
    sw_text_add(text, "  %-28s %s%s%s\n", label, said.text, *comment == '\0' ? "" : "  ", comment);
}

static sw_said range_of(const sw_spread *spread) {
    return sw_say_energy_range(spread->low, spread->high);
}

static void say_energy_rows(const sw_match *match, bool details, sw_text *text) {
    sw_said started = sw_say_value(false, match->started_kwh, "kWh");
    sw_said running = sw_say_value(false, match->running_kwh, "kWh");
    row(text, "Energy a year", started, range_of(&match->sure.started_kwh).text);
    row(text, "  if it never had to start", running, range_of(&match->sure.running_kwh).text);
    row(text, "  left to use", sw_say_value(false, match->usable_kwh, "kWh"),
        "after battery, cable, standby");
    if (match->full)
        row(text, "  with hot ferrite magnets", sw_say_value(false, match->seasons.hot_kwh, "kWh"),
            "80 degC: fewer volts a turn");
    if (!details)
        return;
    row(text, "  rotor at its best", sw_say_value(false, match->potential_kwh, "kWh"), "");
    row(text, "  most that air can give", sw_say_value(false, match->betz_kwh, "kWh"),
        "(16/27 of the wind)");
}

static void say_curve_rows(const sw_match *match, bool us, bool details, sw_text *text) {
    double step = details ? 1 : 2;
    sw_text_add(text, "\nIn a steady wind, while running\n");
    sw_text_add(text, "  %-10s %10s %12s %10s\n", "wind", "rotor rpm", "motor rpm", "watts DC");
    for (double wind = 2; wind <= fmin(match->curve.top_wind, 16); wind += step) {
        double speed = sw_plant_settle(&match->plant, wind, 0).running_rad_s;
        sw_said said = sw_say_value(us, wind, "m/s");
        sw_text_add(text, "  %-10s %10.0f %12.0f %10.1f\n", said.text, speed * SW_RPM_PER_RAD_S,
                    sw_plant_generator_rpm(&match->plant, speed),
                    sw_plant_at(&match->plant, SW_GENERATOR_DC_POWER, speed));
    }
}

static void say_budget(const sw_match *match, sw_text *text) {
    static const char *const NAMES[SW_LOSS_COUNT] = {
        [SW_LOSS_OFF_BEST] = "rotor not at its best speed", [SW_LOSS_BEARINGS] = "rotor's bearings",
        [SW_LOSS_DRIVE] = "drive (rolling, creep)",         [SW_LOSS_DRAG] = "motor's own drag",
        [SW_LOSS_COPPER] = "heat in the windings",          [SW_LOSS_DIODES] = "diodes",
        [SW_LOSS_AFTER] = "battery, cable, standby"};
    const sw_budget *budget = &match->budget;
    sw_text_add(text, "\nWhere the year goes (of %.0f kWh, the rotor at its best in every wind)\n",
                budget->best_kwh);
    for (size_t i = 0; i < SW_LOSS_COUNT; i++)
        sw_text_add(text, "  %-28s %8.1f kWh %6.1f %%\n", NAMES[i], budget->loss_kwh[i],
                    100 * budget->loss_kwh[i] / budget->best_kwh);
    sw_text_add(text, "  %-28s %8.1f kWh %6.1f %%\n", "left to use", budget->usable_kwh,
                100 * budget->usable_kwh / budget->best_kwh);
}

static void say_outlook(const sw_match *match, bool us, sw_text *text) {
    const sw_outlook *outlook = &match->outlook;
    sw_text_add(text, "\nThe same machine if the mean wind is another\n");
    for (size_t i = 0; i < SW_OUTLOOK_ROWS; i++) {
        const sw_outlook_row *it = &outlook->row[i];
        sw_said wind = sw_say_value(us, it->mean_wind, "m/s");
        sw_said energy = sw_say_value(us, it->pushed ? it->running_kwh : it->started_kwh, "kWh");
        sw_text_add(text, "  %-10s %10s a year  %s%s\n", wind.text, energy.text,
                    sw_verdict_said(it->verdict), it->pushed ? ", started by hand" : "");
    }
    if (isfinite(outlook->turns_at))
        sw_text_paragraph(text, 2, "  It is worth using from a mean wind of %s on.",
                          sw_say_value(us, outlook->turns_at, "m/s").text);
}

static void say_numbers(const sw_match *match, const sw_match_text_options *options,
                        sw_text *text) {
    bool us = options->us;
    sw_text_add(text, "\nNumbers (ranges hold in 9 of 10 cases, \u00b1 in 19 of 20)\n");
    row(text, "Starts by itself", sw_say_value(us, match->curve.start_wind, "m/s"), "worst angle");
    row(text, "Gives power from (cut-in)", sw_say_value(us, match->curve.cut_in_wind, "m/s"),
        "while running");
    row(text, "Motor speed at cut-in", sw_say_value(us, match->cut_in_rpm, "rpm"), "");
    row(text, "Ratio", sw_say_value(us, match->best.drive.ratio, "1"), "motor turns a rotor turn");
    say_energy_rows(match, options->details, text);
    sw_sure_rows_text(match, options->details, text);
    say_curve_rows(match, us, options->details, text);
    sw_months_text(&match->seasons, us, text);
    say_outlook(match, us, text);
    if (options->details)
        say_budget(match, text);
    sw_storm_text(match, us, text);
}

static void say_remarks(const char *title, const sw_remarks *remarks, bool us, sw_text *text) {
    char sentence[SW_REMARK_ROOM];
    if (remarks->count == 0)
        return;
    sw_text_add(text, "\n%s\n", title);
    for (size_t i = 0; i < remarks->count; i++) {
        sw_remark_say(us, &remarks->item[i], sentence, sizeof sentence);
        sw_text_paragraph(text, 4, "  - %s", sentence);
    }
}

void sw_match_text(const sw_match_request *request, const sw_match *match,
                   const sw_match_text_options *options, sw_text *text) {
    say_verdict(request->motor, match, text);
    if (match->recommended) {
        say_what_to_do(match, options->us, text);
        say_winds(match, options->us, text);
        say_check(match, text);
    } else if (isfinite(match->cut_in_rpm)) {
        sw_text_paragraph(text, 0, "It starts charging (cut-in) at %.0f rpm.", match->cut_in_rpm);
    }
    say_remarks("Why", &match->reasons, options->us, text);
    if (match->claim_checked)
        sw_claim_text(&match->claim, options->us, text);
    if (match->full)
        say_numbers(match, options, text);
    sw_stages_text(&match->stages, options->us, text);
    sw_options_text(match, options->us, text);
    say_remarks("Guessed, not measured", &match->guessed, options->us, text);
    sw_sure_next_text(match, text);
    say_remarks("Take care", &match->cautions, options->us, text);
    if (match->full && match->verdict != SW_VERDICT_LEAVE)
        sw_build_sheet_text(request, match, options->us, text);
}
