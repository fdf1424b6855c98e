/* Nothing there: what it is likely to be, how to find out, and why it is no generator as it
 * stands. */
#include "src/report/motor_text.h"

#include <stddef.h>
#include <stdio.h>

static void say_list(const char *head, const char *const *lines, sw_text *text) {
    sw_text_add(text, "\n%s\n", head);
    for (; *lines != NULL; lines++)
        sw_text_paragraph(text, 4, "  - %s", *lines);
}

static void say_not_a_motor(sw_text *text) {
    static const char *const TRIES[] = {
        "Is the clip on a wire of the motor, and did the shaft turn while it recorded?",
        "Run a laptop on its battery, and twist the two leads: an open lead picks up the mains.",
        "Spin up and let go within one recording: a motor's frequency follows its shaft.", NULL};
    sw_text_paragraph(text, 0,
                      "This is no spinning motor: the recording holds a steady line that does not "
                      "come from a shaft.");
    say_list("Try this", TRIES, text);
}

static void say_why_not(sw_text *text) {
    sw_text_add(text, "\n");
    sw_text_paragraph(text, 0,
                      "Why it is no generator as it stands: without magnets the iron has to be "
                      "magnetised by a current. An induction motor draws that current from the "
                      "mains, or from capacitors that must fit its speed, and collapses under "
                      "load. A wound field takes it from your battery, wind or no wind. Either "
                      "can be rebuilt with magnets, which is another job.");
}

/* An input that passes no steady volts, and a record without any change. */
static void say_brushes_first(const char *seen, sw_text *text) {
    sw_text_paragraph(text, 0,
                      "Cannot tell: there is nothing but %s, yet steady volts do not pass this "
                      "input. Are there brushes? Then put a meter on its DC range while the shaft "
                      "turns at a known speed, and add what it shows:  spinworth measure RECORDING "
                      "--dc-volts 12.3V --speed 540rpm. If it shows nothing, the motor most likely "
                      "has no magnets (an induction or wound-field motor), or a freewheel keeps "
                      "them from turning.",
                      seen);
}

/* "the 0.03 V at 25 Hz" of the steadiest stretch, as far as they are known. */
static void volts_seen(const sw_motor *motor, char *out, size_t room) {
    double hz = motor->electrical_frequency.value;
    double volts = motor->volts_per_hertz.value * hz;
    snprintf(out, room, "the few hundredths of a volt there are");
    if (volts > 0)
        snprintf(out, room, "the %.2g V at %.0f Hz that were recorded", volts, hz);
}

static void say_residual(const sw_motor *motor, sw_text *text) {
    static const char *const TESTS[] = {
        "Hold a thin screwdriver or a needle to the rotor: magnets pull it hard and let it hang. "
        "If it hardly sticks, there are none.",
        "Turn the shaft by hand: no steps, and joining two wires makes it no stiffer.",
        "Look for slip rings with two brushes, or a second winding of some ohms: that is a field "
        "winding. Feed it from 12 V through a lamp while the shaft turns; if volts appear, it is a "
        "wound-field machine.",
        "If it has magnets after all: were the clips on a sensor coil, or was it turned very "
        "slowly?  spinworth wires  tells which wires to use.",
        NULL};
    char seen[80];
    volts_seen(motor, seen, sizeof seen);
    if (sw_motor_warned(motor, SW_WARN_DC_BLOCKED)) {
        say_brushes_first(seen, text);
        say_list("To find out, if it shows nothing", TESTS, text);
        say_why_not(text);
        return;
    }
    sw_text_paragraph(text, 0,
                      "No, nothing worth wiring up: %s are no more than what residual magnetism "
                      "in plain iron gives. Most likely an induction motor, or a wound-field "
                      "motor whose field has no current.",
                      seen);
    say_list("To find out", TESTS, text);
    say_why_not(text);
}

static void say_dead(const sw_motor *motor, sw_text *text) {
    static const char *const TESTS[] = {
        "A freewheel? Turn it the other way round, and see whether the magnets turn along: a hub "
        "with gears drives them one way only. Its freewheel can be locked.",
        "The wrong wires, or a clip that is off? Measure their ohms and ask  spinworth wires; "
        "touch the clips to a 1.5 V cell: a click must show in the recording.",
        "Magnets? Hold a thin screwdriver or a needle to the rotor: magnets pull it hard. Turn it "
        "by hand and feel for steps; join two wires and turn again: stiffer means magnets.",
        "A field winding? Slip rings with two brushes, or a second winding of some ohms. Feed it "
        "from 12 V through a lamp while the shaft turns; volts that appear then come from a wound "
        "field.",
        NULL};
    if (sw_motor_warned(motor, SW_WARN_DC_BLOCKED))
        say_brushes_first("noise", text);
    else
        sw_text_paragraph(text, 0,
                          "No, nothing is generated here that is worth wiring up: no voltage in "
                          "the recording follows the shaft. Most likely the motor has no magnets "
                          "(an induction or wound-field motor), or a freewheel keeps them from "
                          "turning.");
    say_list("To find out, likeliest first", TESTS, text);
    say_why_not(text);
}

bool sw_motor_is_dead(const sw_motor *motor) {
    return motor->kind == SW_NO_GENERATOR || sw_motor_warned(motor, SW_WARN_RESIDUAL_ONLY);
}

void sw_nothing_text(const sw_motor *motor, sw_text *text) {
    if (sw_motor_warned(motor, SW_WARN_NOT_A_MOTOR))
        say_not_a_motor(text);
    else if (sw_motor_warned(motor, SW_WARN_RESIDUAL_ONLY))
        say_residual(motor, text);
    else
        say_dead(motor, text);
}
