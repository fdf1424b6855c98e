#include "src/report/rank_text.h"

#include "shared/constants.h"
#include "src/report/match_text.h"
#include "src/report/remark_text.h"
#include "src/report/say.h"
#include "src/report/words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { REASON_ROOM = 600 };

/* ---- the answer ---- */

/* Energies nearer to each other than this are alike: none of them is surer. */
static const double ALIKE = 0.9;

/* Does most of its energy wait for a start by hand? */
static bool is_pushed(const sw_rank_row *row) {
    return row->started_kwh < 0.25 * row->running_kwh;
}

static double counted_kwh(const sw_rank_row *row) {
    return is_pushed(row) ? row->running_kwh : row->started_kwh;
}

/* What is sorted by. */
static double cautious_kwh(const sw_rank_row *row) {
    return is_pushed(row) ? row->cautious_running_kwh : row->cautious_started_kwh;
}

static bool near(double kwh, double than_kwh) {
    return kwh >= ALIKE * than_kwh && kwh * ALIKE <= than_kwh;
}

/* How many at the top give about as much as the first, with the same verdict. */
static size_t alike_at_top(const sw_rank_row *rows, size_t count) {
    size_t alike = 1;
    while (alike < count && rows[alike].recommended && rows[alike].verdict == rows[0].verdict &&
           is_pushed(&rows[alike]) == is_pushed(&rows[0]) &&
           near(cautious_kwh(&rows[alike]), cautious_kwh(&rows[0])) &&
           near(counted_kwh(&rows[alike]), counted_kwh(&rows[0])))
        alike++;
    return alike;
}

static void add_name(const sw_rank_request *request, const sw_rank_names *names,
                     const sw_rank_row *row, sw_text *line) {
    sw_text_add(line, "%s", sw_rank_motor(request, names, row));
    if (request->rotors > 1)
        sw_text_add(line, " on %s", sw_rank_rotor(request, names, row));
}

/* Of those that give alike, the one that starts clearly before the first. */
static void say_earliest(const sw_rank_request *request, const sw_rank_names *names,
                         const sw_rank_row *rows, size_t alike, bool us, sw_text *line) {
    static const double CLEARLY = 0.9;
    const sw_rank_row *earliest = &rows[0];
    for (size_t i = 1; i < alike; i++)
        if (rows[i].cautious_start_wind < CLEARLY * earliest->cautious_start_wind)
            earliest = &rows[i];
    if (earliest == &rows[0])
        return;
    sw_text_add(line, " ");
    add_name(request, names, earliest, line);
    sw_text_add(line, " starts in the lighter wind, %s; the first needs %s.",
                sw_say_value(us, earliest->start_wind, "m/s").text,
                isfinite(rows[0].start_wind) ? sw_say_value(us, rows[0].start_wind, "m/s").text
                                             : "a push");
}

static void say_alike(const sw_rank_request *request, const sw_rank_names *names,
                      const sw_rank_row *rows, size_t alike, bool us, sw_text *line) {
    enum { NAMED = 3 };
    bool spare = rows[0].verdict == SW_VERDICT_SPARE;
    sw_text_add(line, spare ? "Second choice, but the best of these: " : "Take ");
    for (size_t i = 0; i < alike && i < NAMED; i++) {
        sw_text_add(line, "%s", i == 0 ? "" : i + 1 == alike ? " or " : ", ");
        add_name(request, names, &rows[i], line);
    }
    if (alike > NAMED)
        sw_text_add(line, " or one of the next %zu", alike - NAMED);
    sw_text_add(line, ": each gives about %s a year, too near each other to tell apart.",
                sw_say_value(us, counted_kwh(&rows[0]), "kWh").text);
    say_earliest(request, names, rows, alike, us, line);
}

/* Of those that give alike, one of which less is known than of the first. */
static void say_less_known(const sw_rank_request *request, const sw_rank_names *names,
                           const sw_rank_row *rows, size_t alike, sw_text *line) {
    char what[SW_ASSUMED_ROOM];
    for (size_t i = 1; i < alike && !sw_assumed_any(&rows[0].assumed); i++) {
        if (!sw_assumed_any(&rows[i].assumed))
            continue;
        bool several = sw_assumed_say(&rows[i].assumed, what, sizeof what) > 1;
        sw_text_add(line, " Of ");
        add_name(request, names, &rows[i], line);
        sw_text_add(line, " less is known: its %s %s not measured.", what, several ? "are" : "is");
        return;
    }
}

