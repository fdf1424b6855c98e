/* The wires' names, an empty set of them, and what is noted about them. */
#include "src/measure/wires/wires.h"

#include "src/measure/wires/wires_parts.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

static const char *const KIND_NAMES[] = {
    "winding", "three-equal", "star-with-point", "centre-tap", "main-and-auxiliary", "common-four",
    "four",    "tapped",      "uneven",          "switch",     "sensor-coil",        "signals",
    "earth",   "lone",        "unfinished",      "unclear"};
static const char *const ROLE_NAMES[] = {"line",   "star-point", "coil-end", "centre-tap", "common",
                                         "main",   "auxiliary",  "tap",      "switch",     "sensor",
                                         "signal", "earth",      "unknown"};
static const char *const MACHINE_NAMES[] = {
    "three-phase",      "three-windings",   "one-winding", "one-winding-tapped", "two-phase",
    "two-phase-tapped", "two-phase-common", "four-coils",  "unlike-windings",    "none",
    "unclear"};
static const char *const DOUBT_NAMES[] = {
    "leads_not_taken_off", "too_small_to_tell", "leak",        "broken",     "uneven",
    "capacitor",           "no_magnets",        "sensor_coil", "unmeasured", "not_known"};
_Static_assert(sizeof KIND_NAMES / sizeof *KIND_NAMES == SW_WIRES_KIND_COUNT, "a name a kind");
_Static_assert(sizeof ROLE_NAMES / sizeof *ROLE_NAMES == SW_ROLE_COUNT, "a name a role");
_Static_assert(sizeof MACHINE_NAMES / sizeof *MACHINE_NAMES == SW_MACHINE_COUNT, "a name each");
_Static_assert(sizeof DOUBT_NAMES / sizeof *DOUBT_NAMES == SW_DOUBT_COUNT, "a name a doubt");

const char *sw_wire_kind_name(sw_wire_kind kind) {
    return KIND_NAMES[kind];
}

const char *sw_wire_role_name(sw_wire_role role) {
    return ROLE_NAMES[role];
}

const char *sw_wire_machine_name(sw_wire_machine machine) {
    return MACHINE_NAMES[machine];
}

const char *sw_wire_doubt_name(sw_wire_doubt_code code) {
    return DOUBT_NAMES[code];
}

const char *sw_wire_weight_name(sw_wire_weight weight) {
    static const char *const NAMES[] = {NULL, "thin", "thick"};
    return NAMES[weight];
}

void sw_wires_init(sw_wires *wires, int count) {
    memset(wires, 0, sizeof *wires);
    wires->count = count;
    wires->test_leads = sw_quantity_unknown();
    for (int a = 0; a < SW_WIRE_LIMIT; a++)
        for (int b = 0; b < SW_WIRE_LIMIT; b++) {
            wires->pair[a][b].ohm = sw_quantity_unknown();
            wires->pair[a][b].volts = sw_quantity_unknown();
        }
}

sw_wire_pair *sw_wires_pair(sw_wires *wires, int a, int b) {
    return a < b ? &wires->pair[a][b] : &wires->pair[b][a];
}

void sw_wires_doubt(sw_wire_finding *finding, sw_wire_doubt_code code, const char *format, ...) {
    if (finding->doubts == SW_WIRE_DOUBT_LIMIT)
        return;
    sw_wire_doubt *doubt = &finding->doubt[finding->doubts++];
    doubt->code = code;
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(doubt->message, sizeof doubt->message, format, arguments);
    va_end(arguments);
}

void sw_wires_number_text(double value, char *out, size_t room) {
    int decimals = value < 1 ? 2 : value < 100 ? 1 : 0;
    snprintf(out, room, "%.*f", decimals, value);
}
