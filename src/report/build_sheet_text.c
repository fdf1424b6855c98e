#include "src/report/match_text.h"

#include "src/report/advice_text.h"
#include "src/report/diagram_text.h"
#include "src/report/say.h"
#include "src/report/wheel_text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static void item(sw_text *text, const char *mark, const char *words) {
    sw_text_paragraph(text, 6, "  %s %s", mark, words);
}

#define BOX "[ ]"
#define DOT " - "

/* Thinnest American wire gauge in the shops (even numbers) with at least this area, then 1/0 to
 * 4/0, which count as 0 to -3: d = 0.127 mm x 92^((36 - n)/39), ASTM B258 (from memory). */
static void awg_said(double area_mm2, char *out, size_t room) {
    static const int STOCKED[] = {22, 20, 18, 16, 14, 12, 10, 8, 6, 4, 2, 0, -1, -2, -3};
    enum { COUNT = sizeof STOCKED / sizeof *STOCKED };
    int n = STOCKED[0];
    for (size_t i = 0; i < COUNT; i++) {
        n = STOCKED[i];
        double diameter_mm = 0.127 * pow(92, (36.0 - n) / 39);
        if (0.785398 * diameter_mm * diameter_mm >= 0.98 * area_mm2)
            break;
    }
    if (n > 0)
        snprintf(out, room, "%d AWG or thicker", n);
    else
        snprintf(out, room, "%d/0 AWG or thicker", 1 - n);
}

void sw_cable_say(bool us, double area_mm2, char *out, size_t room) {
    if (us)
        awg_said(area_mm2, out, room);
    else
        snprintf(out, room, "at least %g mm\u00b2", area_mm2);
}

static bool battery_of(const sw_match *match) {
    return match->load.kind == SW_LOAD_BATTERY;
}

static void say_tonight(const sw_match_request *request, const sw_match *match, bool us,
                        sw_text *text) {
    const sw_build_sheet *sheet = &match->sheet;
    char words[320];
    sw_said stop = sw_say_value(us, sheet->stop_wind, "m/s");
    (void)request;
    sw_text_add(text,
                "\n+- Before you leave it alone tonight ----------------------------------\n");
    snprintf(words, sizeof words,
             "A tie-down rope or a brake of its own is fitted and was tried; it goes on before the "
             "wind passes %s.",
             stop.text);
    item(text, BOX, words);
    item(text, BOX,
         sheet->brake_trusted
             ? "Shorting the motor's own wires (before the rectifier, never after it: that shorts "
               "the battery) was tried and stops the rotor."
             : "Do not count on the shorted motor as the brake: here it cannot be trusted to stop "
               "the rotor.");
    if (battery_of(match))
        item(text, BOX, "A fuse sits within a hand's width of the battery's plus terminal.");
    if (battery_of(match))
        item(text, BOX, "The dump load was seen to switch on, and gets warm.");
    snprintf(words, sizeof words,
             "Every terminal is covered: if the load drops off, %.0f V DC stands there in a strong "
             "wind, %.0f V in the storm.",
             sheet->lost_dc_v, match->storm.row[match->storm.site_row].dc_v);
    item(text, BOX, words);
    sw_text_add(text, "+----------------------------------------------------------------------\n");
}

static void say_wires(const sw_match *match, sw_text *text) {
    const sw_build_sheet *sheet = &match->sheet;
    const sw_electrical *used = &match->search.electrical[match->best.electrical];
    char wires[160];
    char words[320];
    sw_electrical_say(used, wires, sizeof wires);
    sw_text_add(text, "\nWires and rectifier\n");
    snprintf(words, sizeof words, "Connection: %s.", wires);
    item(text, DOT, words);
    if (used->wiring.rectifier == SW_RECTIFIER_NONE)
        return;
    snprintf(words, sizeof words, "Diodes for at least %.0f V and %s; they make up to %s of heat.",
             ceil(sheet->diode_inverse_v / 10) * 10,
             sw_say_value(false, fmax(sheet->diode_current_a, 0.1), "A").text,
             sw_say_value(false, sheet->diode_heat_w, "W").text);
    item(text, DOT, words);
    if (isfinite(sheet->sink_k_w)) {
        sw_sink_say(sheet->sink_k_w, words, sizeof words);
        item(text, DOT, words);
    }
}

