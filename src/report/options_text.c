#include "src/report/options_text.h"

#include "shared/json_write.h"
#include "src/match/search/rejected.h"
#include "src/report/match_text.h"
#include "src/report/say.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { LINE_ROOM = 240, WAYS_TOLD = 8 };

/* Energy that counts for the recommended machine: pushed by hand, or from rest. */
static double counted(const sw_match *match, const sw_choice *choice) {
    bool pushed = sw_remarked(&match->reasons, SW_REASON_NEEDS_PUSH);
    return pushed ? choice->running_kwh : choice->started_kwh;
}

static double recommended_kwh(const sw_match *match) {
    bool pushed = sw_remarked(&match->reasons, SW_REASON_NEEDS_PUSH);
    return pushed ? match->running_kwh : match->started_kwh;
}

/* "", " (5 % less)", " (40 % more)"; a difference of two in a hundred is none. */
static void say_difference(double energy_kwh, double than_kwh, char *out, size_t room) {
    double percent = 100 * (energy_kwh / than_kwh - 1);
    if (!(than_kwh > 0) || !(fabs(percent) >= 2) || percent > 1000)
        snprintf(out, room, "%s", than_kwh > 0 && fabs(percent) < 2 ? " (about as much)" : "");
    else if (percent >= 100)
        snprintf(out, room, " (%.1f times as much)", energy_kwh / than_kwh);
    else if (percent < -99)
        snprintf(out, room, " (next to nothing)");
    else
        snprintf(out, room, " (%.0f %% %s)", fabs(percent), percent < 0 ? "less" : "more");
}

/* Behind what it would give, and of a wheel or wiring that was left out. */
static const struct {
    const char *behind;
    const char *why;
} REJECTED[] = {
    [SW_REJECTED_NOT] = {"", ""},
    [SW_REJECTED_NO_POWER] = {", it never charges", "the motor turns too slowly: it never charges"},
    [SW_REJECTED_GRIP] = {", but it slips in usual winds",
                          "in the wet it would slip in usual winds"},
    [SW_REJECTED_CURRENT] = {", but the winding carries more than its limit",
                             "the winding would carry more than its limit"},
    [SW_REJECTED_HEAT] = {", but the winding makes more heat than such a motor sheds",
                          "the winding would make more heat than such a motor sheds"},
    [SW_REJECTED_SPEED] = {", but the motor turns faster than its limit",
                           "the motor would turn faster than its limit"},
    [SW_REJECTED_START] = {", but it starts too late", "would not start at the wind asked for"},
    [SW_REJECTED_VOLTS] = {", but more volts than the converter bears",
                           "more volts than the converter bears"},
};

/* What sets it apart, in front of its gear. */
static void say_what(const sw_match *match, const sw_alternative *it, char *out, size_t room) {
    const sw_electrical *electrical = &match->search.electrical[it->choice.electrical];
    switch (it->kind) {
    case SW_ALTERNATIVE_BATTERY:
        snprintf(out, room, "a %.3g V battery, with ", electrical->nominal_v);
        return;
    case SW_ALTERNATIVE_MACHINES:
        if (electrical->wiring.machines == 1)
            snprintf(out, room, "one such motor alone, with ");
        else
            snprintf(out, room, "%d such motors, each with ", electrical->wiring.machines);
        return;
    case SW_ALTERNATIVE_WIRING:
    case SW_ALTERNATIVE_OPENED:
        sw_electrical_say(electrical, out, room - 8);
        snprintf(out + strlen(out), 8, ", with ");
        return;
    default:
        out[0] = '\0';
    }
}

/* Why more energy is not recommended where nothing rules it out. */
static const char *too_little(const sw_match *match, const sw_alternative *it) {
    int machines = match->search.electrical[it->choice.electrical].wiring.machines;
    int used = match->search.electrical[match->best.electrical].wiring.machines;
    double part = pow(SW_MACHINE_WEIGHT, machines - used);
    bool more = counted(match, &it->choice) > recommended_kwh(match);
    if (it->choice.rejection != SW_REJECTED_NOT || !more)
        return "";
    if (match->search.wheel_first && match->best.gear.drive == SW_DRIVE_FRICTION &&
        it->choice.gear.drive != SW_DRIVE_FRICTION)
        return ", but the rim is there for a wheel (--drives takes it)";
    if (machines <= used || counted(match, &it->choice) * part > recommended_kwh(match))
        return "";
    return ", too little for the work of another motor";
}

static void say_alternative(const sw_match *match, const sw_alternative *it, bool us,
                            sw_text *text) {
    char what[LINE_ROOM];
    char gear[LINE_ROOM];
    char difference[40];
    double energy = counted(match, &it->choice);
    sw_said said = sw_say_value(false, energy, "kWh");
    say_what(match, it, what, sizeof what);
    sw_gear_say(us, &it->choice, gear, sizeof gear);
    if (energy < SW_LEAST_KWH) {
        sw_text_paragraph(text, 4, "  - %s%s: next to nothing%s", what, gear,
                          REJECTED[it->choice.rejection].behind);
        return;
    }
    say_difference(energy, recommended_kwh(match), difference, sizeof difference);
    sw_text_paragraph(text, 4, "  - %s%s: about %s a year%s%s%s", what, gear, said.text, difference,
                      REJECTED[it->choice.rejection].behind, too_little(match, it));
}

