/* What to do with the wires: connections by machine, checks, and what comes before the first
 * spin. */
#include "src/report/wires_text.h"

#include "shared/discharge.h"

#include <stdio.h>
#include <string.h>

static const sw_wire_group *used_group(const sw_wire_finding *finding) {
    for (int i = 0; i < finding->groups; i++)
        if (finding->group[i].use)
            return &finding->group[i];
    return NULL;
}

static void say_terminals(const sw_wires *wires, const sw_wire_finding *finding, sw_text *text) {
    int terminal = 0;
    for (int i = 0; i < wires->count; i++)
        if (finding->use[i])
            sw_text_add(text, "    wire %d %s%s-> AC terminal %d of the bridge rectifier\n", i + 1,
                        wires->colour[i], wires->colour[i][0] != '\0' ? " " : "", ++terminal);
}

static void say_point(const sw_wire_finding *finding, sw_text *text) {
    const sw_wire_group *group = used_group(finding);
    if (group != NULL && group->kind == SW_WIRES_THREE_POINT)
        sw_text_paragraph(text, 4,
                          "    The star point stays free, its end covered. (From a line to it you "
                          "read 0.58 of the volts between two lines.)");
}

static void three_phase(const sw_wires *wires, const sw_wire_finding *finding, sw_text *text) {
    say_terminals(wires, finding, text);
    say_point(finding, text);
    sw_text_paragraph(text, 4,
                      "    The order does not matter. Check: the AC volts of all three pairs must "
                      "be alike at one speed.");
}

static void three_windings(const sw_wires *wires, const sw_wire_finding *finding, sw_text *text) {
    (void)wires;
    (void)finding;
    sw_text_paragraph(text, 4,
                      "    Star first: join one end of each coil (that is the star point), the "
                      "three other ends go to a three-phase bridge. Check the AC volts of the "
                      "three pairs at one speed: all alike, 1.73 times those of one coil. If two "
                      "pairs show only the volts of one coil, turn round the coil that both of "
                      "them share.");
    sw_text_paragraph(text, 4,
                      "    Never close a delta before that test: with one coil the wrong way round "
                      "it heats itself.");
}

static void one_winding(const sw_wires *wires, const sw_wire_finding *finding, sw_text *text) {
    say_terminals(wires, finding, text);
    sw_text_paragraph(text, 4,
                      "    Check first whether the meter shows AC or DC volts while you turn it: "
                      "steady DC that changes sign with the direction means brushes, and needs one "
                      "blocking diode instead of a bridge.");
}

static void one_tapped(const sw_wires *wires, const sw_wire_finding *finding, sw_text *text) {
    say_terminals(wires, finding, text);
    sw_text_paragraph(text, 4,
                      "    The middle stays free. Or use two diodes and the middle as minus: half "
                      "the volts, one diode drop less.");
}

static void two_phase(const sw_wires *wires, const sw_wire_finding *finding, sw_text *text) {
    (void)wires;
    for (int i = 0; i < finding->groups; i++)
        if (finding->group[i].use)
            sw_text_add(text, "    wires %d and %d -> a bridge of their own\n",
                        finding->group[i].wire[0] + 1, finding->group[i].wire[1] + 1);
    sw_text_paragraph(text, 4,
                      "    Join the bridges at plus and at minus. Never join wires of the two "
                      "windings on the AC side.");
}

static void two_phase_tapped(const sw_wires *wires, const sw_wire_finding *finding, sw_text *text) {
    for (int i = 0; i < finding->groups; i++) {
        const sw_wire_group *group = &finding->group[i];
        int ends[2] = {0, 0};
        int found = 0;
        for (int k = 0; group->use && k < group->count; k++)
            if (finding->use[group->wire[k]] && found < 2)
                ends[found++] = group->wire[k] + 1;
        if (found == 2)
            sw_text_add(text, "    wires %d and %d -> a bridge of their own\n", ends[0], ends[1]);
    }
    (void)wires;
    sw_text_paragraph(text, 4,
                      "    Join the bridges at plus and at minus; the two middles stay free. Half "
                      "the volts at half the ohms: middle to one end.");
}

