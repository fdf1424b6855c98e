#include "src/measure/marks.h"

#include <math.h>
#include <stdio.h>

enum { PLACES_SHOWN = 4, PIECE_ROOM = 100 };

static void say_places(const sw_marks *marks, char *out, size_t room) {
    size_t used = 0;
    snprintf(out, room, "%s", marks->gaps > 0 ? "" : "moments that are not listed");
    for (size_t i = 0; i < marks->gaps && i < PLACES_SHOWN && used < room; i++) {
        int length =
            snprintf(out + used, room - used, "%s%.2f s", i > 0 ? ", " : "", marks->gap_s[i]);
        used += length > 0 ? (size_t)length : room;
    }
    if (marks->gaps > PLACES_SHOWN && used < room)
        snprintf(out + used, room - used, " ...");
}

static void say_losses(const sw_marks *marks, char *out, size_t room) {
    if (marks->stalls == 0)
        snprintf(out, room, "%zu overrun%s", marks->overruns, marks->overruns == 1 ? "" : "s");
    else if (marks->overruns == 0)
        snprintf(out, room, "%zu pause%s of the input", marks->stalls,
                 marks->stalls == 1 ? "" : "s");
    else
        snprintf(out, room, "%zu overruns and pauses", marks->overruns + marks->stalls);
}

void sw_marks_warn(const sw_marks *marks, double rate_hz, sw_motor *motor) {
    char losses[PIECE_ROOM];
    char places[PIECE_ROOM];
    char used[PIECE_ROOM];
    if (marks->overruns + marks->stalls > 0) {
        say_losses(marks, losses, sizeof losses);
        say_places(marks, places, sizeof places);
        snprintf(used, sizeof used, "only %.2f to %.2f s, without a gap, was used", marks->from_s,
                 marks->to_s);
        sw_motor_warn(motor, SW_WARN_OVERRUN,
                      "the recording has gaps: %s at %s (%s%.2g s missing); %s", losses, places,
                      marks->lost_is_least ? "at least " : "about ", marks->lost_s,
                      marks->cut ? used
                                 : "no piece without a gap is long enough, so that nothing "
                                   "here is sure: record again");
    }
    if (marks->wrong_rate && isfinite(marks->rate_hz))
        sw_motor_warn(motor, SW_WARN_RATE_DOUBTFUL,
                      "while recording %.6g samples a second came by the computer's clock, not "
                      "%.6g: hertz and rpm are %.2g %% too %s; measure again with --rate %.0f",
                      marks->rate_hz, rate_hz, 100 * fabs(marks->rate_hz / rate_hz - 1),
                      marks->rate_hz > rate_hz ? "low" : "high", marks->rate_hz);
}
