#include "src/report/deliver_text.h"

#include "shared/constants.h"
#include "src/match/deliver/deliver_figures.h"
#include "src/report/deliver_json.h"
#include "src/report/say.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Figures shown always, and with --details, in the order of the page. */
static const struct {
    const char *key;
    const char *label;
    bool details;
} lines[] = {
    {"dc_current", "direct current", false},
    {"dc_voltage", "voltage at the rectifier", false},
    {"dc_power", "power at the rectifier", false},
    {"ac_power", "power in the resistors", false},
    {"battery_power", "power into the load", false},
    {"standby_power", "taken by stand-by", true},
    {"resistance_loss", "lost in battery and cable", false},
    {"copper_loss", "lost in the winding", false},
    {"circulating_loss", "of that, going round the delta", true},
    {"diode_loss", "lost in the diodes", false},
    {"drag_loss", "lost to drag", false},
    {"shaft_power", "power at the shaft", false},
    {"shaft_torque", "torque at the shaft", false},
    {"torque_ripple", "torque ripple, peak to peak", true},
    {"phase_current_rms", "current in a winding, rms", false},
    {"phase_current_peak", "current in a winding, peak", true},
    {"diode_peak_inverse", "volts backwards across a diode", false},
    {"dc_ripple", "ripple at the rectifier", true},
    {"frequency", "electrical frequency", true},
    {"power_factor", "power factor at the winding", true},
};

static const sw_figure *figure_named(const char *key) {
    for (size_t f = 0; f < sw_figure_count; f++) {
        if (strcmp(sw_figures[f].key, key) == 0) {
            return &sw_figures[f];
        }
    }
    return NULL;
}

static double got_w(const sw_wiring *wiring, const sw_deliver_load *load,
                    const sw_operating_point *point) {
    if (wiring->rectifier == SW_RECTIFIER_NONE) {
        return point->ac_power_w;
    }
    return load->kind == SW_LOAD_RESISTOR ? point->dc_power_w : point->battery_power_w;
}

static const char *into(sw_load_kind kind) {
    static const char *const words[] = {[SW_LOAD_BATTERY] = "the battery",
                                        [SW_LOAD_RESISTOR] = "the resistor",
                                        [SW_LOAD_CONVERTER] = "the converter"};
    return words[kind];
}

/* measure and match count a 12 V battery at its rest voltage. */
static void write_rest_voltage(const sw_deliver_load *load, sw_text *text) {
    static const double BLOCK_V = 12;
    static const double BLOCK_REST_V = 12.6;
    const double blocks = load->battery_v / BLOCK_V;
    if (load->kind != SW_LOAD_BATTERY || blocks < 1 || fabs(blocks - round(blocks)) > 1e-6) {
        return;
    }
    sw_text_paragraph(text, 0,
                      "That is for a battery that rests at exactly %.0f V. A charged lead battery "
                      "of %.0f V rests at %.1f V, which is what measure and match count with.",
                      load->battery_v, load->battery_v, blocks * BLOCK_REST_V);
}

static bool seeks(const sw_deliver_load *load) {
    return load->kind == SW_LOAD_CONVERTER && load->window_high_v > load->window_low_v;
}

/* Which volts a converter with a window has found, and whether its window holds it back. */
static void write_window(const sw_deliver_load *load, const sw_operating_point *point,
                         sw_text *text) {
    static const double AT_THE_END = 0.995;
    if (!seeks(load)) {
        return;
    }
    const bool clipped = point->dc_voltage_v >= AT_THE_END * load->window_high_v;
    sw_text_paragraph(text, 0,
                      "The converter seeks the most power between %s and %s: here at %s%s.",
                      sw_say_value(false, load->window_low_v, "V").text,
                      sw_say_value(false, load->window_high_v, "V").text,
                      sw_say_value(false, point->dc_voltage_v, "V").text,
                      clipped ? ", the end of its window: a higher one would get more" : "");
}

static void write_nothing(const sw_deliver_load *load, const sw_deliver_answer *answer,
                          sw_text *text) {
    const sw_said speed = sw_say_value(false, answer->point.speed_rpm, "rpm");
    const sw_said cut_in = sw_say_value(false, answer->cut_in_rpm, "rpm");
    if (load->kind == SW_LOAD_RESISTOR) {
        sw_text_paragraph(text, 0, "Nothing comes out at %s.", speed.text);
        return;
    }
    const double from_v = seeks(load) ? load->window_low_v : load->battery_v;
    const sw_said volts = sw_say_value(false, from_v, "V");
    sw_text_paragraph(text, 0,
                      "Nothing comes out at %s: cut-in (where it starts charging %s) is "
                      "at %s.",
                      speed.text, volts.text, cut_in.text);
    write_rest_voltage(load, text);
}