static void two_phase_common(const sw_wires *wires, const sw_wire_finding *finding, sw_text *text) {
    (void)wires;
    (void)finding;
    sw_text_paragraph(
        text, 4,
        "    Spin it and read the AC volts of every pair of coil ends: two pairs show "
        "more than the others (2 against 1.41). Each of these two pairs is one phase "
        "and gets a bridge of its own; join the bridges at plus and at minus. The "
        "common wire stays free.");
}

static void four_coils(const sw_wires *wires, const sw_wire_finding *finding, sw_text *text) {
    (void)wires;
    (void)finding;
    sw_text_paragraph(
        text, 4,
        "    Two coils belong to each phase. Join one end of two coils, spin, read the "
        "AC volts of the free ends: double the volts of one coil (same phase, in "
        "series: good), next to none (same phase, one the wrong way round), or 1.41 "
        "times (different phases). Each phase then gets a bridge of its own.");
    sw_text_paragraph(text, 4,
                      "    In series for a slow turbine; in parallel (only coils whose volts "
                      "cancelled to nothing when tested) for half the volts and twice the amps.");
}

static void unlike_windings(const sw_wires *wires, const sw_wire_finding *finding, sw_text *text) {
    (void)wires;
    (void)finding;
    sw_text_paragraph(
        text, 4,
        "    Connect nothing yet. Brushes, and two windings of an ohm or a few: a "
        "universal motor, as in older washers and drills, without magnets. Else turn "
        "it and read the AC volts of each winding: less "
        "than a volt means no magnets. With magnets after all, the winding with fewer "
        "ohms goes to a bridge, and the other one, if its volts are as good, to a "
        "bridge of its own.");
}

static void not_clear(const sw_wires *wires, const sw_wire_finding *finding, sw_text *text) {
    (void)wires;
    (void)finding;
    sw_text_paragraph(text, 4,
                      "    Connect nothing yet. Measure every pair once more with clean wire ends, "
                      "note which pairs make the shaft stiffer when shorted (turned by hand), and "
                      "run this again.");
}

typedef void (*advice)(const sw_wires *, const sw_wire_finding *, sw_text *);

static const advice ADVICE[SW_MACHINE_COUNT] = {
    [SW_MACHINE_THREE_PHASE] = three_phase,
    [SW_MACHINE_THREE_WINDINGS] = three_windings,
    [SW_MACHINE_ONE_WINDING] = one_winding,
    [SW_MACHINE_ONE_TAPPED] = one_tapped,
    [SW_MACHINE_TWO_PHASE] = two_phase,
    [SW_MACHINE_TWO_PHASE_TAPPED] = two_phase_tapped,
    [SW_MACHINE_TWO_PHASE_COMMON] = two_phase_common,
    [SW_MACHINE_FOUR_COILS] = four_coils,
    [SW_MACHINE_UNLIKE_WINDINGS] = unlike_windings,
    [SW_MACHINE_NONE] = not_clear,
    [SW_MACHINE_UNCLEAR] = not_clear,
};

static bool has_kind(const sw_wire_finding *finding, sw_wire_kind kind) {
    for (int i = 0; i < finding->groups; i++)
        if (finding->group[i].kind == kind)
            return true;
    return false;
}

static bool signal_of_colour(const sw_wires *wires, const sw_wire_finding *finding,
                             const char *colour) {
    for (int i = 0; i < wires->count; i++)
        if (finding->role[i] == SW_ROLE_SIGNAL && strcmp(wires->colour[i], colour) == 0)
            return true;
    return false;
}