/* A wheel, pulley or sprocket of the size that would be best. */
static void say_made_to_measure(const sw_match *match, bool us, sw_text *text) {
    const sw_drive *drive = &match->best.drive;
    double best_mm = drive->driver_mm / match->search.best_ratio;
    if (!isfinite(best_mm) || fabs(best_mm / drive->wheel_mm - 1) < 0.02)
        return;
    sw_said size = sw_say_size(us, best_mm);
    char difference[40];
    say_difference(match->search.best_ratio_weight, match->search.stock_weight, difference,
                   sizeof difference);
    sw_text_paragraph(text, 4, "  - made to measure, a %s of %s would be best%s",
                      drive->kind->wheel, size.text, difference);
}

static bool any_alternative(const sw_match *match, bool opened) {
    for (size_t i = 0; i < match->alternatives; i++)
        if ((match->alternative[i].kind == SW_ALTERNATIVE_OPENED) == opened)
            return true;
    return false;
}

/* Which rule the recommended one was chosen by, when another line shows more. */
static void say_push_rule(const sw_match *match, sw_text *text) {
    bool more = false;
    for (size_t i = 0; i < match->alternatives; i++)
        more =
            more || (match->alternative[i].kind != SW_ALTERNATIVE_OPENED &&
                     counted(match, &match->alternative[i].choice) > 1.02 * recommended_kwh(match));
    if (!more || !sw_remarked(&match->reasons, SW_REASON_NEEDS_PUSH))
        return;
    sw_text_paragraph(
        text, 2,
        "  These are energies once it is pushed. The recommended one was chosen by "
        "what it gives without a push (%s a year), and only among equal ones by "
        "this: one that gives more here needs the push more often, or is more work to build.",
        match->started_kwh < SW_LEAST_KWH ? "next to nothing"
                                          : sw_say_value(false, match->started_kwh, "kWh").text);
}

static void say_alternatives(const sw_match *match, bool opened, bool us, sw_text *text) {
    if (!any_alternative(match, opened))
        return;
    sw_said best = sw_say_value(false, recommended_kwh(match), "kWh");
    sw_text_add(text,
                opened ? "\nIf you open the motor (%s as it is)\n"
                       : "\nOther ways (the recommended one gives %s)\n",
                best.text);
    if (!opened)
        say_push_rule(match, text);
    for (size_t i = 0; i < match->alternatives; i++)
        if ((match->alternative[i].kind == SW_ALTERNATIVE_OPENED) == opened)
            say_alternative(match, &match->alternative[i], us, text);
    if (!opened)
        say_made_to_measure(match, us, text);
}

/* Told beside the recommended one when it gives so many times as much. */
static const double BETTER = 1.1;

void sw_options_best(const sw_match *match, bool us, sw_text *text) {
    const sw_alternative *best = NULL;
    double best_kwh = BETTER * recommended_kwh(match);
    for (size_t i = 0; i < match->alternatives; i++) {
        const sw_alternative *it = &match->alternative[i];
        if (it->kind == SW_ALTERNATIVE_OPENED || it->choice.rejection != SW_REJECTED_NOT ||
            !(counted(match, &it->choice) > best_kwh))
            continue;
        best = it;
        best_kwh = counted(match, &it->choice);
    }
    if (best == NULL)
        return;
    char what[LINE_ROOM];
    char gear[LINE_ROOM];
    say_what(match, best, what, sizeof what);
    sw_gear_say(us, &best->choice, gear, sizeof gear);
    sw_text_paragraph(text, 4, "  - Better, if you can: %s%s gives about %s a year.", what, gear,
                      sw_say_value(false, best_kwh, "kWh").text);
}

/* Another number of motors, when the builder has several: the recommended page would else look as
 * if nobody had asked. */
void sw_options_machines(const sw_match *match, int asked, sw_text *text) {
    static const char *const COUNT[] = {"", "One such motor alone", "Two such motors",
                                        "Three such motors", "Four such motors"};
    char difference[40];
    bool told = false;
    int used = match->search.electrical[match->best.electrical].wiring.machines;
    for (size_t i = 0; i < match->alternatives && asked > 1; i++) {
        const sw_alternative *it = &match->alternative[i];
        int machines = match->search.electrical[it->choice.electrical].wiring.machines;
        if (it->kind != SW_ALTERNATIVE_MACHINES)
            continue;
        double energy = counted(match, &it->choice);
        double best = recommended_kwh(match);
        say_difference(energy, best, difference, sizeof difference);
        sw_text_paragraph(text, 4, "  - %s%s would give about %s a year%s%s.", COUNT[machines],
                          machines > 1 ? " on one rim" : "",
                          sw_say_value(false, energy, "kWh").text, difference,
                          used == 1 && energy < BETTER * best ? ": one is enough" : "");
        told = true;
    }
    if (asked > 1 && !told)
        sw_text_paragraph(text, 4,
                          "  - %s on one rim were looked at too: no way to couple them gives "
                          "anything on this rotor.",
                          COUNT[asked]);
}

