#include "src/report/advice_text.h"

#include "shared/constants.h"
#include "src/report/remark_text.h"
#include "src/report/say.h"

#include <math.h>

#define BULLET "  - %s"

/* What is no danger but tells how it runs. */
static bool is_about_running(sw_remark_code code) {
    return code == SW_CAUTION_TWO_SPEEDS || code == SW_CAUTION_START_AT_LEAST;
}

void sw_advice_cautions(const sw_match *match, bool running, bool us, sw_text *text) {
    char sentence[SW_REMARK_ROOM];
    for (size_t i = 0; i < match->cautions.count; i++) {
        const sw_remark *it = &match->cautions.item[i];
        if (is_about_running(it->code) != running || it->code == SW_CAUTION_BOUNCE)
            continue;
        sw_remark_say(us, it, sentence, sizeof sentence);
        sw_text_paragraph(text, 4, BULLET, sentence);
    }
}

static bool volts_cautioned(const sw_match *match) {
    return sw_remarked(&match->cautions, SW_CAUTION_VOLTS_HIGH) ||
           sw_remarked(&match->cautions, SW_CAUTION_VOLTS_TOUCH);
}

static void say_storm(const sw_match *match, bool us, sw_text *text) {
    static const char *const LOST[] = {[SW_LOAD_BATTERY] = "battery full, fuse blown",
                                       [SW_LOAD_RESISTOR] = "a wire off",
                                       [SW_LOAD_CONVERTER] = "converter off, fuse blown"};
    const sw_storm_row *storm = &match->storm.row[match->storm.site_row];
    sw_text line = {0};
    sw_text_add(&line, "A storm of %s with the load lost (%s): rotor %.0f rpm, motor %s",
                sw_say_value(us, storm->wind_m_s, "m/s").text, LOST[match->load.kind],
                storm->rotor_rad_s * SW_RPM_PER_RAD_S,
                sw_say_value(us, storm->generator_rpm, "rpm").text);
    if (!volts_cautioned(match))
        sw_text_add(&line, ", %s DC on open wires", sw_say_value(us, storm->dc_v, "V").text);
    if (isfinite(match->vane.wind_n))
        sw_text_add(&line, ", wind on each vane %s",
                    sw_say_value(us, match->vane.wind_n, "N").text);
    sw_text_paragraph(text, 4, BULLET ".", sw_text_string(&line));
    sw_text_carry(&line, text);
}

static void say_tonight(const sw_match *match, bool us, sw_text *text) {
    bool battery = match->load.kind == SW_LOAD_BATTERY;
    sw_text line = {0};
    sw_text_add(&line,
                "Before you leave it alone tonight: the brake or tie-down was tried (on before "
                "%s%s)",
                sw_say_value(us, match->sheet.stop_wind, "m/s").text,
                match->sheet.brake_trusted ? "" : "; shorting the motor's wires does not count");
    if (!volts_cautioned(match))
        sw_text_add(&line, ", every terminal is covered");
    if (battery)
        sw_text_add(&line, ", the fuse is in, the dump load (takes what a full battery does not) "
                           "was seen to switch on");
    sw_text_paragraph(text, 4, BULLET ".", sw_text_string(&line));
    sw_text_carry(&line, text);
}

void sw_advice_hurts(const sw_match *match, bool us, sw_text *text) {
    bool built = match->full && match->verdict != SW_VERDICT_LEAVE;
    if (match->cautions.count == 0)
        return;
    sw_text_add(text, "\nWhat can hurt\n");
    if (match->full)
        say_storm(match, us, text);
    sw_advice_cautions(match, false, us, text);
    if (built)
        say_tonight(match, us, text);
}
