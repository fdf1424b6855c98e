#include "src/report/remark_text.h"

#include "src/report/say.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* In the sentences "{1}" and "{2}" stand for the remark's quantities. */
static const char *const SENTENCES[SW_REMARK_COUNT] = {
    [SW_REASON_NO_MAGNETS] = "It makes no voltage when it is turned: no magnets turn in it, so it "
                             "is no generator as it stands.",
    [SW_REASON_NO_CURRENT] = "It needs {1} before any current flows, and with the best drive "
                             "there is it reaches only {2} in the strongest working wind.",
    [SW_REASON_GRIP] = "It takes more turning force than a wheel on the rim can pass on: even the "
                       "best wheel would have to be pressed on with {1}.",
    [SW_REASON_CURRENT_LIMIT] = "Its winding would carry {1} in a strong working wind, more than "
                                "its stated limit of {2}.",
    [SW_REASON_HEAT] = "Its winding would make {1} of heat in a strong working wind; a motor of "
                       "this size sheds {2} at the very most.",
    [SW_REASON_HEAT_COSTS] =
        "A way that gives much more is left out: its winding would make {1} of "
        "heat in a strong working wind, and a motor of this size sheds {2} at "
        "the very most.",
    [SW_REASON_SPEED_LIMIT] = "It would turn {1} in a strong working wind, more than its stated "
                              "limit of {2}.",
    [SW_REASON_START_BY] = "It is too stiff to start by itself at {2}, which was asked for: the "
                           "best that gives power starts at {1}.",
    [SW_REASON_START_COSTS] = "Starting as early as was asked for (--start-by) costs most of it: "
                              "what starts by itself only at {2} would give {1} a year.",
    [SW_REASON_INPUT_VOLTS] = "When the converter stops drawing in a strong working wind, it gets "
                              "more volts than it bears ({1}).",
    [SW_REASON_DOUBLER] = "Only a voltage doubler makes it worth while: behind a plain bridge it "
                          "would give {1} a year.",
    [SW_REASON_OTHER_WHEEL] = "It needs a different wheel: one of {1} would give {2} a year.",
    [SW_REASON_LITTLE_ENERGY] =
        "It gives only about {1} a year; from {2} on it is worth it (see --worth).",
    [SW_REASON_ENERGY] = "It gives about {1} a year; from {2} on it is worth it (see --worth).",
    [SW_REASON_POOR_SHARE] = "Only {1} of what this rotor could give at its best reaches the "
                             "wires, less than {2} (see --least-share); a motor that suits it "
                             "better would give more.",
    [SW_REASON_STARTS_EARLY] = "The rotor starts by itself at {1}; the mean wind is {2}.",
    [SW_REASON_STARTS_ABOVE_MEAN] =
        "Against it: the rotor starts by itself only at {1}, above the mean wind of {2}; it waits "
        "for the windier hours.",
    [SW_REASON_STARTS_LATE] = "The rotor starts by itself only at {1}, while the mean wind is "
                              "{2}: it will stand still on most days (see --late-start).",
    [SW_REASON_NEEDS_PUSH] = "It does not start by itself in any usual wind; pushed by hand it "
                             "keeps charging from {1} on.",
    [SW_REASON_GUESSED_WIND] = "Use it if the mean wind is what was guessed: nobody measured it.",
    [SW_REASON_GUESSED_ROTOR] = "Use it if the rotor catches as much as was assumed: it was not "
                                "measured on this rotor.",
    [SW_REASON_GUESSED_WINDING] = "Use it if the winding is what was assumed: its ohms, its "
                                  "inductance or its volts per turn were not measured, or "
                                  "without a stated uncertainty; what was guessed is listed below.",
    [SW_REASON_GUESSED_DRAG] =
        "Use it if its drag and cogging are as usual for its size: they were "
        "not both measured.",
    [SW_REASON_MAY_BE_LITTLE] = "Against it: with what is known so far, {1} of the cases give less "
                                "than the {2} a year that make it worth it.",
    [SW_MISSING_CONSTANT] = "The voltage per turn is not known: spin it at a known speed with a "
                            "calibrated probe or a meter on the wires.",
    [SW_MISSING_POLE_PAIRS] = "The number of pole pairs is not known: spin it once with its speed "
                              "or its turns counted, or count the magnets.",
    [SW_MISSING_PHASES] = "The number of phases is not known: with three power wires add "
                          "--phases 3 to the motor (spinworth measure --into), with two "
                          "--phases 1; or record a second pair of wires at the same time.",
    [SW_MISSING_RESISTANCE] = "The winding's resistance is not known: set a multimeter to ohms, "
                              "touch its leads together and note what it shows, measure between "
                              "two of the motor's wires, and subtract the first from the second.",
    [SW_MISSING_WINDING] = "What was measured is the coil of a speed sensor, not the winding: "
                           "measure between the thick wires.",
    [SW_MISSING_CLUTCH] = "A freewheel kept the magnets from turning: turn the other way, or "
                          "open the hub and lock the clutch.",
    [SW_GUESS_WIND] = "mean wind: taken as {1}",
    [SW_GUESS_WEIBULL] =
        "how the wind varies round its mean: as it mostly does (Weibull shape {1})",
    [SW_GUESS_STORM] = "strongest gust: {1}",
    [SW_GUESS_ROTOR_POWER] = "share of the wind caught (Cp): {1} at best",
    [SW_GUESS_ROTOR_START] = "turning force from rest at the worst angle: coefficient {1} (of the "
                             "wind's push times the radius)",
    [SW_GUESS_BEARING] = "torque that the rotor's bearings take: {1}",
    [SW_GUESS_CONSTANT] = "volts per turn: uncertainty not stated, taken as {1}",
    [SW_GUESS_RESISTANCE] = "winding resistance: uncertainty not stated, taken as {1}",
    [SW_GUESS_INDUCTANCE] = "winding inductance: not measured, taken as usual for its ohms, {1} "
                            "(it may be half or double); fuse, diodes and cable are for none",
    [SW_GUESS_DRAG] = "drag of the motor with open wires: not measured, taken as usual for its "
                      "size, {1} (it may be half or double); in a storm as none",
    [SW_GUESS_COGGING] = "cogging (the steps felt when turning it by hand): not measured, taken "
                         "as usual for its size, {1} (it may be half or double)",
    [SW_GUESS_LOAD] = "load: none was given, so a lead battery ({1} at rest)",
    [SW_GUESS_BATTERY] = "battery resistance: {1}",
    [SW_GUESS_DIODE] = "diodes: ordinary silicon",
    [SW_GUESS_FRICTION] =
        "grip and rolling of the wheel: wet it passes on {1} of its press before it slips, and "
        "rolling takes as much as if the press stood {2} off its middle",
    [SW_GUESS_RUN_OUT] = "how far the rim is from round: {1} either way, with {2} of motor and "
                         "arm on the spring",
    [SW_CAUTION_NO_BRAKE] = "Shorting the motor's wires cannot hold this rotor in the storm: the "
                            "wind turns it with up to {1}, the shorted motor holds {2}. It needs "
                            "a brake of its own or a tie-down.",
    [SW_CAUTION_BRAKE_HOLDS] = "Shorted wires hold the rotor once it stands, but do not stop it "
                               "when it already turns fast: they stop it up to {1}, the storm "
                               "blows {2}. Short them before the storm, not in it.",
    [SW_CAUTION_BRAKE_UNKNOWN] = "Whether shorting the wires stops the rotor cannot be said: the "
                                 "winding's inductance is not measured. Count on a brake of its "
                                 "own.",
    [SW_CAUTION_WHEEL_NO_BRAKE] = "A wheel on the rim is no storm brake: wet, it slips beyond {1} "
                                  "at the rotor's shaft, and a storm turns that with up to {2}. "
                                  "Fit a brake or a tie-down that acts on the rotor itself.",
    [SW_CAUTION_VOLTS_TOUCH] = "With the load lost in a storm, {1} AC and {2} DC stand on open "
                               "wires: more than bare terminals may carry. Cover every terminal.",
    [SW_CAUTION_VOLTS_HIGH] =
        "With the load lost in a storm, {1} AC and {2} DC stand on open wires: that can kill. "
        "Cover everything; no work on it while the rotor can turn.",
    [SW_CAUTION_STORM_SPEED] = "In the storm the motor would turn {1}, above its limit of {2}: "
                               "lift the wheel off or tie the rotor down.",
    [SW_CAUTION_CONVERTER] = "Unloaded in the storm it makes {1}, more than the converter's input "
                             "takes ({2}): it needs a clamp or a dump load before it.",
    [SW_CAUTION_CHARGE] = "In the storm it would push {1} into the load, which takes {2} at most: "
                          "use a larger battery or a dump load.",
    [SW_CAUTION_SLIPS] = "The spring is set for winds up to {1} in the wet; above, the wheel may "
                         "slip and wear: lift it off or tie the rotor down.",
    [SW_CAUTION_HOPS] =
        "From {1} of the rotor on (a wind of {2} with the load lost) the rim throws the wheel off "
        "at each turn: true the rim, lighten the arm, or lift the wheel off before it.",
    [SW_CAUTION_BOUNCE] = "Motor, spring and tyre swing by themselves at {1} of the rotor: if it "
                          "chatters there, a rubber bush or a bit of friction at the pivot calms "
                          "it.",
    [SW_CAUTION_ARM_LOCKS] = "The arm draws the wheel into the rim, and on a dry rim it can bite "
                             "until something breaks (self-locking): a flatter arm angle, or the "
                             "pivot on the other side.",
    [SW_CAUTION_ARM_BITES] = "If the motor jams on a dry rim, the arm draws the wheel in with {1}, "
                             "more than the {2} that rim and motor are counted to bear: use a "
                             "flatter arm angle.",
    [SW_CAUTION_INSIDE] = "A wheel of {1} leaves no room inside the rim for motor and arm: use a "
                          "smaller one, or run it on the outside.",
    [SW_CAUTION_MOTOR_BEARING] =
        "The wheel loads the motor's nearest bearing with {1}; it lasts "
        "about {2} years at that: put a bearing of its own beside the wheel, "
        "or bring the wheel closer to the motor.",
    [SW_CAUTION_HEAT_UNKNOWN] =
        "What heat this winding bears is not known; at {2} it makes {1}. Too hot to keep a hand on "
        "after 20 minutes, or a smell of varnish, is too much. Its size or weight gives an "
        "estimate (ask motor).",
    [SW_CAUTION_HEAT] = "In the hardest usual wind the winding makes {1} of heat; a motor of this "
                        "size sheds about {2} in still air, a third of that if it stands badly, "
                        "three times as much if it stands well. Feel it after 20 minutes: too hot "
                        "to keep a hand on, or a smell of varnish, is too much.",
    [SW_CAUTION_TWO_SPEEDS] = "From {1} on there are two steady speeds: a rotor that starts from "
                              "rest stays at the slow one, one that already runs keeps the fast "
                              "one. After a lull it may crawl until a gust.",
    [SW_CAUTION_START_AT_LEAST] = "Cogging or drag is not measured: with usual ones it starts at "
                                  "{1}, with stiff ones at {2}.",
    [SW_CAUTION_STRUCTURE] =
        "Mast, frame and fixings are not worked out here. On a building or near "
        "people, local rules hold and licensed people are needed.",
};