static void say_rejected_ways(const sw_match *match, sw_text *text) {
    const sw_search *search = &match->search;
    sw_rejected_way way[SW_ELECTRICAL_LIMIT];
    size_t ways = sw_rejected_ways(search, way);
    size_t told = ways < WAYS_TOLD ? ways : WAYS_TOLD;
    if (ways > 0)
        sw_text_add(text, "\nWirings that were left out, whatever the wheel\n");
    for (size_t i = 0; i < told; i++) {
        char what[LINE_ROOM];
        const sw_electrical *it = &search->electrical[way[i].electrical];
        sw_electrical_say(it, what, sizeof what);
        sw_text_paragraph(text, 4, "  - %s: %s", what,
                          way[i].why == SW_REJECTED_NOT ? it->why_not : REJECTED[way[i].why].why);
    }
    if (ways > told)
        sw_text_add(text, "  - and %zu more\n", ways - told);
}

static void say_rejected_wheels(const sw_match *match, bool us, sw_text *text) {
    sw_rejected_row row[SW_REJECTED_LIMIT];
    size_t rows = sw_rejected_list(&match->search, match->best.electrical, row);
    if (rows > 0)
        sw_text_add(text, "\nWheels that were left out\n");
    for (size_t i = 0; i < rows; i++) {
        sw_said from = sw_say_size(us, row[i].from_mm);
        sw_said to = sw_say_size(us, row[i].to_mm);
        /* a smaller wheel turns the motor faster, if the rotor can turn it at all */
        bool small = match->plant.rotor->rim_diameter_mm / row[i].to_mm > match->best.drive.ratio;
        const char *why = small && row[i].why == SW_REJECTED_NO_POWER
                              ? "too hard for the rotor to turn: it never charges"
                              : REJECTED[row[i].why].why;
        if (row[i].sizes == 1)
            sw_text_paragraph(text, 4, "  - %s: %s", from.text, why);
        else
            sw_text_paragraph(text, 4, "  - %s to %s: %s", from.text, to.text, why);
    }
}

void sw_options_text(const sw_match *match, bool us, sw_text *text) {
    say_alternatives(match, false, us, text);
    say_alternatives(match, true, us, text);
    if (match->recommended)
        say_rejected_wheels(match, us, text);
    if (match->recommended)
        say_rejected_ways(match, text);
}

static void add_rejected_ways(cJSON *recommended, const sw_match *match) {
    sw_rejected_way way[SW_ELECTRICAL_LIMIT];
    size_t ways = sw_rejected_ways(&match->search, way);
    cJSON *list = cJSON_AddArrayToObject(recommended, "rejected_wirings");
    for (size_t i = 0; i < ways; i++) {
        char what[LINE_ROOM];
        const sw_electrical *electrical = &match->search.electrical[way[i].electrical];
        cJSON *it = cJSON_CreateObject();
        sw_electrical_say(electrical, what, sizeof what);
        cJSON_AddStringToObject(it, "wiring", what);
        cJSON_AddStringToObject(it, "reason",
                                way[i].why == SW_REJECTED_NOT ? electrical->why_not
                                                              : sw_rejection_name(way[i].why));
        cJSON_AddItemToArray(list, it);
    }
}

void sw_options_add_json(cJSON *recommended, const sw_match *match) {
    sw_rejected_row row[SW_REJECTED_LIMIT];
    size_t rows = sw_rejected_list(&match->search, match->best.electrical, row);
    const sw_drive *drive = &match->best.drive;
    if (isfinite(drive->wheel_mm)) {
        cJSON *best = cJSON_AddObjectToObject(recommended, "made_to_measure");
        sw_json_add_number(best, "ratio", match->search.best_ratio);
        sw_json_add_quantity(
            best, "wheel_diameter",
            sw_quantity_of(drive->driver_mm / match->search.best_ratio, NAN, "mm"));
        sw_json_add_number(best, "gain",
                           match->search.best_ratio_weight / match->search.stock_weight);
    }
    cJSON *rejected = cJSON_AddObjectToObject(recommended, "rejected_wheels");
    cJSON *units = cJSON_AddObjectToObject(rejected, "units");
    cJSON_AddStringToObject(units, "from", "mm");
    cJSON_AddStringToObject(units, "to", "mm");
    cJSON *list = cJSON_AddArrayToObject(rejected, "list");
    for (size_t i = 0; i < rows; i++) {
        cJSON *it = cJSON_CreateObject();
        sw_json_add_number(it, "from", row[i].from_mm);
        sw_json_add_number(it, "to", row[i].to_mm);
        cJSON_AddStringToObject(it, "reason", sw_rejection_name(row[i].why));
        cJSON_AddItemToArray(list, it);
    }
    add_rejected_ways(recommended, match);
}
