#include "src/report/match_text.h"

#include "src/report/say.h"

#include <stdio.h>

void sw_gear_say(bool us, const sw_choice *choice, char *out, size_t room) {
    const sw_gear *gear = &choice->gear;
    sw_said driver = sw_say_value(us, gear->driver_mm, "mm");
    sw_said wheel = sw_say_value(us, gear->wheel_mm, "mm");
    switch (gear->drive) {
    case SW_DRIVE_FRICTION:
        snprintf(out, room, "a %s wheel on the %s rim", wheel.text, driver.text);
        return;
    case SW_DRIVE_BELT:
        snprintf(out, room, "a belt from a %s pulley on the rotor to one of %s on the motor",
                 driver.text, wheel.text);
        return;
    case SW_DRIVE_CHAIN:
        snprintf(out, room,
                 "a chain from a ring of %d teeth on the rotor to a sprocket of %d teeth on the "
                 "motor",
                 gear->driver_teeth, gear->wheel_teeth);
        return;
    default:
        snprintf(out, room, "its shaft straight on the rotor's");
    }
}

static const char *coils_said(const sw_electrical *electrical) {
    switch (electrical->rewiring) {
    case SW_REWIRING_STAR:
        return "the coils rewired in star";
    case SW_REWIRING_DELTA:
        return "the coils rewired in delta";
    case SW_REWIRING_PARALLEL:
        return "the coil groups of each phase side by side (parallel)";
    default:
        return "the wires as they come";
    }
}

static const char *rectifier_said(sw_rectifier rectifier) {
    static const char *const SAID[SW_RECTIFIER_COUNT] = {
        [SW_RECTIFIER_BRIDGE] = "a bridge rectifier",
        [SW_RECTIFIER_HALF_WAVE] = "one diode a wire (half wave)",
        [SW_RECTIFIER_DOUBLER] = "a voltage doubler (two diodes, two capacitors)",
        [SW_RECTIFIER_CENTRE_TAP] = "two diodes and the centre tap",
        [SW_RECTIFIER_BLOCKING_DIODE] = "one blocking diode",
        [SW_RECTIFIER_NONE] = "no rectifier",
    };
    return SAID[rectifier];
}

void sw_electrical_say(const sw_electrical *electrical, char *out, size_t room) {
    snprintf(out, room, "%s, %s", coils_said(electrical),
             rectifier_said(electrical->wiring.rectifier));
}