/* The cable that is there, or the one to buy. */
static void say_cable(const sw_build_sheet *sheet, bool us, sw_text *text) {
    char need[60];
    char own[60];
    sw_text line = {0};
    sw_cable_say(us, sheet->cable_mm2, need, sizeof need);
    snprintf(own, sizeof own, "%g mm\u00b2", sheet->own_mm2);
    if (isnan(sheet->own_mm2))
        sw_text_add(&line, "Cable of %s, so that the fuse protects it.", need);
    else if (sheet->own_thin)
        sw_text_add(&line,
                    "Your cable of %s is too thin for that fuse: it may burn before the fuse "
                    "blows. Take %s.",
                    own, need);
    else
        sw_text_add(&line, "Your cable of %s bears what the fuse lets through.", own);
    if (isfinite(sheet->drop_v))
        sw_text_add(&line, " Over %s %s loses %s in a strong wind.",
                    sw_say_value(us, sheet->cable_m, "m").text, sheet->own_thin ? "yours" : "it",
                    sw_say_value(false, sheet->drop_v, "V").text);
    item(text, DOT, sw_text_string(&line));
    sw_text_free(&line);
}

static void say_fuse(const sw_match *match, bool us, sw_text *text) {
    const sw_build_sheet *sheet = &match->sheet;
    char words[320];
    if (match->load.kind == SW_LOAD_RESISTOR)
        return;
    sw_text_add(text, battery_of(match) ? "\nFuse, cable, dump load\n" : "\nFuse, cable\n");
    if (isfinite(sheet->fuse_a)) {
        snprintf(words, sizeof words, "Fuse of %g A (the storm drives %s).", sheet->fuse_a,
                 sw_say_value(false, sheet->storm_dc_a, "A").text);
        item(text, DOT, words);
    }
    if (isfinite(sheet->cable_mm2))
        say_cable(sheet, us, text);
    if (isfinite(sheet->dump_ohm))
        sw_text_paragraph(text, 6,
                          "  " DOT " Dump load of about %s that takes %.0f W, on the rotor's side "
                          "of the fuse, so that a blown fuse leaves it connected. It is enough up "
                          "to %s: by then the rotor is stopped or tied down.",
                          sw_say_value(false, sheet->dump_ohm, "ohm").text,
                          ceil(sheet->dump_w / 5) * 5,
                          sw_say_value(us, sheet->stop_wind, "m/s").text);
}

static const char *load_said(const sw_match *match) {
    static const char *const SAID[] = {[SW_LOAD_BATTERY] = "Battery on through fuse and ammeter",
                                       [SW_LOAD_RESISTOR] = "Resistor on through the ammeter",
                                       [SW_LOAD_CONVERTER] = "Converter on through the ammeter"};
    return SAID[match->load.kind];
}

static void say_first_spin(const sw_motor *motor, const sw_match *match, sw_text *text) {
    char words[320];
    sw_text_add(text, "\nFirst spin, in this order\n");
    bool brushed = motor->kind == SW_BRUSHED;
    item(text, "1.",
         brushed ? "Nothing connected: turn the rotor by hand and read the DC volts."
                 : "Nothing connected: turn the rotor by hand and read the AC volts.");
    item(text, "2.",
         brushed ? "Diode on, no load: plus and minus with the meter on DC."
                 : "Rectifier on, no load: plus and minus with the meter on DC.");
    item(text, "3.", "Try the brake and the tie-down while you can still hold the rotor.");
    if (match->cut_in_rpm > 0)
        snprintf(words, sizeof words, "%s: current from %.0f motor turns a minute on.",
                 load_said(match), match->cut_in_rpm);
    else
        snprintf(words, sizeof words, "%s.", load_said(match));
    item(text, "4.", words);
    if (battery_of(match))
        item(text, "5.",
             "In a light wind, let the battery fill, or set the dump switch lower for a moment: "
             "the dump load must come on. Never take the battery off while it turns: the volts "
             "jump.");
}

static void say_uses(const sw_match *match, sw_text *text) {
    char uses[160];
    sw_uses_say(match, uses, sizeof uses);
    sw_text_add(text, "\nWhat a year of it does\n");
    sw_text_paragraph(text, 6, "  " DOT " On average it %s.", uses);
}

void sw_build_sheet_text(const sw_match_request *request, const sw_match *match, bool us,
                         sw_text *text) {
    sw_text_add(text, "\nBUILD SHEET\n");
    say_tonight(request, match, us, text);
    sw_wheel_text(match, request->rotor, us, text);
    say_wires(match, text);
    sw_diagram_text(request->motor, match, text);
    say_fuse(match, us, text);
    sw_tools_text(match, text);
    say_first_spin(request->motor, match, text);
    say_uses(match, text);
}
