#include "src/report/rank_text.h"

#include "shared/constants.h"
#include "shared/json_write.h"
#include "src/report/match_text.h"
#include "src/report/remark_text.h"
#include "src/report/say.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { REASON_ROOM = 600 };

/* What decides, in a few words; the others say their whole sentence. */
static void short_reason(bool us, const sw_remark *reason, char *out, size_t room) {
    sw_said first = sw_say(us, reason->first);
    switch (reason->code) {
    case SW_REASON_NO_MAGNETS:
        snprintf(out, room, "cannot generate: no magnets turn in it");
        return;
    case SW_REASON_NO_CURRENT:
        snprintf(out, room, "needs %s to charge, more than any drive here gives", first.text);
        return;
    case SW_REASON_STARTS_LATE:
        snprintf(out, room, "too stiff to start: moves only from %s on", first.text);
        return;
    case SW_REASON_NEEDS_PUSH:
        snprintf(out, room, "too stiff to start by itself; pushed, it charges from %s on",
                 first.text);
        return;
    case SW_REASON_START_BY:
        snprintf(out, room, "too stiff to start at the wind asked for: needs %s", first.text);
        return;
    case SW_REASON_DOUBLER:
        snprintf(out, room, "only with a doubler; behind a plain bridge %s a year", first.text);
        return;
    case SW_REASON_OTHER_WHEEL: {
        sw_said size = sw_say_size(us, reason->first.value);
        sw_said second = sw_say(us, reason->second);
        snprintf(out, room, "needs a different wheel: one of %s would give %s a year", size.text,
                 second.text);
        return;
    }
    case SW_REASON_LITTLE_ENERGY:
        snprintf(out, room, "little to gain: %s a year", first.text);
        return;
    case SW_REASON_POOR_SHARE:
        snprintf(out, room, "uses only %s of the rotor's best", first.text);
        return;
    case SW_REASON_GUESSED_WIND:
        snprintf(out, room, "if the guessed wind holds");
        return;
    case SW_REASON_GUESSED_ROTOR:
        snprintf(out, room, "if the rotor catches what was assumed");
        return;
    case SW_REASON_GUESSED_WINDING:
        snprintf(out, room, "if the winding is as assumed");
        return;
    case SW_REASON_ENERGY:
        snprintf(out, room, "fits this rotor");
        return;
    case SW_MISSING_RESISTANCE:
        snprintf(out, room, "measure its winding in ohms first");
        return;
    case SW_MISSING_POLE_PAIRS:
        snprintf(out, room, "find its pole pairs or its speed first");
        return;
    case SW_MISSING_CONSTANT:
        snprintf(out, room, "measure its volts at a known speed first");
        return;
    case SW_MISSING_PHASES:
        snprintf(out, room, "find how many phases it has first");
        return;
    default:
        sw_remark_say(us, reason, out, room);
    }
}

static const char *motor_of(const sw_rank_request *request, const sw_rank_names *names,
                            const sw_rank_row *row) {
    const char *name = request->motor[row->motor].name;
    return *name != '\0' ? name : names->motor[row->motor];
}

static const char *rotor_of(const sw_rank_request *request, const sw_rank_names *names,
                            const sw_rank_row *row) {
    const char *name = request->rotor[row->rotor].name;
    return *name != '\0' ? name : names->rotor[row->rotor];
}

static void say_answer(const sw_rank_request *request, const sw_rank_names *names,
                       const sw_rank_row *rows, bool us, sw_text *text) {
    char gear[240];
    if (!rows[0].recommended || rows[0].verdict == SW_VERDICT_LEAVE) {
        sw_text_paragraph(text, 0, "None of these is worth using as things stand.");
        return;
    }
    sw_said energy = sw_say_value(us, fmax(rows[0].started_kwh, 0), "kWh");
    sw_gear_say(us, &rows[0].choice, gear, sizeof gear);
    sw_text_paragraph(text, 0, "%s %s: about %s a year, coupled with %s.",
                      rows[0].verdict == SW_VERDICT_SPARE ? "The best of these, though only a "
                                                            "second choice, is"
                                                          : "Take",
                      motor_of(request, names, &rows[0]), energy.text, gear);
}

