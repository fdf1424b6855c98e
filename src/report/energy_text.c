#include "src/report/energy_text.h"

#include "src/report/say.h"

#include <math.h>
#include <stdio.h>

static void row(sw_text *text, const char *label, double kwh, const char *comment) {
    sw_text_add(text, "  %-31s %8s%s%s\n", label, sw_say_value(false, kwh, "kWh").text,
                *comment == '\0' ? "" : "  ", comment);
}

static bool pushed(const sw_match *match) {
    return sw_remarked(&match->reasons, SW_REASON_NEEDS_PUSH);
}

static void say_totals(const sw_match *match, bool us, sw_text *text) {
    sw_said started =
        sw_say_energy_range(match->sure.started_kwh.low, match->sure.started_kwh.high);
    sw_said running =
        sw_say_energy_range(match->sure.running_kwh.low, match->sure.running_kwh.high);
    sw_text_add(text, "\nThe year's energy (the ranges hold in 9 of 10 cases)\n");
    row(text, "from the rectifier", match->started_kwh, started.text);
    row(text, "if it never had to start", match->running_kwh, running.text);
    row(text, "left to use", match->usable_kwh, "after battery, cable, standby");
    const char *kind = sw_magnet_kind_name(match->plant.motor->magnet_kind);
    char hot[60];
    snprintf(hot, sizeof hot, "with hot %s magnets", kind != NULL ? kind : "ferrite");
    row(text, hot, match->seasons.hot_kwh,
        us ? "at 176 \u00b0F: fewer volts a turn" : "at 80 \u00b0C: fewer volts a turn");
}

/* What could be had without losses. */
static void say_yardsticks(const sw_match *match, sw_text *text) {
    sw_text_add(text, "\nBeside it, with nothing lost\n");
    if (!pushed(match))
        row(text, "a motor without losses", match->budget.loss_free_kwh, "at the same speeds");
    row(text, "rotor at its best in each wind", match->potential_kwh, "");
    row(text, "most that any rotor can take", match->betz_kwh, "16/27 of the wind (Betz)");
}

static void say_budget(const sw_match *match, sw_text *text) {
    static const char *const NAMES[SW_LOSS_COUNT] = {
        [SW_LOSS_TOO_LIGHT] = "wind too light to start, charge",
        [SW_LOSS_OFF_BEST] = "rotor not at its best speed",
        [SW_LOSS_BEARINGS] = "rotor's bearings",
        [SW_LOSS_DRIVE] = "drive (rolling, creep)",
        [SW_LOSS_DRAG] = "motor's own drag",
        [SW_LOSS_COPPER] = "heat in the windings",
        [SW_LOSS_DIODES] = "diodes",
        [SW_LOSS_AFTER] = "battery, cable, standby"};
    const sw_budget *budget = &match->budget;
    sw_text_add(text, "\nWhere it goes (of %s, the rotor at its best in every wind)\n",
                sw_say_value(false, budget->best_kwh, "kWh").text);
    for (size_t i = 0; i < SW_LOSS_COUNT; i++)
        sw_text_add(text, "  %-31s %8s %6s\n", NAMES[i],
                    sw_say_value(false, budget->loss_kwh[i], "kWh").text,
                    sw_say_value(false, 100 * budget->loss_kwh[i] / budget->best_kwh, "%").text);
    sw_text_add(text, "  %-31s %8s %6s\n", "left to use",
                sw_say_value(false, budget->usable_kwh, "kWh").text,
                sw_say_value(false, 100 * budget->usable_kwh / budget->best_kwh, "%").text);
}

void sw_energy_text(const sw_match *match, bool us, sw_text *text) {
    say_totals(match, us, text);
    say_yardsticks(match, text);
    if (!pushed(match))
        say_budget(match, text);
    else
        sw_text_add(text, "  What it loses is not counted for a rotor that is started by hand.\n");
}