static void write_answer(const sw_wiring *wiring, const sw_deliver_load *load,
                         const sw_deliver_answer *answer, bool us, sw_text *text) {
    const sw_operating_point *p = &answer->point;
    if (p->conduction == SW_CONDUCTION_NONE) {
        write_nothing(load, answer, text);
        return;
    }
    const sw_said speed = sw_say_value(false, p->speed_rpm, "rpm");
    const sw_said watts = sw_say_value(false, got_w(wiring, load, p), "W");
    const sw_said shaft = sw_say_value(false, p->shaft_power_w, "W");
    const sw_said torque = sw_say_value(us, p->shaft_torque_nm, "N m");
    const sw_said cut_in = sw_say_value(false, answer->cut_in_rpm, "rpm");
    sw_text_paragraph(text, 0,
                      "At %s it puts %s into %s and takes %s (%s) from the shaft: %.0f %% gets "
                      "through.",
                      speed.text, watts.text,
                      wiring->rectifier == SW_RECTIFIER_NONE ? "the resistors" : into(load->kind),
                      shaft.text, torque.text, 100.0 * p->efficiency);
    if (load->kind != SW_LOAD_RESISTOR) {
        sw_text_paragraph(text, 0, "Cut-in (where it starts charging) is at %s.", cut_in.text);
        write_window(load, p, text);
        write_rest_voltage(load, text);
    }
}

static void write_check(const sw_wiring *wiring, const sw_deliver_load *load,
                        const sw_operating_point *p, sw_text *text) {
    const sw_said amps = sw_say_value(false, p->dc_current_a, "A");
    const sw_said volts = sw_say_value(false, p->dc_voltage_v, "V");
    if (wiring->rectifier == SW_RECTIFIER_NONE || p->conduction == SW_CONDUCTION_NONE) {
        return;
    }
    if (load->kind == SW_LOAD_RESISTOR) {
        sw_text_paragraph(text, 0,
                          "To check: a meter on DC volts across the resistor should show "
                          "about %s.",
                          volts.text);
        return;
    }
    sw_text_paragraph(text, 0,
                      "To check: an ammeter for direct current in the lead to %s should "
                      "show about %s.",
                      into(load->kind), amps.text);
}

static void write_numbers(const sw_wiring *wiring, const sw_deliver_load *load,
                          const sw_deliver_answer *answer, const sw_deliver_text_options *options,
                          sw_text *text) {
    sw_text_add(text, "\nNumbers (each ± holds 19 times in 20)\n");
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
        const sw_figure *figure = figure_named(lines[i].key);
        const double value = sw_figure_value(figure, &answer->point);
        if ((lines[i].details && !options->details) ||
            sw_figure_absent(figure, wiring, load) != NULL || !isfinite(value)) {
            continue;
        }
        const double u = sw_figure_value(figure, &answer->u);
        sw_text_add(text, "  %-32s %s\n", lines[i].label,
                    sw_say(options->us, sw_quantity_of(value, u, figure->unit)).text);
    }
    if (options->details) {
        sw_text_add(text, "  %-32s %s\n", "current flows",
                    sw_conduction_name(answer->point.conduction));
        sw_text_add(text, "  %-32s %.1e\n", "error of the calculation", answer->point.residual);
    }
}

/* Words for a key that was guessed; NULL when it is its uncertainty that nobody gave. */
static const char *missing_words(const sw_motor *motor, const char *key) {
    if (strcmp(key, "winding_inductance") == 0 && !sw_quantity_known(motor->winding_inductance)) {
        return "Inductance is not measured and counts as none: at high speed the real current may "
               "be far lower. A loaded run tells it.";
    }
    if (strcmp(key, "drag_torque.constant") == 0 &&
        !sw_quantity_known(motor->drag_torque.constant)) {
        return "Drag is not measured and counts as none: the shaft really takes more. A run-down "
               "tells it.";
    }
    if (strcmp(key, "connection") == 0) {
        return "The motor record does not say whether it was measured in star or delta; its values "
               "are taken as those of the connection in use.";
    }
    if (strcmp(key, "circulating_loss") == 0) {
        return "What third harmonics drive round the delta is not known and counts as none. If the "
               "motor turns harder in delta than in star, it is not small.";
    }
    if (strcmp(key, "battery_ohms") == 0) {
        return "The battery's resistance was not given and counts as none: the real current is a "
               "little lower.";
    }
    return NULL;
}

static void write_guesses(const sw_motor *motor, const sw_deliver_answer *answer, sw_text *text) {
    bool any = false;
    for (size_t i = 0; i < answer->guesses; i++) {
        const char *words = missing_words(motor, answer->guess[i]);
        if (words != NULL) {
            sw_text_add(text, "%s", any ? "" : "\nGuessed, not measured\n");
            sw_text_add(text, "  ");
            sw_text_paragraph(text, 2, "%s", words);
            any = true;
        }
    }
}