/* What the rotors differ in besides the year: light and strong wind, and a storm. */
static void say_rotor(const sw_rank_row *row, bool us, sw_text *text) {
    const sw_vane_storm *vane = &row->vane;
    sw_text line = {0};
    if (row->recommended)
        sw_text_add(&line, "%s in %s, %s in %s; ", sw_say_value(us, row->light_w, "W").text,
                    sw_say_value(us, SW_RANK_LIGHT_WIND, "m/s").text,
                    sw_say_value(us, row->strong_w, "W").text,
                    sw_say_value(us, SW_RANK_STRONG_WIND, "m/s").text);
    sw_text_add(&line, "a storm of %s turns it at %.0f rpm",
                sw_say_value(us, vane->wind_m_s, "m/s").text, vane->rotor_rad_s * SW_RPM_PER_RAD_S);
    if (isfinite(vane->wind_n))
        sw_text_add(&line, " and pushes on one vane with %s",
                    sw_say_value(us, vane->wind_n, "N").text);
    if (isfinite(vane->pull_n))
        sw_text_add(&line, ", whose mass pulls at its fixings with %s",
                    sw_say_value(us, vane->pull_n, "N").text);
    sw_text_paragraph(text, 4, "    %s", sw_text_string(&line));
    sw_text_carry(&line, text);
}

static void say_row(const sw_rank_request *request, const sw_rank_names *names,
                    const sw_rank_row *row, size_t place, bool us, sw_text *text) {
    char reason[REASON_ROOM];
    sw_text_add(text, "\n%2zu. ", place);
    sw_text_add(text, "%s", motor_of(request, names, row));
    if (request->rotors > 1)
        sw_text_add(text, " on %s", rotor_of(request, names, row));
    sw_text_add(text, "\n");
    if (row->failed) {
        sw_text_paragraph(text, 4, "    not judged: %s", row->error.message);
        return;
    }
    short_reason(us, &row->reason, reason, sizeof reason);
    bool condition = strncmp(reason, "if ", 3) == 0; /* "use it, if the guessed wind holds" */
    bool use_if = row->verdict == SW_VERDICT_USE_IF;
    sw_text_paragraph(text, 4, "    %s%s%s",
                      use_if && condition ? "use it" : sw_verdict_said(row->verdict),
                      use_if && condition ? ", " : ": ", reason);
    if (request->rotors > 1)
        say_rotor(row, us, text);
    if (!row->recommended)
        return;
    char gear[240];
    bool pushed = row->started_kwh < 0.25 * row->running_kwh;
    sw_said energy = sw_say_value(us, pushed ? row->running_kwh : row->started_kwh, "kWh");
    sw_said start = sw_say_value(us, row->start_wind, "m/s");
    sw_said cut_in = sw_say_value(us, row->cut_in_wind, "m/s");
    sw_gear_say(us, &row->choice, gear, sizeof gear);
    sw_text_paragraph(text, 4, "    %s a year%s; %s; starts %s%s, charges from %s", energy.text,
                      pushed ? " if you push it" : "", gear,
                      isfinite(row->start_wind) ? "at " : "only when pushed",
                      isfinite(row->start_wind) ? start.text : "", cut_in.text);
}

void sw_rank_text(const sw_rank_request *request, const sw_rank_names *names,
                  const sw_rank_row *rows, bool us, sw_text *text) {
    say_answer(request, names, rows, us, text);
    for (size_t i = 0; i < request->motors * request->rotors; i++)
        say_row(request, names, &rows[i], i + 1, us, text);
    sw_text_add(text, "\n");
    if (request->rotors > 1)
        sw_text_paragraph(text, 0,
                          "Storm figures are with the load lost. Whether vanes and fixings bear "
                          "them is not worked out here.");
    sw_text_paragraph(text, 0,
                      "Energies come from the best wiring and drive of each; spinworth match on "
                      "one of them gives the range, the storm and the build sheet.");
}

