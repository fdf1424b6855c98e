#include "src/report/calibrate_text.h"

#include "shared/json_write.h"
#include "src/report/words.h"

#include <math.h>
#include <stdio.h>

enum { SENTENCE_ROOM = 400 };

static bool is_taps(const sw_calibration *calibration) {
    return isnan(calibration->frequency_hz);
}

static const char *fixed_doubt(sw_calibration_doubt doubt) {
    static const char *const WORDS[SW_CALIBRATION_DOUBTS] = {
        [SW_CALIBRATION_CLIPPED] = "The recording reaches full scale somewhere: turn the input "
                                   "down, or take a smaller battery, and record again.",
        [SW_CALIBRATION_ONE_SIDED] = "All touches were the same way round: five more with the "
                                     "battery reversed would show whether the input is even.",
        [SW_CALIBRATION_SMALL] = "The steps use less than 2 % of the range: a larger battery "
                                 "(a 9 V block, two in series) makes the result surer.",
        [SW_CALIBRATION_TWO_LOW_CUTS] =
            "The steps sink back as through two low cuts in series (a series capacitor and the "
            "input's own): the result is unsure by that. Take a ten times larger capacitor, or "
            "none where the input has its own, and record again.",
        [SW_CALIBRATION_NO_LOW_CUT] = "The input's low cut is a guess and matters at this "
                                      "frequency: a battery tap would measure it.",
        [SW_CALIBRATION_CLOCK_POOR] = "The clock was left as it is: this frequency is known no "
                                      "better than the clock itself (the mains are only good to "
                                      "0.1 %).",
        [SW_CALIBRATION_METER_GUESS] =
            "The meter's accuracy was not stated, a usual one is taken (write it behind the volts: "
            "'9.2 V \u00b1 0.02').",
    };
    return WORDS[doubt] != NULL ? WORDS[doubt] : "";
}

/* One sentence on a doubt. */
static void say_doubt(const sw_calibration *calibration, const sw_profile *profile,
                      sw_calibration_doubt doubt, char *out, size_t room) {
    double step = fmax(calibration->step[0], calibration->step[1]);
    if (doubt == SW_CALIBRATION_CLAMPED)
        snprintf(out, room,
                 "The steps reach %.0f %% of full scale, where the clamps conduct (%.0f %%): take "
                 "a smaller battery.",
                 100 * step, 100 * profile->linear_limit);
    else if (doubt == SW_CALIBRATION_UNEQUAL)
        snprintf(out, room,
                 "Plus and minus differ by %.2g %%: a clamp the wrong way round, or an input "
                 "that is not even.",
                 100 * calibration->polarity);
    else if (doubt == SW_CALIBRATION_NOT_LINEAR)
        snprintf(out, room,
                 "The two batteries differ by %.2g %%: one was read wrong, or the input is not "
                 "straight (automatic level? clamps?).",
                 100 * calibration->linearity);
    else if (doubt == SW_CALIBRATION_LOW_CUT)
        snprintf(out, room,
                 "A low cut of %.3g Hz is high for a sound input: is there a filter switched on, "
                 "or a very small capacitor?",
                 calibration->low_cut_hz.value);
    else if (doubt == SW_CALIBRATION_CLOCK_FAR)
        snprintf(out, room,
                 "That would be a clock error of %.0f parts in a million, which no crystal has: "
                 "is the frequency right? The clock was left as it is.",
                 1e6 * calibration->clock_error.value);
    else if (doubt == SW_CALIBRATION_CHANGED)
        snprintf(out, room,
                 "The document said %.4g V before: %.2g %% away, more than its uncertainty. A "
                 "wrong resistor, another gain setting, or a wrong reading?",
                 calibration->before,
                 100 * fabs(profile->volts_per_unit.value / calibration->before - 1));
    else
        snprintf(out, room, "%s", fixed_doubt(doubt));
}

static void say_answer(const sw_calibration *calibration, const sw_profile *profile,
                       sw_text *text) {
    double value = profile->volts_per_unit.value;
    double percent = 200 * profile->volts_per_unit.u / value;
    sw_text_paragraph(
        text, 0, "Full scale is %.4g V at the motor, good to \u00b1%.2g %%, from %zu %s.", value,
        percent, calibration->used,
        is_taps(calibration) ? "touches of the battery" : "pieces of a steady stretch");
    if (!is_taps(calibration))
        return;
    if (profile->low_cut_hz.value > 0)
        sw_text_paragraph(text, 0,
                          "To check: touch the battery again; the needle jumps to %.0f %% of full "
                          "scale and sinks back within about %.2g s.",
                          100 * calibration->step[0], 0.5 / profile->low_cut_hz.value);
    else
        sw_text_paragraph(text, 0, "The input passes a steady voltage: no low cut.");
}

static void say_tap_numbers(const sw_calibration *calibration, sw_text *text) {
    char line[160];
    snprintf(line, sizeof line, "%zu (%zu one way round, %zu the other), %zu left out",
             calibration->used, calibration->plus, calibration->minus, calibration->rejected);
    sw_words_text_row(text, "touches used", line);
    if (!isnan(calibration->polarity)) {
        snprintf(line, sizeof line, "%+.2f \u00b1 %.2f %%", 100 * calibration->polarity,
                 200 * calibration->polarity_u);
        sw_words_text_row(text, "plus against minus", line);
    }
    if (!isnan(calibration->linearity)) {
        snprintf(line, sizeof line, "%+.2f \u00b1 %.2f %%", 100 * calibration->linearity,
                 200 * calibration->linearity_u);
        sw_words_text_row(text, "battery against battery", line);
    }
}

