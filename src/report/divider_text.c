#include "src/report/divider_text.h"

#include "shared/json_write.h"
#include "src/report/words.h"

#include <math.h>
#include <stdio.h>

enum { SENTENCE_ROOM = 400 };

/* "470 ohm", "12 kohm", "1.5 Mohm". */
static void ohms(double ohm, char *out, size_t room) {
    if (ohm >= 1e6)
        snprintf(out, room, "%.3g Mohm", ohm / 1e6);
    else if (ohm >= 1e3)
        snprintf(out, room, "%.3g kohm", ohm / 1e3);
    else
        snprintf(out, room, "%.3g ohm", ohm);
}

static const char *input_words(sw_input_kind input) {
    static const char *const WORDS[] = {"line input", "headset's microphone jack",
                                        "USB sound adapter"};
    return WORDS[input];
}

static const char *fixed_warning(sw_divider_warning warning) {
    static const char *const WORDS[SW_DIVIDER_WARNINGS] = {
        [SW_DIVIDER_MAINS_ADAPTER] =
            "A laptop on its mains adapter ties the motor to earth: pull the adapter out and run "
            "on battery while the motor is connected.",
        [SW_DIVIDER_ONE_HAND] =
            "Connect with everything at rest. While it turns, keep one hand away from all bare "
            "metal: never both hands.",
        [SW_DIVIDER_NOT_CALIBRATED] =
            "The input's full scale is a usual value, not yours: volts are rough until "
            "`spinworth calibrate` has been run.",
        [SW_DIVIDER_HAND_READING] =
            "A multimeter reads low on slow AC, so the hand reading may be too small: begin at a "
            "low drill speed and watch the level.",
        [SW_DIVIDER_UNKNOWN_VOLTS] = "400 V is a safe guess, not a reading: a first step only.",
        [SW_DIVIDER_QUIET] =
            "Only a small part of the input's range is used: noise and hum will show.",
    };
    return WORDS[warning] != NULL ? WORDS[warning] : "";
}

/* One sentence on a warning. */
static void say_warning(const sw_divider *divider, sw_divider_warning warning, char *out,
                        size_t room) {
    if (warning == SW_DIVIDER_OPEN_VOLTS)
        snprintf(out, room,
                 "The motor's open wires may reach %.0f V (peaks of %.0f V), more than bare ends "
                 "may have (25 V AC in the dry): cover every joint before it turns.",
                 divider->volts, divider->peak_v);
    else if (warning == SW_DIVIDER_MICROPHONE_BIAS)
        snprintf(out, room,
                 "A microphone jack puts 2 to 5 V DC on its contact: the capacitor is not "
                 "optional; if it has a plus side, that side goes to the jack. "
                 "Wait ten seconds after plugging in.");
    else if (warning == SW_DIVIDER_LOADING)
        snprintf(out, room, "The divider takes %.2g %% of the volts of a coil of %.3g ohm.",
                 100 * divider->loading, divider->coil_ohm);
    else if (warning == SW_DIVIDER_LOW_CUT)
        snprintf(
            out, room,
            "This capacitor cuts below %.2g Hz: a larger one keeps slow turning readable, and a "
            "second low cut out of the calibration.",
            divider->own_low_cut_hz);
    else
        snprintf(out, room, "%s", fixed_warning(warning));
}

static void say_parts(const sw_divider *divider, sw_text *text) {
    char part[32];
    char bottom[32];
    ohms(divider->part_ohm, part, sizeof part);
    ohms(divider->bottom_ohm, bottom, sizeof bottom);
    if (divider->parts > 1)
        sw_text_add(text, "\n  R1      %d x %s in series\n", divider->parts, part);
    else
        sw_text_add(text, "\n  R1      %s\n", part);
    sw_text_add(text, "  R2      %s\n", bottom);
    if (divider->capacitor_uf > 0)
        sw_text_add(text, "  C       %.4g uF\n", divider->capacitor_uf);
    else
        sw_text_add(text, "  C       none, a wire: a line input has its own inside\n");
    if (divider->diodes > 1)
        sw_text_add(text,
                    "  clamps  %d small silicon diodes in series one way, and %d in series\n"
                    "          the other way, side by side across R2\n",
                    divider->diodes, divider->diodes);
    else
        sw_text_add(text, "  clamps  two small silicon diodes side by side across R2, one each "
                          "way\n");
}

