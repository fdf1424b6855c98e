/* Wires in words: the answer, a sketch of each group, what goes where, what is doubtful. */
#include "src/report/wires_text.h"

#include <math.h>
#include <stdio.h>

enum { NAME_COLUMNS = 18, LIST_ROOM = 120 };

static const char *const KIND_WORDS[] = {
    "one coil",
    "three wires alike (star or delta inside: ohms cannot tell, and it does not matter yet)",
    "a star with its star point brought out",
    "one coil with its middle brought out (centre tap)",
    "two unlike windings with a common wire (main and auxiliary, or speed taps)",
    "four coils with one common wire",
    "four wires alike, joined inside",
    "one coil with taps along it",
    "three wires that should be alike and are not",
    "next to no ohms: a thermal switch, or a wire that goes through",
    "a speed-sensor coil: it makes volts but hardly any watts",
    "supply and signals of the position sensors",
    "green and yellow: the frame's earth",
    "connected to no other wire",
    "not measured to the end",
    "joined in a way that is not known here",
};
_Static_assert(sizeof KIND_WORDS / sizeof *KIND_WORDS == SW_WIRES_KIND_COUNT, "words a kind");

static const char *role_words(sw_wire_role role) {
    static const char *const WORDS[] = {
        "", "star point", "", "middle", "common", "main", "auxiliary", "tap", "", "", "", "", ""};
    return WORDS[role];
}

/* "1, 2 and 3" of the wires for which use is `used`. */
static int list_wires(const sw_wires *wires, const bool *chosen, char *out, size_t room) {
    int total = 0;
    int said = 0;
    size_t used = 0;
    for (int i = 0; i < wires->count; i++)
        total += chosen[i];
    out[0] = '\0';
    for (int i = 0; i < wires->count; i++) {
        if (!chosen[i])
            continue;
        const char *before = said == 0 ? "" : said == total - 1 ? " and " : ", ";
        used += (size_t)snprintf(out + used, room - used, "%s%d", before, i + 1);
        said++;
    }
    return total;
}

static const char *machine_words(sw_wire_machine machine) {
    static const char *const WORDS[] = {
        "three phases",
        "three separate windings, so you may choose star or delta",
        "one phase",
        "one phase, with its middle brought out",
        "two phases, one winding each",
        "two phases, each winding with its middle brought out",
        "two phases, four coils on one common wire",
        "two phases, two coils each",
        "two unlike windings",
        "nothing to connect",
        "not clear",
    };
    return WORDS[machine];
}

static bool doubted(const sw_wire_finding *finding, sw_wire_doubt_code code) {
    for (size_t i = 0; i < finding->doubts; i++)
        if (finding->doubt[i].code == code)
            return true;
    return false;
}

static bool has_sensor(const sw_wire_finding *finding) {
    for (int i = 0; i < finding->groups; i++)
        if (finding->group[i].kind == SW_WIRES_SENSOR)
            return true;
    return false;
}

/* The only winding gives hardly any watts. */
static bool doubtful_alone(const sw_wire_finding *finding) {
    return finding->machine == SW_MACHINE_ONE_WINDING && doubted(finding, SW_DOUBT_SENSOR) &&
           !has_sensor(finding);
}

static void say_answer(const sw_wires *wires, const sw_wire_finding *finding, sw_text *text) {
    char used[LIST_ROOM];
    char left[LIST_ROOM];
    bool rest[SW_WIRE_LIMIT];
    for (int i = 0; i < wires->count; i++)
        rest[i] = !finding->use[i];
    int count = list_wires(wires, finding->use, used, sizeof used);
    int others = list_wires(wires, rest, left, sizeof left);
    if (doubtful_alone(finding))
        sw_text_paragraph(text, 0,
                          "Wires %s are the only winding, and it may be no more than a "
                          "speed-sensor coil: see below before you wire anything.",
                          used);
    else if (count > 0 && doubted(finding, SW_DOUBT_NO_MAGNETS))
        sw_text_paragraph(text, 0,
                          "Wires %s are the winding, but it does not brake: see below before you "
                          "wire anything.",
                          used);
    else if (count > 0 && others > 0)
        sw_text_paragraph(text, 0, "Use wires %s: %s. Leave wire%s %s unconnected, ends covered.",
                          used, machine_words(finding->machine), others > 1 ? "s" : "", left);
    else if (count > 0)
        sw_text_paragraph(text, 0, "Use wires %s: %s.", used, machine_words(finding->machine));
    else if (finding->machine == SW_MACHINE_UNLIKE_WINDINGS)
        sw_text_paragraph(text, 0,
                          "Two unlike windings: a motor with a main and an auxiliary (capacitor) "
                          "winding, or a field and an armature. Such motors rarely have magnets; "
                          "see whether it generates before you wire anything.");
    else if (finding->machine == SW_MACHINE_NONE)
        sw_text_paragraph(text, 0, "No winding was found: no two wires of a coil are connected.");
    else
        sw_text_paragraph(text, 0, "It is not clear yet which wires to use; see below.");
}

