#include "src/report/winds_text.h"

#include "shared/constants.h"
#include "src/report/remark_text.h"
#include "src/report/say.h"
#include "src/report/seasons_text.h"
#include "src/report/words.h"

#include <math.h>
#include <stdio.h>

/* Watts below are said with a tenth. */
static const double TENTHS_W = 9.95;

static void say_curve_rows(const sw_match *match, bool us, bool details, sw_text *text) {
    enum { TOP = 16 };
    int step = details ? 1 : 2;
    sw_text_add(text, "\nIn a steady wind, while it runs\n");
    sw_text_add(text, "  %-10s %10s %12s %10s\n", "wind", "rotor rpm", "motor rpm", "watts DC");
    for (int wind = 2; wind <= fmin(match->curve.top_wind, TOP); wind += step) {
        double speed = sw_plant_settle(&match->plant, wind, 0).running_rad_s;
        double watts = sw_plant_at(&match->plant, SW_GENERATOR_DC_POWER, speed);
        sw_text_add(text, "  %-10s %10.0f %12s %10.*f\n", sw_say_value(us, wind, "m/s").text,
                    speed * SW_RPM_PER_RAD_S,
                    sw_say_value(us, sw_plant_generator_rpm(&match->plant, speed), "1").text,
                    watts < TENTHS_W ? 1 : 0, watts);
    }
}

/* Seconds to two figures, minutes when there are many. */
static sw_said time_said(double seconds) {
    static const double MINUTES_FROM_S = 180;
    char number[24];
    sw_said said;
    bool minutes = seconds >= MINUTES_FROM_S;
    sw_words_number(minutes ? seconds / 60 : seconds, 2, number, sizeof number);
    snprintf(said.text, sizeof said.text, "%s %s", number, minutes ? "minutes" : "s");
    return said;
}

static void say_outlook(const sw_match *match, bool us, sw_text *text) {
    const sw_outlook *outlook = &match->outlook;
    sw_text_add(text, "\nThe same machine if the mean wind is another\n");
    for (size_t i = 0; i < SW_OUTLOOK_ROWS; i++) {
        const sw_outlook_row *it = &outlook->row[i];
        sw_said wind = sw_say_value(us, it->mean_wind, "m/s");
        sw_said energy = sw_say_value(us, it->pushed ? it->running_kwh : it->started_kwh, "kWh");
        sw_text_add(text, "  %-10s %10s a year  %s%s\n", wind.text, energy.text,
                    sw_verdict_said(it->verdict), it->pushed ? ", started by hand" : "");
    }
    if (isfinite(outlook->turns_at))
        sw_text_paragraph(text, 2, "  It is worth using from a mean wind of %s on.",
                          sw_say_value(us, outlook->turns_at, "m/s").text);
}

static void say_spin_up(const sw_match *match, bool us, sw_text *text) {
    const sw_spin_ups *it = &match->spin_up;
    if (!it->known) {
        sw_text_paragraph(text, 2,
                          "  How long it takes to spin up is not counted: the rotor's document "
                          "has neither its inertia nor the mass of its vanes.");
        return;
    }
    sw_text_add(text, "\nFrom rest to near that speed, in a steady wind\n");
    for (size_t i = 0; i < SW_SPIN_UPS; i++) {
        const sw_spin_up *row = &it->row[i];
        sw_text_add(text, "  %-10s %s\n", sw_say_value(us, row->wind_m_s, "m/s").text,
                    !row->starts          ? "does not start by itself"
                    : isnan(row->seconds) ? "not known"
                                          : time_said(row->seconds).text);
    }
    sw_text_paragraph(
        text, 2, "  Counted with an inertia of %s%s; gusts shorter than that pass by.",
        sw_say_value(us, it->inertia_kg_m2, "kg m2").text,
        it->from_vanes ? ", of the vanes' mass alone: with its frame it takes longer" : "");
}

void sw_winds_text(const sw_match *match, bool us, bool details, sw_text *text) {
    say_curve_rows(match, us, details, text);
    say_spin_up(match, us, text);
    say_outlook(match, us, text);
    if (!sw_remarked(&match->reasons, SW_REASON_NEEDS_PUSH))
        sw_months_text(&match->seasons, us, text);
    else if (match->seasons.monthly)
        sw_text_add(text, "\nThe months are not counted for a rotor that is started by hand.\n");
}