const char *sw_verdict_said(sw_verdict verdict) {
    static const char *const SAID[SW_VERDICT_COUNT] = {[SW_VERDICT_USE] = "use it",
                                                       [SW_VERDICT_USE_IF] = "use it, with ifs",
                                                       [SW_VERDICT_SPARE] = "second choice",
                                                       [SW_VERDICT_NOT_YET] = "not yet",
                                                       [SW_VERDICT_LEAVE] = "leave it"};
    return SAID[verdict];
}

size_t sw_assumed_say(const sw_assumed *assumed, char *out, size_t room) {
    const char *names[3] = {"", "", ""};
    size_t count = 0;
    if (assumed->drag)
        names[count++] = "drag";
    if (assumed->cogging)
        names[count++] = "cogging";
    if (assumed->inductance)
        names[count++] = "inductance";
    snprintf(out, room, "%s%s%s%s%s", names[0], count == 3 ? ", " : "", count == 3 ? names[1] : "",
             count > 1 ? " and " : "", count > 1 ? names[count - 1] : "");
    return count;
}

typedef struct reading_row {
    sw_remark_code code;
    const char *reading;
} reading_row;

static const reading_row READINGS[] = {
    {SW_GUESS_WIND, "measure the wind at hub height for some weeks, or ask the nearest station "
                    "for its mean"},
    {SW_GUESS_ROTOR_POWER, "measure the rotor itself: wind, turns a minute and the pull of a "
                           "scale on a cord round the rim"},
    {SW_GUESS_INDUCTANCE, "spin the motor into a known resistor at two speeds, which gives its "
                          "inductance"},
    {SW_GUESS_COGGING, "hang a scale on a lever on the motor's shaft and read the pull at which "
                       "it snaps over"},
    {SW_GUESS_DRAG, "let the motor run down freely and record it, which gives its drag"},
    {SW_GUESS_RESISTANCE, "measure the winding again with the leads' own ohms subtracted, and "
                          "write down how far the readings differ"},
    {SW_GUESS_BEARING, "hang small weights on a string round the rim until the rotor creeps"},
    {SW_GUESS_FRICTION, "hang weights on a string round the rim with the wheel on and with the "
                        "wheel lifted off"},
    {SW_MISSING_CONSTANT, "measure the volts at a known speed"},
    {SW_MISSING_POLE_PAIRS, "count turns or magnets"},
    {SW_MISSING_PHASES, "record a second pair of wires"},
    {SW_MISSING_RESISTANCE, "measure the winding with a multimeter on ohms"},
};