static void say_left(const sw_wires *wires, const sw_wire_finding *finding, sw_text *text) {
    if (has_kind(finding, SW_WIRES_SIGNALS))
        sw_text_paragraph(text, 4,
                          "    Sensor wires: cover each one by itself. They take 5 V; a touch of "
                          "the power wires kills them.");
    if (signal_of_colour(wires, finding, "red") && signal_of_colour(wires, finding, "black"))
        sw_text_paragraph(text, 4,
                          "    (Red and black among them are usually plus and minus of their "
                          "supply. Colours are a hint, no more.)");
    if (has_kind(finding, SW_WIRES_SENSOR))
        sw_text_paragraph(text, 4,
                          "    Speed-sensor coil: leave it; it can tell a controller the speed.");
    if (has_kind(finding, SW_WIRES_SWITCH))
        sw_text_paragraph(text, 4,
                          "    Thermal switch: leave it free, or let it trip a relay that unloads "
                          "the motor when it is hot.");
    if (has_kind(finding, SW_WIRES_EARTH))
        sw_text_paragraph(text, 4, "    Earth wire: to the frame, never to the rectifier.");
}

static void say_next(const sw_wire_finding *finding, sw_text *text) {
    const sw_wire_group *group = used_group(finding);
    sw_text_add(text, "\nCheck next\n");
    sw_text_paragraph(text, 4,
                      "  - Every wire against the bare metal of the case must read open. If one "
                      "does not, the insulation is hurt: leave this motor.");
    if (group != NULL && group->stiffer == SW_NOT_SAID)
        sw_text_paragraph(text, 4,
                          "  - Turn the shaft by hand, wires apart; join %d and %d and turn again. "
                          "Stiffer means magnets and a working winding (--stiffer %d-%d). By hand "
                          "only, never with a drill.",
                          group->wire[0] + 1, group->wire[1] + 1, group->wire[0] + 1,
                          group->wire[1] + 1);
    if (group != NULL && sw_quantity_known(group->ohm) && finding->phases != 0)
        sw_text_paragraph(text, 4,
                          "  - Then record it (spinworth measure --help) and give the ohms along: "
                          "--resistance %.3gohm",
                          group->ohm.value);
    sw_text_add(text, "\n");
}

void sw_wires_advice(const sw_wires *wires, const sw_wire_finding *finding, sw_text *text) {
    sw_text_add(text, "What to connect\n");
    ADVICE[finding->machine](wires, finding, text);
    say_left(wires, finding, text);
    say_next(finding, text);
}

void sw_first_spin_text(sw_text *text) {
    static const char *const CHECKS[] = {
        "Unplugged. A capacitor discharged through a resistor (" SW_DISCHARGE_RESISTOR
        "); " SW_DISCHARGE_CHECK "; then it is "
        "taken off. The controller board unplugged: it can brake, burn, or feed the mains.",
        "Turn the shaft by hand, both ways: a hub with gears and a freewheel seems dead one way. "
        "Listen for rubbing or scraping. Steps that pull are magnets; that is good.",
        "Clamp it: a vice on the flats or the flange, a round body in a V-block under a strap, a "
        "hub motor by the flats of its axle. It must not turn when you try with both hands.",
        "Couple it straight: a socket on the shaft's nut, a bolt head in the chuck, a piece of "
        "hose over a bare shaft. Never a bent or loose shaft. Side handle on the drill.",
        "Wire ends apart and covered. Never short wires while a drill drives: it jerks the drill "
        "out of your hands.",
    };
    sw_text_add(text, "Before the first spin\n");
    for (size_t i = 0; i < sizeof CHECKS / sizeof *CHECKS; i++)
        sw_text_paragraph(text, 4, "  - %s", CHECKS[i]);
    sw_text_add(text, "\n");
    sw_text_paragraph(text, 0,
                      "Cautions: hair, sleeves and gloves away from the chuck; eyes covered. A "
                      "geared mains motor can give mains volts by hand.");
}
