#include "src/report/rank_text.h"

#include "src/report/remark_text.h"
#include "src/report/say.h"

#include <stdio.h>

/* Words before and behind the reason's first value; behind NULL: no value is told. */
static const struct {
    sw_remark_code code;
    const char *before;
    const char *behind;
} SAID[] = {
    {SW_REASON_NO_MAGNETS, "cannot generate, no magnets turn in it", NULL},
    {SW_REASON_NO_CURRENT, "needs ", " to charge, more than any drive here gives"},
    {SW_REASON_STARTS_LATE, "too stiff to start, moves only from ", " on"},
    {SW_REASON_NEEDS_PUSH, "too stiff to start by itself; pushed, it charges from ", " on"},
    {SW_REASON_START_BY, "too stiff to start at the wind asked for, needs ", ""},
    {SW_REASON_START_COSTS, "starting as early as asked for costs it most of ", " a year"},
    {SW_REASON_DOUBLER, "only with a doubler; behind a plain bridge ", " a year"},
    {SW_REASON_LITTLE_ENERGY, "little to gain, ", " a year"},
    {SW_REASON_GUESSED_WIND, "if the guessed wind holds", NULL},
    {SW_REASON_GUESSED_ROTOR, "if the rotor catches what was assumed", NULL},
    {SW_REASON_GUESSED_WINDING, "if the winding is as assumed", NULL},
    {SW_REASON_GUESSED_DRAG, "if drag and cogging are as usual", NULL},
    {SW_REASON_STARTS_ABOVE_MEAN, "starts only at ", ""},
    {SW_REASON_ENERGY, "fits this rotor", NULL},
    {SW_MISSING_RESISTANCE, "measure its winding in ohms first", NULL},
    {SW_MISSING_POLE_PAIRS, "find its pole pairs or its speed first", NULL},
    {SW_MISSING_CONSTANT, "measure its volts at a known speed first", NULL},
    {SW_MISSING_PHASES, "find how many phases it has first", NULL},
    {SW_REASON_POOR_SHARE, "uses only ", " of the rotor's best"},
};

/* What decides, in a few words; the others say their whole sentence. */
void sw_rank_reason(bool us, const sw_remark *reason, char *out, size_t room) {
    sw_said first = sw_say(us, reason->first);
    if (reason->code == SW_REASON_OTHER_WHEEL) {
        snprintf(out, room, "needs a different wheel, one of %s would give %s a year",
                 sw_say_size(us, reason->first.value).text, sw_say(us, reason->second).text);
        return;
    }
    if (reason->code == SW_REASON_POOR_SHARE && reason->first.value < 1) {
        snprintf(out, room, "uses hardly anything of the rotor's best");
        return;
    }
    for (size_t i = 0; i < sizeof SAID / sizeof *SAID; i++)
        if (SAID[i].code == reason->code) {
            bool told = SAID[i].behind != NULL;
            snprintf(out, room, "%s%s%s", SAID[i].before, told ? first.text : "",
                     told ? SAID[i].behind : "");
            return;
        }
    sw_remark_say(us, reason, out, room);
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
