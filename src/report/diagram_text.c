#include "src/report/diagram_text.h"

static int wires_of(const sw_motor *motor) {
    if (motor->kind == SW_BRUSHED || motor->phases < 2)
        return 2;
    return motor->phases == 2 ? 4 : 3;
}

/* One line a wire, the brake switch across all of them, then the box that makes DC. */
static void draw_motor(const sw_motor *motor, const sw_wiring *wiring, sw_text *text) {
    static const char *const BOXES[SW_RECTIFIER_COUNT] = {
        [SW_RECTIFIER_BRIDGE] = "bridge",        [SW_RECTIFIER_HALF_WAVE] = "diodes",
        [SW_RECTIFIER_DOUBLER] = "doubler",      [SW_RECTIFIER_CENTRE_TAP] = "diodes",
        [SW_RECTIFIER_BLOCKING_DIODE] = "diode", [SW_RECTIFIER_NONE] = "(none)"};
    int wires = wires_of(motor);
    for (int i = 0; i < wires; i++) {
        const char *name = i == wires / 2 ? "motor" : "     ";
        const char *box = i == wires / 2 ? BOXES[wiring->rectifier] : "";
        const char *rail = i == 0 ? "--- plus" : i == wires - 1 ? "--- minus" : "";
        sw_text_add(text, "   %s |---o------| %-8s |%s\n", name, box, rail);
    }
}

static void draw_rails(const sw_match *match, sw_text *text) {
    switch (match->load.kind) {
    case SW_LOAD_BATTERY:
        sw_text_add(text, "\n   plus  ---o---[ammeter]---o---[fuse]--- battery plus\n"
                          "            |               |\n"
                          "         voltmeter    [dump load + its switch]\n"
                          "            |               |\n"
                          "   minus ---o---------------o------------ battery minus\n");
        return;
    case SW_LOAD_RESISTOR:
        sw_text_add(text, "\n   plus  ---o---[ammeter]--- resistor\n"
                          "         voltmeter              |\n"
                          "   minus ---o-------------------'\n");
        return;
    default:
        sw_text_add(text, "\n   plus  ---o---[ammeter]---[fuse]--- converter input plus\n"
                          "         voltmeter\n"
                          "   minus ---o------------------------ converter input minus\n");
    }
}

void sw_diagram_text(const sw_motor *motor, const sw_match *match, sw_text *text) {
    const sw_electrical *used = &match->search.electrical[match->best.electrical];
    sw_text_add(text, "\nHow the wires run\n");
    draw_motor(motor, &used->wiring, text);
    sw_text_paragraph(text, 3,
                      "   At the points o a switch joins all wires of the motor, before the %s: %s",
                      used->wiring.rectifier == SW_RECTIFIER_NONE ? "load" : "rectifier",
                      match->sheet.brake_trusted
                          ? "that is its brake."
                          : "it slows a rotor in light winds, but it is no storm brake here.");
    if (used->wiring.rectifier != SW_RECTIFIER_NONE)
        draw_rails(match, text);
    if (used->wiring.machines > 1)
        sw_text_paragraph(text, 3,
                          "   Each of the %d motors has a brake switch and a rectifier of its own; "
                          "they meet at plus and minus.",
                          used->wiring.machines);
    if (match->load.kind == SW_LOAD_BATTERY)
        sw_text_paragraph(text, 3,
                          "   The fuse sits at the battery; the dump load on the rotor's "
                          "side of it.");
}

void sw_tools_text(const sw_match *match, sw_text *text) {
    sw_text_add(text, "\nTools\n");
    sw_text_paragraph(text, 6,
                      "   -  Multimeter, ammeter for direct current, crimp tool and lugs, covers "
                      "for every terminal, screwdrivers and spanners, rope for the tie-down.");
    if (match->plant.drive.kind->pressed)
        sw_text_paragraph(text, 6,
                          "   -  Luggage scale for the spring, drill and file for bush "
                          "and key, a pencil held at the turning rim to see its run-out.");
    else if (match->best.gear.drive == SW_DRIVE_CHAIN)
        sw_text_paragraph(text, 6, "   -  Chain tool, a straight edge along both sprockets.");
    else if (match->best.gear.drive == SW_DRIVE_BELT)
        sw_text_paragraph(text, 6, "   -  A straight edge along both pulleys.");
}