const char *sw_remark_reading(sw_remark_code code) {
    for (size_t i = 0; i < sizeof READINGS / sizeof *READINGS; i++)
        if (READINGS[i].code == code)
            return READINGS[i].reading;
    return "";
}

/* An exact length is a size of a part. */
static sw_said say(bool us, sw_quantity quantity) {
    bool size = quantity.unit != NULL && strcmp(quantity.unit, "mm") == 0 && !(quantity.u > 0);
    return size ? sw_say_size(us, quantity.value) : sw_say(us, quantity);
}

/* A first value that small, or none, is not said as a number. */
static const char *sentence_of(const sw_remark *remark) {
    static const double LEAST_PERCENT = 1;
    if (remark->code == SW_REASON_LITTLE_ENERGY && remark->first.value < SW_LEAST_KWH)
        return "It gives next to nothing in a year; from {2} on it is worth it (see --worth).";
    if (remark->code == SW_REASON_POOR_SHARE && remark->first.value < LEAST_PERCENT)
        return "Hardly anything of what this rotor could give at its best reaches the wires; a "
               "motor that suits it better would give more.";
    if (remark->code == SW_CAUTION_START_AT_LEAST && !isfinite(remark->second.value))
        return "Cogging or drag is not measured: with usual ones it starts at {1}, with stiff ones "
               "it does not start by itself.";
    /* a brushed motor has no AC */
    bool direct = !(remark->first.value > 0);
    if (remark->code == SW_CAUTION_VOLTS_TOUCH && direct)
        return "With the load lost in a storm, {2} DC stands on open wires: more than bare "
               "terminals may carry. Cover every terminal.";
    if (remark->code == SW_CAUTION_VOLTS_HIGH && direct)
        return "With the load lost in a storm, {2} DC stands on open wires: that can kill. Cover "
               "everything; no work on it while the rotor can turn.";
    return SENTENCES[remark->code];
}