static void say_sketch(const sw_divider *divider, sw_text *text) {
    sw_text_add(text, "\nWiring\n"
                      "  motor wire 1 ---[ R1 ]---+----------+---||--- input contact (tip)\n"
                      "                           |          |    C\n"
                      "                         [ R2 ]   [ clamps ]\n"
                      "                           |          |\n"
                      "  motor wire 2 ------------+----------+-------- input ground (sleeve)\n");
    say_parts(divider, text);
    sw_text_paragraph(text, 2,
                      "  A third motor wire on a second channel gets its own R1, R2, C and "
                      "clamps; wire 2 stays the common one.");
}

static void say_numbers(const sw_divider *divider, sw_text *text) {
    char line[200];
    char load[32];
    ohms(divider->load_ohm, load, sizeof load);
    sw_text_add(text, "\nNumbers (\u00b1 is two standard uncertainties)\n");
    int digits = divider->ratio.value < 100 ? 2 : 0;
    snprintf(line, sizeof line, "%.*f \u00b1 %.*f to 1", digits, divider->ratio.value, digits,
             2 * divider->ratio.u);
    sw_words_text_row(text, "ratio", line);
    snprintf(line, sizeof line,
             "%.0f %% of full scale (%.2g V peak at the input) at %.0f V (peak %.0f V)",
             100 * divider->level, divider->peak_v / divider->ratio.value, divider->volts,
             divider->peak_v);
    sw_words_text_row(text, "expected level", line);
    snprintf(line, sizeof line, "about %.3g V, \u00b1%.0f %% until it is calibrated",
             divider->profile.volts_per_unit.value,
             200 * divider->profile.volts_per_unit.u / divider->profile.volts_per_unit.value);
    sw_words_text_row(text, "motor volts at full scale", line);
    snprintf(line, sizeof line, "%s: takes %.1g %% from a coil of %.3g ohm", load,
             100 * divider->loading, divider->coil_ohm);
    sw_words_text_row(text, "the motor sees", line);
    if (divider->capacitor_uf > 0)
        snprintf(line, sizeof line, "%.2g Hz by C, besides the input's own",
                 divider->own_low_cut_hz);
    else
        snprintf(line, sizeof line, "the input's own, usually 2 to 16 Hz");
    sw_words_text_row(text, "low cut", line);
    snprintf(line, sizeof line,
             "take %.1g %% at that peak, 0.1 %% at %.0f %% of full scale; "
             "hold an overload near %.1f V",
             100 * divider->clamp_share, 100 * divider->linear_limit, divider->clamp_v);
    sw_words_text_row(text, "clamps", line);
    snprintf(line, sizeof line,
             "\u00b1%.3g %%, %g W ones do: heat %.2g W in each part of R1, %.1g W in R2; "
             "%.0f V across each part",
             100 * divider->tolerance, SW_DIVIDER_RATING_W, divider->part_w, divider->bottom_w,
             divider->part_v);
    sw_words_text_row(text, "resistors", line);
}

/* A command stands on a line of its own, so that it can be copied. */
static void say_next(const sw_divider *divider, const char *saved_as, sw_text *text) {
    sw_text_add(text, "\nNext\n  ");
    if (divider->warning[SW_DIVIDER_UNKNOWN_VOLTS]) {
        sw_text_paragraph(text, 2,
                          "Turn the motor by hand with a multimeter on its highest AC range "
                          "across two wires, count turns and seconds, and design again:");
        sw_text_add(text, "    spinworth divider --hand '3 V at 10 turns in 12 s' --top 800rpm\n");
        return;
    }
    if (saved_as == NULL)
        sw_text_paragraph(text, 2, "Save this design: the same again with --probe-out probe.json.");
    else
        sw_text_paragraph(text, 2, "Saved as %s.", saved_as);
    sw_text_paragraph(text, 2,
                      "  Build it, check R1 and R2 with the multimeter, then calibrate: start");
    sw_text_add(text, "    spinworth record taps.wav\n");
    sw_text_paragraph(text, 2,
                      "  touch a battery (9 V block) to the motor side ten times, half a second "
                      "each, five times either way round, press Ctrl-C, and type");
    sw_text_add(text, "    spinworth calibrate taps.wav --battery 9.2V --into %s\n",
                saved_as != NULL ? saved_as : "probe.json");
}