static void name_wire(const sw_wires *wires, int wire, char *out, size_t room) {
    const char *weight = sw_wire_weight_name(wires->weight[wire]);
    const char *colour = wires->colour[wire];
    snprintf(out, room, "%2d%s%s%s%s", wire + 1, *colour != '\0' ? " " : "", colour,
             weight == NULL    ? ""
             : *colour != '\0' ? ", "
                               : " ",
             weight != NULL ? weight : "");
}

static void sketch_wire(const sw_wires *wires, const sw_wire_finding *finding,
                        const sw_wire_group *group, int index, bool joined, sw_text *text) {
    char name[64];
    char arm[24] = "";
    int wire = group->wire[index];
    name_wire(wires, wire, name, sizeof name);
    size_t wide = sw_text_columns(name);
    sw_text_add(text, "    %s%*s", name, wide < NAME_COLUMNS ? (int)(NAME_COLUMNS - wide) : 1, "");
    if (!joined) {
        sw_text_add(text, "---\n");
        return;
    }
    bool inner = finding->role[wire] == SW_ROLE_STAR_POINT ||
                 finding->role[wire] == SW_ROLE_CENTRE_TAP || finding->role[wire] == SW_ROLE_COMMON;
    char number[32];
    sw_wires_number_text(group->arm_ohm[index], number, sizeof number);
    snprintf(arm, sizeof arm, inner ? "-----------" : "--[ %5s ]", number);
    const char *words = role_words(finding->role[wire]);
    sw_text_add(text, "---%s---+%s%s\n", arm, *words != '\0' ? "  " : "", words);
}

static void sketch_coil(const sw_wires *wires, const sw_wire_group *group, sw_text *text) {
    char one[64];
    char two[64];
    char number[32];
    name_wire(wires, group->wire[0], one, sizeof one);
    name_wire(wires, group->wire[1], two, sizeof two);
    sw_wires_number_text(group->ohm.value, number, sizeof number);
    size_t wide = sw_text_columns(one);
    sw_text_add(text, "    %s%*s---[ %s ohm ]--- %s\n", one,
                wide < NAME_COLUMNS ? (int)(NAME_COLUMNS - wide) : 1, "", number, two);
}

static void say_group_numbers(const sw_wire_group *group, sw_text *text) {
    char value[64];
    if (sw_quantity_known(group->ohm) && group->count > 2) {
        sw_quantity_print(group->ohm, value, sizeof value);
        sw_text_paragraph(text, 4, "    %s between any two %s", value,
                          group->kind == SW_WIRES_CENTRE_TAP || group->kind == SW_WIRES_MAIN_AUX
                              ? "ends"
                              : "lines");
    }
    if (sw_quantity_known(group->greatest_watts)) {
        sw_quantity_print(group->greatest_watts, value, sizeof value);
        sw_text_paragraph(text, 4, "    at most %s at the volts you read (E^2 / 4R)", value);
    }
    if (group->stiffer == SW_YES)
        sw_text_paragraph(text, 4,
                          "    shorting it makes the shaft stiffer: there are magnets, and this "
                          "winding carries current");
}

static void say_group(const sw_wires *wires, const sw_wire_finding *finding,
                      const sw_wire_group *group, sw_text *text) {
    bool joined = !isnan(group->arm_ohm[0]);
    sw_text_paragraph(text, 4, "  %s: %s", group->use ? "USE" : "leave", KIND_WORDS[group->kind]);
    if (group->count == 2 && joined)
        sketch_coil(wires, group, text);
    else
        for (int i = 0; i < group->count; i++)
            sketch_wire(wires, finding, group, i, joined, text);
    say_group_numbers(group, text);
    sw_text_add(text, "\n");
}

static void say_doubts(const sw_wire_finding *finding, sw_text *text) {
    if (finding->doubts == 0)
        return;
    sw_text_add(text, "Look at this\n");
    for (size_t i = 0; i < finding->doubts; i++)
        sw_text_paragraph(text, 4, "  - %s", finding->doubt[i].message);
    sw_text_add(text, "\n");
}

void sw_wires_text(const sw_wires *wires, const sw_wire_finding *finding, sw_text *text) {
    say_answer(wires, finding, text);
    sw_text_add(text, "\nWhat hangs together (ohms seen from outside, test leads %s)\n",
                sw_quantity_known(wires->test_leads) ? "taken off" : "not taken off");
    for (int i = 0; i < finding->groups; i++)
        say_group(wires, finding, &finding->group[i], text);
    sw_wires_advice(wires, finding, text);
    say_doubts(finding, text);
    sw_first_spin_text(text);
}
