/* The short answer holds what the builder needs to decide and to act, in a fixed order: answer,
 * why, what to do, what it gives, what can hurt, what to measure next. Everything else is a part
 * that is printed when it is asked for (match_parts.c). Cautions are printed with whatever is
 * printed. */
#include "src/report/match_text.h"

#include "src/report/advice_text.h"
#include "src/report/claim_text.h"
#include "src/report/match_parts.h"
#include "src/report/say.h"
#include "src/report/sure_text.h"

#include <math.h>

/* No reading saves a motor that is to be left in all but so many cases. */
static const double SETTLED = 0.95;

/* What the documents themselves should tell their builder: surface that is no swept area, rows left
 * out of a wind file. */
static void say_notes(const sw_match_request *request, sw_text *text) {
    const char *const notes[] = {request->rotor->note, request->site->note};
    for (size_t i = 0; i < sizeof notes / sizeof *notes; i++) {
        if (*notes[i] == '\0')
            continue;
        sw_text_add(text, "\n");
        sw_text_paragraph(text, 0, "%s", notes[i]);
    }
}

static void say_short(const sw_match_request *request, const sw_match *match,
                      const sw_match_text_options *options, sw_text *text) {
    bool us = options->us;
    bool built = match->full && match->verdict != SW_VERDICT_LEAVE;
    if (!match->recommended && isfinite(match->cut_in_rpm))
        sw_text_paragraph(text, 0, "It starts charging (cut-in) at %s.",
                          sw_say_value(us, match->cut_in_rpm, "rpm").text);
    sw_advice_why(match, us, text);
    say_notes(request, text);
    if (match->claim_checked)
        sw_claim_text(&match->claim, us, text);
    if (match->recommended)
        sw_advice_do(match, request->machines, us, text);
    if (built)
        sw_advice_gives(match, us, text);
    sw_advice_hurts(match, us, text);
    if (options->parts == 0 && match->verdict != SW_VERDICT_NOT_YET &&
        !(match->verdict == SW_VERDICT_LEAVE && match->sure.verdict_stands > SETTLED))
        sw_sure_next_text(match, request->motor, options->motor_file, text);
}

void sw_match_text(const sw_match_request *request, const sw_match *match,
                   const sw_match_text_options *options, sw_text *text) {
    bool all = options->parts == SW_MATCH_ALL_PARTS;
    sw_advice_verdict(request->motor, match, text);
    if (options->parts == 0 || all)
        say_short(request, match, options, text);
    else if (sw_match_parts_lack(match, options->parts))
        sw_advice_why(match, options->us, text);
    sw_match_parts_text(request, match, options, text);
    if (options->parts == 0)
        sw_match_parts_list(match, text);
    else if (!all)
        sw_advice_hurts(match, options->us, text);
}
