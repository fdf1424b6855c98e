/* The table of a motor's numbers. */
#include "src/report/motor_text.h"
#include "src/report/ring_text.h"
#include "src/report/words.h"

#include <math.h>
#include <stdio.h>

/* An overtone below this is not worth a word: 0.3 % of the fundamental. */
static const double OVERTONE_WORTH_SAYING = 0.003;

/* A wave is called after the overtone that is told beside it: below 5 % the eye sees a sine on a
 * scope (common practice, no source). */
static const double NEARLY_A_SINE = 0.05;

static void poles_row(const sw_motor *motor, sw_text *text) {
    const sw_pole_pairs *poles = &motor->pole_pairs;
    char line[200];
    if (motor->kind == SW_BRUSHED)
        return;
    if (poles->value > 0) {
        snprintf(line, sizeof line, "%d, %s (%d magnet poles round the rotor)", poles->value,
                 sw_words_probability(poles->probability), 2 * poles->value);
        sw_words_text_row(text, "Pole pairs", line);
        return;
    }
    int used = snprintf(line, sizeof line, "cannot tell");
    for (size_t i = 0; i < poles->candidates && i < 4; i++)
        used += snprintf(line + used, sizeof line - (size_t)used, "%s%d (%.0f %%)",
                         i == 0 ? ": " : ", ", poles->candidate[i].pole_pairs,
                         100 * poles->candidate[i].probability);
    sw_words_text_row(text, "Pole pairs", line);
}

static sw_quantity times(sw_quantity quantity, double factor, const char *unit) {
    if (!sw_quantity_known(quantity))
        return quantity;
    return sw_quantity_of(quantity.value * factor, quantity.u * factor, unit);
}

static void stretch_row(const sw_motor *motor, sw_text *text) {
    char comment[96];
    if (isnan(motor->stretch_from_s))
        snprintf(comment, sizeof comment, "(electrical cycles a second)");
    else
        snprintf(comment, sizeof comment, "(electrical), steadiest from %.2f to %.2f s",
                 motor->stretch_from_s, motor->stretch_to_s);
    sw_words_row(text, "Frequency", motor->electrical_frequency, comment);
}

/* What a scope would have shown in the stretch: amplitude of the fundamental. */
static void level_row(const sw_motor *motor, sw_text *text) {
    if (!sw_quantity_known(motor->volts_per_hertz) ||
        !sw_quantity_known(motor->electrical_frequency))
        return;
    double rms = motor->volts_per_hertz.value * motor->electrical_frequency.value;
    char value[64];
    snprintf(value, sizeof value, "%.3g V rms, %.3g V peak, in the same stretch", rms,
             sqrt(2) * rms);
    sw_words_text_row(text, "Voltage", value);
}

static void ripple_row(const sw_motor *motor, sw_text *text) {
    char line[100];
    if (motor->commutator_ripple == 0)
        return;
    snprintf(line, sizeof line, "%d a turn: as many commutator bars, or a whole part of it",
             motor->commutator_ripple);
    sw_words_text_row(text, "Ripple of the brushes", line);
}

static void voltage_rows(const sw_motor *motor, sw_text *text) {
    sw_quantity per_krpm = times(motor->voltage_constant, 1000, "V/krpm");
    if (motor->kind == SW_BRUSHED) {
        sw_words_row(text, "Voltage constant", per_krpm, "DC");
        ripple_row(motor, text);
        return;
    }
    level_row(motor, text);
    const char *between = motor->phases == 3
                              ? "rms, line to line (between any two of the three wires)"
                              : "rms, between the two wires";
    sw_words_row(text, "Voltage constant", per_krpm, between);
    sw_words_row(text, "Volts per hertz", motor->volts_per_hertz, "rms, whatever the speed");
    sw_words_row(text, "Peak of the wave", motor->constants.peak_line_v_per_krpm, NULL);
    sw_words_row(text, "After a bridge", motor->constants.dc_bridge_v_per_krpm,
                 "DC mean, no capacitor");
    sw_words_row(text, "Flux linkage", times(motor->constants.flux_linkage_wb, 1000, "mWb"),
                 motor->phases == 3 ? "peak, one phase of the star" : "peak");
}

static const sw_harmonic *strongest_overtone(const sw_motor *motor) {
    const sw_harmonic *strongest = NULL;
    for (size_t i = 0; i < motor->harmonics; i++) {
        const sw_harmonic *harmonic = &motor->harmonic[i];
        bool stronger = strongest == NULL || harmonic->relative > strongest->relative;
        if (harmonic->order > 1 && stronger)
            strongest = harmonic;
    }
    return strongest;
}

