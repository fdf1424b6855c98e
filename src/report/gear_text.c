#include "src/report/match_text.h"

#include "src/report/say.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

/* "an 8 in", "an 11 mm", "an 18 mm", "an 80 mm"; else "a". */
static const char *article(const char *number) {
    bool teens = strncmp(number, "11", 2) == 0 || strncmp(number, "18", 2) == 0;
    return *number == '8' || (teens && !isdigit((unsigned char)number[2])) ? "an" : "a";
}

void sw_gear_say(bool us, const sw_choice *choice, char *out, size_t room) {
    const sw_gear *gear = &choice->gear;
    sw_said driver = sw_say_size(us, gear->driver_mm);
    sw_said wheel = sw_say_size(us, gear->wheel_mm);
    switch (gear->drive) {
    case SW_DRIVE_FRICTION:
        snprintf(out, room, "%s %s wheel on the %s rim", article(wheel.text), wheel.text,
                 driver.text);
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

static const char *wound_said(double turns) {
    if (turns < 0.6)
        return "new coils of half the turns and thicker wire";
    if (turns < 1)
        return "new coils of 0.7 times the turns and thicker wire";
    return turns > 1.6 ? "new coils of twice the turns and thinner wire"
                       : "new coils of 1.4 times the turns and thinner wire";
}

static const char *coils_said(const sw_electrical *electrical) {
    switch (electrical->rewiring) {
    case SW_REWIRING_STAR:
        return "the coils rewired in star";
    case SW_REWIRING_DELTA:
        return "the coils rewired in delta";
    case SW_REWIRING_PARALLEL:
        return "the coil groups of each phase side by side (parallel)";
    case SW_REWIRING_WOUND:
        return wound_said(electrical->wiring.rewind);
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
    int machines = electrical->wiring.machines;
    const char *rectifier = rectifier_said(electrical->wiring.rectifier);
    int used = 0;
    if (machines > 1)
        used = snprintf(out, room, "%d such motors, each with %s and its own rectifier (%s)",
                        machines, coils_said(electrical), rectifier);
    else
        used = snprintf(out, room, "%s, %s", coils_said(electrical), rectifier);
    if (electrical->tell_voltage && isfinite(electrical->nominal_v) && used > 0 &&
        (size_t)used < room)
        snprintf(out + used, room - (size_t)used, ", on a %.3g V battery", electrical->nominal_v);
}