static void add_value(cJSON *object, const char *key, double value, const char *unit) {
    sw_json_add_quantity(object, key, sw_quantity_of(value, NAN, unit));
}

static void add_recommended(cJSON *it, const sw_rank_row *row) {
    const sw_drive *drive = &row->choice.drive;
    add_value(it, "annual_energy", row->started_kwh, "kWh");
    add_value(it, "annual_energy_running", row->running_kwh, "kWh");
    add_value(it, "start_wind", row->start_wind, "m/s");
    add_value(it, "cut_in_wind", row->cut_in_wind, "m/s");
    add_value(it, "power_light_wind", row->light_w, "W");
    add_value(it, "power_strong_wind", row->strong_w, "W");
    cJSON_AddStringToObject(it, "drive", drive->kind->name);
    add_value(it, "wheel_diameter", drive->wheel_mm, "mm");
    sw_json_add_number(it, "ratio", drive->ratio);
    sw_json_add_text(it, "connection", sw_connection_name(row->electrical.wiring.connection));
    sw_json_add_text(it, "rectifier", sw_rectifier_name(row->electrical.wiring.rectifier));
    if (row->electrical.wiring.connection == SW_AS_IT_COMES)
        sw_json_add_unknown(it, "connection", "as it comes");
    if (!isfinite(row->start_wind))
        sw_json_add_unknown(it, "start_wind", "the rotor does not start by itself");
    if (!isfinite(drive->wheel_mm))
        sw_json_add_unknown(it, "wheel_diameter", "the motor sits on the rotor's shaft");
}

static void add_storm(cJSON *it, const sw_vane_storm *vane) {
    cJSON *storm = cJSON_AddObjectToObject(it, "storm");
    add_value(storm, "wind", vane->wind_m_s, "m/s");
    add_value(storm, "rotor_speed", vane->rotor_rad_s * SW_RPM_PER_RAD_S, "rpm");
    add_value(storm, "vane_wind_force", vane->wind_n, "N");
    add_value(storm, "vane_pull", vane->pull_n, "N");
    if (!isfinite(vane->wind_n))
        sw_json_add_unknown(storm, "vane_wind_force", "size and drag of a vane are not known");
    if (!isfinite(vane->pull_n))
        sw_json_add_unknown(storm, "vane_pull", "mass or arm of a vane is not known");
}

cJSON *sw_rank_to_json(const sw_rank_request *request, const sw_rank_names *names,
                       const sw_rank_row *rows) {
    cJSON *list = cJSON_CreateArray();
    for (size_t i = 0; i < request->motors * request->rotors; i++) {
        const sw_rank_row *row = &rows[i];
        char reason[REASON_ROOM];
        cJSON *it = cJSON_CreateObject();
        if (row->failed)
            snprintf(reason, sizeof reason, "%s", row->error.message);
        else
            short_reason(false, &row->reason, reason, sizeof reason);
        cJSON_AddStringToObject(it, "motor", motor_of(request, names, row));
        cJSON_AddStringToObject(it, "file", names->motor[row->motor]);
        cJSON_AddStringToObject(it, "rotor", rotor_of(request, names, row));
        cJSON_AddStringToObject(it, "verdict", sw_verdict_name(row->verdict));
        cJSON_AddStringToObject(it, "reason", reason);
        if (row->recommended)
            add_recommended(it, row);
        else
            cJSON_AddNullToObject(it, "annual_energy");
        if (!row->recommended)
            sw_json_add_unknown(it, "annual_energy",
                                row->failed ? "this motor could not be judged, see reason"
                                            : "nothing can be recommended");
        if (!row->failed)
            add_storm(it, &row->vane);
        cJSON_AddItemToArray(list, it);
    }
    return list;
}