static void wave_row(const sw_motor *motor, sw_text *text) {
    const sw_harmonic *strongest = strongest_overtone(motor);
    char line[120];
    if (strongest == NULL)
        return;
    if (strongest->relative < OVERTONE_WORTH_SAYING)
        snprintf(line, sizeof line, "a clean sine");
    else
        snprintf(line, sizeof line, "%s; strongest overtone %d%s, %.1f %%%s",
                 strongest->relative < NEARLY_A_SINE ? "nearly a sine" : "not a pure sine",
                 strongest->order, sw_words_ordinal_end(strongest->order),
                 100 * strongest->relative, motor->harmonics_of_phase ? " of one phase" : "");
    sw_words_text_row(text, "Shape of the wave", line);
}

/* A run-down that shows nothing of it has a limit for it. */
static void drag_row(sw_text *text, const char *label, sw_quantity drag) {
    char most[96];
    char line[160];
    if (drag.value != 0 || !(drag.u > 0)) {
        sw_words_row(text, label, drag, NULL);
        return;
    }
    sw_words_number(2 * drag.u, 2, most, sizeof most);
    snprintf(line, sizeof line, "none seen, at most %s %s", most, drag.unit);
    sw_words_text_row(text, label, line);
}

static void winding_rows(const sw_motor *motor, sw_text *text) {
    sw_words_row(text, "Winding resistance", motor->winding_resistance, "at 20 \u00b0C");
    sw_words_row(text, "Winding inductance", motor->winding_inductance, NULL);
    sw_words_row(text, "Drag, constant part", motor->drag_torque.constant, NULL);
    drag_row(text, "Drag, with speed", motor->drag_torque.linear);
    if (motor->drag_torque.quadratic.value != 0)
        sw_words_row(text, "Drag, speed squared", motor->drag_torque.quadratic, NULL);
    sw_words_row(text, "Cogging torque", motor->cogging_torque, "(it sticks this hard)");
    sw_words_row(text, "Inertia", motor->inertia, NULL);
    sw_words_row(text, "Brush drop", motor->brush_drop, NULL);
}

static const double LEAST_SHOWN = 0.5e-4; /* of a harmonic: less would read 0.00 % */

static void detail_rows(const sw_motor *motor, sw_text *text) {
    char label[32];
    char line[96];
    for (size_t i = 0; i < motor->harmonics; i++) {
        const sw_harmonic *harmonic = &motor->harmonic[i];
        double angle_deg = fabs(harmonic->angle_deg) < 0.05 ? 0 : harmonic->angle_deg;
        if (harmonic->relative < LEAST_SHOWN)
            continue;
        snprintf(label, sizeof label, "Harmonic %d", harmonic->order);
        snprintf(line, sizeof line, "%.2f %% at %.1f\u00b0", 100 * harmonic->relative, angle_deg);
        sw_words_text_row(text, label, line);
    }
    sw_words_row(text, "Crest factor", motor->crest_factor, "peak over rms; 1.414 for a sine");
    sw_words_row(text, "Form factor", motor->form_factor, "1.111 for a sine");
    for (size_t i = 0; i < motor->pole_pairs.candidates; i++) {
        snprintf(line, sizeof line, "%d with probability %.4f",
                 motor->pole_pairs.candidate[i].pole_pairs,
                 motor->pole_pairs.candidate[i].probability);
        sw_words_text_row(text, i == 0 ? "Pole-pair candidates" : "", line);
    }
}

static void all_rows(const sw_motor *motor, bool details, sw_text *text) {
    poles_row(motor, text);
    stretch_row(motor, text);
    sw_words_row(text, "Speed", motor->speed, "in the same stretch");
    voltage_rows(motor, text);
    sw_words_row(text, "Angle between phases", motor->phase_angle, NULL);
    wave_row(motor, text);
    sw_ring_row(motor, text);
    winding_rows(motor, text);
    if (details)
        detail_rows(motor, text);
}

void sw_motor_numbers(const sw_motor *motor, bool details, sw_text *text) {
    sw_text rows = {0};
    all_rows(motor, details, &rows);
    if (rows.length > 0)
        sw_text_add(text, "\nNumbers (\u00b1 holds 19 times in 20)\n%s", sw_text_string(&rows));
    sw_text_carry(&rows, text);
}