/* One that is not measured and may give more than the first. */
static void say_unmeasured(const sw_rank_request *request, const sw_rank_names *names,
                           const sw_rank_row *rows, size_t count, bool us, sw_text *line) {
    char what[SW_ASSUMED_ROOM];
    for (size_t i = 1; i < count; i++) {
        if (!rows[i].recommended || rows[i].verdict == SW_VERDICT_LEAVE ||
            !sw_assumed_any(&rows[i].assumed) ||
            near(counted_kwh(&rows[i]), counted_kwh(&rows[0])) ||
            counted_kwh(&rows[i]) < counted_kwh(&rows[0]))
            continue;
        bool several = sw_assumed_say(&rows[i].assumed, what, sizeof what) > 1;
        sw_text_add(line, " ");
        add_name(request, names, &rows[i], line);
        sw_text_add(line, " may give more, about %s, but its %s %s not measured: do that first.",
                    sw_say_value(us, counted_kwh(&rows[i]), "kWh").text, what,
                    several ? "are" : "is");
        return;
    }
}

static void say_answer(const sw_rank_request *request, const sw_rank_names *names,
                       const sw_rank_row *rows, size_t count, bool us, sw_text *text) {
    char gear[240];
    sw_text line = {0};
    if (!rows[0].recommended || rows[0].verdict == SW_VERDICT_LEAVE) {
        sw_text_paragraph(text, 0, "None of these is worth using as things stand.");
        return;
    }
    size_t alike = alike_at_top(rows, count);
    if (alike > 1) {
        say_alike(request, names, rows, alike, us, &line);
        say_less_known(request, names, rows, alike, &line);
    } else {
        sw_gear_say(us, &rows[0].choice, gear, sizeof gear);
        sw_text_add(&line, "%s ",
                    rows[0].verdict == SW_VERDICT_SPARE ? "The best of these, though only a second "
                                                          "choice, is"
                                                        : "Take");
        add_name(request, names, &rows[0], &line);
        sw_text_add(&line, ": about %s a year%s, coupled with %s.",
                    sw_say_value(us, counted_kwh(&rows[0]), "kWh").text,
                    is_pushed(&rows[0]) ? " if you push it" : "", gear);
    }
    say_unmeasured(request, names, rows, count, us, &line);
    sw_text_paragraph(text, 0, "%s", sw_text_string(&line));
    sw_text_carry(&line, text);
}

/* ---- the list ---- */

/* The drive in a few words; the rim is the same for all. */
static void short_gear(bool us, const sw_gear *gear, char *out, size_t room) {
    sw_said driver = sw_say_size(us, gear->driver_mm);
    sw_said wheel = sw_say_size(us, gear->wheel_mm);
    switch (gear->drive) {
    case SW_DRIVE_FRICTION:
        snprintf(out, room, "%s wheel", wheel.text);
        return;
    case SW_DRIVE_BELT:
        snprintf(out, room, "belt from %s to %s", driver.text, wheel.text);
        return;
    case SW_DRIVE_CHAIN:
        snprintf(out, room, "chain from %d to %d teeth", gear->driver_teeth, gear->wheel_teeth);
        return;
    default:
        snprintf(out, room, "straight on the shaft");
    }
}

/* Less is nothing. */
static const double LEAST_W = 0.1;

static void say_watts(const sw_rank_row *row, bool us, sw_text *line) {
    char light[24];
    char strong[24];
    sw_words_number(row->light_w < LEAST_W ? 0 : row->light_w, 2, light, sizeof light);
    sw_words_number(row->strong_w < LEAST_W ? 0 : row->strong_w, 2, strong, sizeof strong);
    sw_text_add(line, "; %s W at %s, %s W at %s", light,
                sw_say_value(us, SW_RANK_LIGHT_WIND, "m/s").text, strong,
                sw_say_value(us, SW_RANK_STRONG_WIND, "m/s").text);
}

static void say_numbers(const sw_rank_row *row, bool several, bool us, sw_text *text) {
    char gear[160];
    char what[SW_ASSUMED_ROOM];
    sw_text line = {0};
    bool starts = isfinite(row->start_wind);
    short_gear(us, &row->choice.gear, gear, sizeof gear);
    sw_text_add(&line, "%s a year%s; %s; starts %s%s, charges from %s",
                sw_say_value(us, counted_kwh(row), "kWh").text,
                is_pushed(row) ? " if you push it" : "", gear, starts ? "at " : "only when pushed",
                starts ? sw_say_value(us, row->start_wind, "m/s").text : "",
                sw_say_value(us, row->cut_in_wind, "m/s").text);
    if (several)
        say_watts(row, us, &line);
    if (sw_assumed_any(&row->assumed)) {
        sw_assumed_say(&row->assumed, what, sizeof what);
        sw_text_add(&line, "; %s not measured", what);
        if (cautious_kwh(row) < ALIKE * counted_kwh(row))
            sw_text_add(&line, ": if bad, %s a year",
                        cautious_kwh(row) < SW_LEAST_KWH
                            ? "next to nothing"
                            : sw_say_value(us, cautious_kwh(row), "kWh").text);
    }
    sw_text_paragraph(text, 4, "    %s", sw_text_string(&line));
    sw_text_carry(&line, text);
}