void sw_remark_say(bool us, const sw_remark *remark, char *out, size_t room) {
    sw_said first = say(us, remark->first);
    sw_said second = say(us, remark->second);
    size_t used = 0;
    out[0] = '\0';
    for (const char *at = sentence_of(remark); *at != '\0' && used + 1 < room;) {
        bool is_first = strncmp(at, "{1}", 3) == 0;
        bool is_second = strncmp(at, "{2}", 3) == 0;
        if (is_first || is_second) {
            const char *value = is_first ? first.text : second.text;
            size_t length = strlen(value);
            if (used + length + 1 >= room)
                break;
            memcpy(out + used, value, length + 1);
            used += length;
            at += 3;
            continue;
        }
        out[used++] = *at++;
        out[used] = '\0';
    }
}

void sw_remarks_text(const char *title, const sw_remarks *remarks, bool us, sw_text *text) {
    char sentence[SW_REMARK_ROOM];
    if (remarks->count == 0)
        return;
    sw_text_add(text, "\n%s\n", title);
    for (size_t i = 0; i < remarks->count; i++) {
        sw_remark_say(us, &remarks->item[i], sentence, sizeof sentence);
        sw_text_paragraph(text, 4, "  - %s", sentence);
    }
}

void sw_remarks_topics(const sw_remarks *remarks, sw_text *line) {
    enum { TOLD = 4 };
    size_t told = remarks->count > TOLD + 1 ? TOLD : remarks->count;
    for (size_t i = 0; i < told; i++) {
        const char *sentence = SENTENCES[remarks->item[i].code];
        size_t length = strcspn(sentence, ":(");
        length -= length > 0 && sentence[length - 1] == ' ';
        sw_text_add(line, "%s%.*s", i > 0 ? ", " : "", (int)length, sentence);
    }
    if (told < remarks->count)
        sw_text_add(line, " and %zu more", remarks->count - told);
}

void sw_remarks_add_json(cJSON *object, const char *key, const sw_remarks *remarks) {
    cJSON *list = cJSON_AddArrayToObject(object, key);
    for (size_t i = 0; i < remarks->count; i++) {
        char message[SW_REMARK_ROOM];
        cJSON *item = cJSON_CreateObject();
        sw_remark_say(false, &remarks->item[i], message, sizeof message);
        cJSON_AddStringToObject(item, "code", sw_remark_name(remarks->item[i].code));
        cJSON_AddStringToObject(item, "message", message);
        cJSON_AddItemToArray(list, item);
    }
}