void sw_divider_text(const sw_divider *divider, sw_input_kind input, const char *saved_as,
                     sw_text *text) {
    char part[32];
    char bottom[32];
    ohms(divider->part_ohm, part, sizeof part);
    ohms(divider->bottom_ohm, bottom, sizeof bottom);
    sw_text_paragraph(text, 0,
                      "Use %d resistor%s of %s and one of %s: up to %.0f V AC from the motor then "
                      "fit a %s.",
                      divider->parts, divider->parts > 1 ? "s" : "", part, bottom, divider->volts,
                      input_words(input));
    say_sketch(divider, text);
    say_numbers(divider, text);
    say_next(divider, saved_as, text);
    sw_text_add(text, "\nCautions\n");
    for (int w = 0; w < SW_DIVIDER_WARNINGS; w++) {
        char sentence[SENTENCE_ROOM];
        if (!divider->warning[w])
            continue;
        say_warning(divider, (sw_divider_warning)w, sentence, sizeof sentence);
        sw_text_paragraph(text, 2, "  %s", sentence);
    }
}

static void add_warnings(const sw_divider *divider, cJSON *root) {
    cJSON *list = cJSON_AddArrayToObject(root, "warnings");
    for (int w = 0; w < SW_DIVIDER_WARNINGS; w++) {
        char sentence[SENTENCE_ROOM];
        if (!divider->warning[w])
            continue;
        cJSON *item = cJSON_CreateObject();
        say_warning(divider, (sw_divider_warning)w, sentence, sizeof sentence);
        cJSON_AddStringToObject(item, "code", sw_divider_warning_name((sw_divider_warning)w));
        cJSON_AddStringToObject(item, "message", sentence);
        cJSON_AddItemToArray(list, item);
    }
}

static void add_parts(const sw_divider *divider, cJSON *root) {
    sw_json_add_number(root, "top_parts", divider->parts);
    sw_json_add_quantity(root, "top_resistor", sw_quantity_of(divider->part_ohm, NAN, "ohm"));
    sw_json_add_quantity(root, "bottom_resistor", sw_quantity_of(divider->bottom_ohm, NAN, "ohm"));
    sw_json_add_number(root, "tolerance", divider->tolerance);
    sw_json_add_quantity(root, "power_rating", sw_quantity_of(SW_DIVIDER_RATING_W, NAN, "W"));
    sw_json_add_quantity(root, "top_power", sw_quantity_of(divider->part_w, NAN, "W"));
    sw_json_add_quantity(root, "bottom_power", sw_quantity_of(divider->bottom_w, NAN, "W"));
    sw_json_add_quantity(root, "top_voltage", sw_quantity_of(divider->part_v, NAN, "V"));
    sw_json_add_quantity(root, "capacitor", sw_quantity_of(divider->capacitor_uf, NAN, "uF"));
    sw_json_add_number(root, "clamp_diodes", divider->diodes);
    sw_json_add_number(root, "clamp_share", divider->clamp_share);
    sw_json_add_quantity(root, "clamp_voltage", sw_quantity_of(divider->clamp_v, NAN, "V"));
}

cJSON *sw_divider_to_json(const sw_divider *divider, sw_input_kind input) {
    cJSON *root = sw_json_document("divider");
    sw_json_add_text(root, "input", SW_INPUT_NAMES[input]);
    sw_json_add_quantity(root, "voltage", sw_quantity_of(divider->volts, NAN, "V"));
    sw_json_add_quantity(root, "peak_voltage", sw_quantity_of(divider->peak_v, NAN, "V"));
    add_parts(divider, root);
    sw_json_add_quantity(root, "ratio", divider->ratio);
    sw_json_add_number(root, "level", divider->level);
    sw_json_add_quantity(root, "input_peak",
                         sw_quantity_of(divider->peak_v / divider->ratio.value, NAN, "V"));
    sw_json_add_quantity(root, "input_impedance", divider->impedance);
    sw_json_add_quantity(root, "input_full_scale", divider->full_scale);
    sw_json_add_quantity(root, "load", sw_quantity_of(divider->load_ohm, NAN, "ohm"));
    sw_json_add_number(root, "loading", divider->loading);
    sw_json_add_quantity(root, "low_cut", sw_quantity_of(divider->own_low_cut_hz, NAN, "Hz"));
    sw_json_add_number(root, "linear_limit", divider->linear_limit);
    sw_json_add_quantity(root, "volts_per_unit", divider->profile.volts_per_unit);
    add_warnings(divider, root);
    return root;
}
