#include "src/report/rank_text.h"

#include "src/report/remark_text.h"
#include "src/report/say.h"

#include <stdio.h>

/* What decides, in a few words; the others say their whole sentence. */
void sw_rank_reason(bool us, const sw_remark *reason, char *out, size_t room) {
    sw_said first = sw_say(us, reason->first);
    switch (reason->code) {
    case SW_REASON_NO_MAGNETS:
        snprintf(out, room, "cannot generate, no magnets turn in it");
        return;
    case SW_REASON_NO_CURRENT:
        snprintf(out, room, "needs %s to charge, more than any drive here gives", first.text);
        return;
    case SW_REASON_STARTS_LATE:
        snprintf(out, room, "too stiff to start, moves only from %s on", first.text);
        return;
    case SW_REASON_NEEDS_PUSH:
        snprintf(out, room, "too stiff to start by itself; pushed, it charges from %s on",
                 first.text);
        return;
    case SW_REASON_START_BY:
        snprintf(out, room, "too stiff to start at the wind asked for, needs %s", first.text);
        return;
    case SW_REASON_START_COSTS:
        snprintf(out, room, "starting as early as asked for costs it most of %s a year",
                 first.text);
        return;
    case SW_REASON_DOUBLER:
        snprintf(out, room, "only with a doubler; behind a plain bridge %s a year", first.text);
        return;
    case SW_REASON_OTHER_WHEEL: {
        sw_said size = sw_say_size(us, reason->first.value);
        sw_said second = sw_say(us, reason->second);
        snprintf(out, room, "needs a different wheel, one of %s would give %s a year", size.text,
                 second.text);
        return;
    }
    case SW_REASON_LITTLE_ENERGY:
        snprintf(out, room, "little to gain, %s a year", first.text);
        return;
    case SW_REASON_POOR_SHARE:
        if (reason->first.value < 1) {
            snprintf(out, room, "uses hardly anything of the rotor's best");
            return;
        }
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

const char *sw_rank_motor(const sw_rank_request *request, const sw_rank_names *names,
                          const sw_rank_row *row) {
    const char *name = request->motor[row->motor].name;
    return *name != '\0' ? name : names->motor[row->motor];
}

const char *sw_rank_rotor(const sw_rank_request *request, const sw_rank_names *names,
                          const sw_rank_row *row) {
    const char *name = request->rotor[row->rotor].name;
    return *name != '\0' ? name : names->rotor[row->rotor];
}