static void say_row(const sw_rank_request *request, const sw_rank_names *names,
                    const sw_rank_row *row, size_t place, bool us, sw_text *text) {
    char reason[REASON_ROOM];
    sw_text line = {0};
    add_name(request, names, row, &line);
    if (row->failed) {
        sw_text_paragraph(text, 4, "%2zu. %s: not judged: %s", place, sw_text_string(&line),
                          row->error.message);
        sw_text_carry(&line, text);
        return;
    }
    sw_rank_reason(us, &row->reason, reason, sizeof reason);
    bool condition = strncmp(reason, "if ", 3) == 0; /* "use it, if the guessed wind holds" */
    bool use_if = row->verdict == SW_VERDICT_USE_IF;
    if (use_if && condition)
        sw_text_paragraph(text, 4, "%2zu. %s: use it, %s", place, sw_text_string(&line), reason);
    else
        sw_text_paragraph(text, 4, "%2zu. %s: %s (%s)", place, sw_text_string(&line),
                          sw_verdict_said(row->verdict), reason);
    sw_text_carry(&line, text);
    if (row->recommended && row->verdict != SW_VERDICT_LEAVE)
        say_numbers(row, request->rotors > 1, us, text);
}

/* ---- what a storm does to each rotor ---- */

/* The row of a rotor that turns fastest in the storm: its motor brakes it least. */
static const sw_rank_row *fastest_of(const sw_rank_row *rows, size_t count, size_t rotor) {
    const sw_rank_row *fastest = NULL;
    for (size_t i = 0; i < count; i++)
        if (rows[i].rotor == rotor && !rows[i].failed &&
            (fastest == NULL || rows[i].vane.rotor_rad_s > fastest->vane.rotor_rad_s))
            fastest = &rows[i];
    return fastest;
}

static void say_rotor(const char *name, const sw_vane_storm *vane, bool us, sw_text *text) {
    sw_text line = {0};
    sw_text_add(&line, "%s: %.0f rpm", name, vane->rotor_rad_s * SW_RPM_PER_RAD_S);
    if (isfinite(vane->wind_n))
        sw_text_add(&line, ", the wind pushes on one vane with %s",
                    sw_say_value(us, vane->wind_n, "N").text);
    if (isfinite(vane->pull_n))
        sw_text_add(&line, ", its mass pulls at its fixings with %s",
                    sw_say_value(us, vane->pull_n, "N").text);
    sw_text_paragraph(text, 4, "  - %s", sw_text_string(&line));
    sw_text_carry(&line, text);
}

static void say_storm(const sw_rank_request *request, const sw_rank_names *names,
                      const sw_rank_row *rows, size_t count, bool us, sw_text *text) {
    bool unknown = false;
    sw_text_add(text,
                "\nA storm of %s with the load lost (whether vanes and fixings bear it is not\n"
                "worked out here)\n",
                sw_say_value(us, request->site->storm_wind.value, "m/s").text);
    for (size_t i = 0; i < request->rotors; i++) {
        const sw_rank_row *row = fastest_of(rows, count, i);
        if (row == NULL)
            continue;
        say_rotor(sw_rank_rotor(request, names, row), &row->vane, us, text);
        unknown = unknown || !isfinite(row->vane.pull_n);
    }
    if (unknown)
        sw_text_paragraph(text, 2,
                          "  The pull at a vane's fixings is left out where a vane's weight "
                          "(vane_mass) or its arm is not known.");
}

static bool any_assumed(const sw_rank_row *rows, size_t count) {
    for (size_t i = 0; i < count; i++)
        if (rows[i].recommended && sw_assumed_any(&rows[i].assumed))
            return true;
    return false;
}

enum { ROWS_TOLD = 20 };

void sw_rank_text(const sw_rank_request *request, const sw_rank_names *names,
                  const sw_rank_row *rows, const sw_rank_text_options *options, sw_text *text) {
    bool us = options->us;
    size_t count = request->motors * request->rotors;
    size_t left_out = 0;
    say_answer(request, names, rows, count, us, text);
    sw_text_add(text, "\n");
    for (size_t i = 0; i < count; i++) {
        if (options->details || i < ROWS_TOLD || rows[i].failed)
            say_row(request, names, &rows[i], i + 1, us, text);
        else
            left_out++;
    }
    if (left_out > 0)
        sw_text_add(text, "    %zu more give less or lack a reading; --details lists them all\n",
                    left_out);
    if (request->rotors > 1)
        say_storm(request, names, rows, count, us, text);
    sw_text_add(text, "\n");
    sw_text_paragraph(text, 0,
                      "Energies are those of the best wiring and drive of each; spinworth match on "
                      "one of them gives their range, the storm and what to build.%s",
                      any_assumed(rows, count)
                          ? " What was not measured of a motor is taken as usual for its size; the "
                            "order counts it as bad, so that a motor gains no place by it."
                          : "");
}