static void say_reference_numbers(const sw_calibration *calibration, sw_text *text) {
    char line[160];
    snprintf(line, sizeof line, "%.2f s to %.2f s", calibration->from_s, calibration->to_s);
    sw_words_text_row(text, "steady stretch", line);
    sw_words_row(text, "frequency",
                 sw_quantity_of(calibration->frequency_hz, calibration->frequency_u_hz, "Hz"),
                 "by the recording's own clock");
    snprintf(line, sizeof line, "%.2g %% of the fundamental", 100 * calibration->distortion);
    sw_words_text_row(text, "harmonics", line);
}

static void say_numbers(const sw_calibration *calibration, const sw_profile *profile,
                        sw_text *text) {
    char line[160];
    sw_text_add(text, "\nNumbers (\u00b1 is two standard uncertainties)\n");
    sw_words_row(text, "volts per unit", profile->volts_per_unit, "at full scale");
    sw_words_row(text, "low cut", profile->low_cut_hz,
                 sw_quantity_known(calibration->low_cut_hz) ? "measured" : "as it was");
    snprintf(line, sizeof line, "%.0f \u00b1 %.0f parts in a million%s",
             1e6 * profile->clock_error.value, 2e6 * profile->clock_error.u,
             sw_quantity_known(calibration->clock_error) ? "" : ", not compared");
    sw_words_text_row(text, "clock", line);
    if (is_taps(calibration))
        say_tap_numbers(calibration, text);
    else
        say_reference_numbers(calibration, text);
}

static void say_next(const char *saved_as, sw_text *text) {
    sw_text_add(text, "\nNext\n  ");
    if (saved_as == NULL) {
        sw_text_paragraph(text, 2, "Nothing was saved: -o probe.json keeps it.");
        return;
    }
    sw_text_paragraph(text, 2,
                      "Saved as %s, with today's date: tap a battery again after a year. Leave "
                      "gain and wiring alone and spin the motor:",
                      saved_as);
    sw_text_add(text, "    spinworth record --guide motor.wav --probe %s\n", saved_as);
}

void sw_calibrate_text(const sw_calibration *calibration, const sw_profile *profile,
                       const char *saved_as, sw_text *text) {
    bool said = false;
    say_answer(calibration, profile, text);
    say_numbers(calibration, profile, text);
    say_next(saved_as, text);
    for (int d = 0; d < SW_CALIBRATION_DOUBTS; d++) {
        char sentence[SENTENCE_ROOM];
        if (!calibration->doubt[d])
            continue;
        say_doubt(calibration, profile, (sw_calibration_doubt)d, sentence, sizeof sentence);
        sw_text_add(text, "%s", said ? "" : "\nCautions\n");
        sw_text_paragraph(text, 2, "  %s", sentence);
        said = true;
    }
}

static void add_doubts(const sw_calibration *calibration, const sw_profile *profile, cJSON *root) {
    cJSON *list = cJSON_AddArrayToObject(root, "warnings");
    for (int d = 0; d < SW_CALIBRATION_DOUBTS; d++) {
        char sentence[SENTENCE_ROOM];
        if (!calibration->doubt[d])
            continue;
        cJSON *item = cJSON_CreateObject();
        say_doubt(calibration, profile, (sw_calibration_doubt)d, sentence, sizeof sentence);
        cJSON_AddStringToObject(item, "code", sw_calibration_doubt_name((sw_calibration_doubt)d));
        cJSON_AddStringToObject(item, "message", sentence);
        cJSON_AddItemToArray(list, item);
    }
}

cJSON *sw_calibrate_to_json(const sw_calibration *calibration, const sw_profile *profile) {
    cJSON *root = sw_json_document("calibration");
    cJSON_AddItemToObject(root, "probe", sw_profile_to_json(profile));
    sw_json_add_text(root, "method", is_taps(calibration) ? "battery" : "reference");
    sw_json_add_number(root, "used", (double)calibration->used);
    sw_json_add_number(root, "rejected", (double)calibration->rejected);
    sw_json_add_number(root, "peak", calibration->peak);
    if (is_taps(calibration)) {
        if (isnan(calibration->polarity))
            sw_json_add_unknown(root, "polarity", "touches of one polarity only");
        if (isnan(calibration->linearity))
            sw_json_add_unknown(root, "linearity", "one battery only");
        sw_json_add_number(root, "plus", (double)calibration->plus);
        sw_json_add_number(root, "minus", (double)calibration->minus);
        sw_json_add_quantity(root, "polarity",
                             sw_quantity_of(calibration->polarity, calibration->polarity_u, "1"));
        sw_json_add_quantity(root, "linearity",
                             sw_quantity_of(calibration->linearity, calibration->linearity_u, "1"));
    } else {
        sw_json_add_quantity(
            root, "frequency",
            sw_quantity_of(calibration->frequency_hz, calibration->frequency_u_hz, "Hz"));
        sw_json_add_number(root, "distortion", calibration->distortion);
        sw_json_add_number(root, "from_s", calibration->from_s);
        sw_json_add_number(root, "to_s", calibration->to_s);
    }
    add_doubts(calibration, profile, root);
    return root;
}