static void write_cautions(const sw_wiring *wiring, const sw_deliver_answer *answer,
                           sw_text *text) {
    /* 60 V DC is the touch limit of dry bare terminals, IEC 60364-4-41. */
    if (wiring->rectifier == SW_RECTIFIER_NONE) {
        return;
    }
    const sw_said open = sw_say_value(false, answer->open_v, "V");
    sw_text_add(text, "\n");
    sw_text_paragraph(text, 0,
                      "With the load off, the rectifier's terminals rise to %s at this "
                      "speed%s.",
                      open.text,
                      answer->open_v > 60.0 ? ": dangerous to touch (60 V is the limit when dry)"
                                            : "");
}

static void write_heat(const sw_diode_heat *heat, sw_text *text) {
    char sink[160];
    if (heat->block_w > 0.0) {
        sw_text_add(text, "\n");
        sw_text_paragraph(text, 0, "The rectifier's %d diodes give off %s.", heat->diodes,
                          sw_say_value(false, heat->block_w, "W").text);
    }
    if (isfinite(heat->sink_k_w) && heat->block_w > 0.0) {
        sw_sink_say(heat->sink_k_w, sink, sizeof sink);
        sw_text_paragraph(text, 0, "%s",
                          heat->sink_k_w > 0.0
                              ? sink
                              : "No heat sink can keep these diodes cool: use larger ones.");
    }
    if (!heat->current_fine) {
        sw_text_paragraph(text, 0, "The diodes are too small: sold for %s.",
                          sw_say_value(false, heat->rated_a, "A").text);
    }
    if (!heat->inverse_fine) {
        sw_text_paragraph(text, 0,
                          "The diodes hold too few volts: sold for %s, and twice what they see "
                          "with the load off is wanted.",
                          sw_say_value(false, heat->rated_v, "V").text);
    }
}

void sw_deliver_text(const sw_motor *motor, const sw_wiring *wiring, const sw_deliver_load *load,
                     const sw_deliver_answer *answer, const sw_diode_heat *heat,
                     const sw_deliver_text_options *options, sw_text *text) {
    write_answer(wiring, load, answer, options->us, text);
    write_check(wiring, load, &answer->point, text);
    write_numbers(wiring, load, answer, options, text);
    write_guesses(motor, answer, text);
    write_cautions(wiring, answer, text);
    if (heat != NULL) {
        write_heat(heat, text);
    }
}

static const double LBF_FT_NM = SW_POUND_FORCE_N * SW_FOOT_M;

static void column(double value, int width, int decimals, sw_text *text) {
    if (isfinite(value)) {
        sw_text_add(text, "%*.*f", width, decimals, value);
    } else {
        sw_text_add(text, "%*s", width, "-");
    }
}

void sw_sweep_text(const sw_wiring *wiring, const sw_deliver_load *load, const sw_sweep *sweep,
                   bool us, sw_text *text) {
    if (load->kind != SW_LOAD_RESISTOR) {
        sw_text_paragraph(text, 0, "Cut-in (where it starts charging) is at %.1f rpm.",
                          sweep->cut_in_rpm);
    }
    sw_text_add(text, "\n  speed   direct    power   shaft    gets   best constant    best\n");
    sw_text_add(text, "         current     out  torque through     voltage    resistor\n");
    sw_text_add(text, "    rpm        A       W %7s       %%      V       W     ohm\n",
                us ? "lbf ft" : "N m");
    for (size_t r = 0; r < sweep->rows; r++) {
        const sw_sweep_row *row = &sweep->row[r];
        const sw_operating_point *p = &row->point;
        const bool plain = wiring->rectifier == SW_RECTIFIER_NONE;
        column(p->speed_rpm, 7, 0, text);
        column(plain ? p->phase_current_rms_a : p->dc_current_a, 9, 2, text);
        column(got_w(wiring, load, p), 8, 1, text);
        column(us ? p->shaft_torque_nm / LBF_FT_NM : p->shaft_torque_nm, 8, 2, text);
        column(p->conduction == SW_CONDUCTION_NONE ? NAN : 100.0 * p->efficiency, 8, 0, text);
        column(row->best_voltage_v, 7, 1, text);
        column(row->best_voltage_w, 8, 1, text);
        column(row->best_resistor_ohm, 8, 2, text);
        sw_text_add(text, "\n");
    }
    sw_text_add(text, "\n");
    sw_text_paragraph(text, 0,
                      "Best constant voltage: the volts at which most power comes out at that "
                      "speed, as a tracking converter would choose them, with that power. Best "
                      "resistor: likewise.");
}
