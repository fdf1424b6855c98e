#include "src/report/motor_text.h"

#include "src/match/deliver/charging.h"
#include "src/measure/sensor.h"
#include "src/report/family_text.h"
#include "src/report/ring_text.h"
#include "src/report/words.h"

#include <math.h>
#include <stdio.h>

/* What a bridge keeps back while only a meter draws current; common practice, no source. */
static const double IDLE_BRIDGE_DROP_V = 0.8;

/* Below this an ordinary meter's AC range is not trusted (common practice, no source). */
static const double METER_LOW_HZ = 40;

static bool constant_known(const sw_motor *motor) {
    return sw_quantity_known(motor->constants.rpm_per_volt_peak);
}

/* Neither hertz per turn nor a speed: volts cannot be told per turn. */
static bool speed_missing(const sw_motor *motor) {
    return motor->pole_pairs.value == 0 && !sw_quantity_known(motor->speed);
}

static bool volts_missing(const sw_motor *motor) {
    return motor->kind == SW_MAGNET_AC && !sw_quantity_known(motor->volts_per_hertz) &&
           !sw_quantity_known(motor->voltage_constant);
}

/* Half the value and more may be wrong: no headline is built on that. */
static bool volts_doubtful(const sw_motor *motor) {
    return constant_known(motor) &&
           2 * motor->voltage_constant.u > 0.5 * motor->voltage_constant.value;
}

static bool volts_implausible(const sw_motor *motor) {
    return sw_motor_warned(motor, SW_WARN_VOLTS_IMPLAUSIBLE);
}

/* Ends the sentence "How many volts cannot be told". */
static const char *why_untold(const sw_motor *motor) {
    if (sw_motor_warned(motor, SW_WARN_UNCALIBRATED))
        return " without a probe file, so plain iron without magnets cannot be ruled out: hold a "
               "screwdriver to the rotor, magnets pull it hard.";
    if (sw_motor_warned(motor, SW_WARN_CLIPPED))
        return ": the recording is cut off at full scale. They are higher than anything in it.";
    if (sw_motor_warned(motor, SW_WARN_AUTOMATIC_LEVEL))
        return ": the recorder levels the volume by itself.";
    return " from this recording.";
}

static void add_charging(const sw_motor *motor, sw_text *line) {
    char at_12[32];
    char at_24[32];
    sw_words_number(sw_charging_rpm_of(motor, 12), 3, at_12, sizeof at_12);
    sw_words_number(sw_charging_rpm_of(motor, 24), 3, at_24, sizeof at_24);
    sw_text_add(line, " It starts charging (cut-in) 12 V at %s rpm, 24 V at %s.", at_12, at_24);
}

static void say_generator(const sw_motor *motor, sw_text *text) {
    static const char NOT_YET[] = " From how many turns a minute it charges cannot be said yet: ";
    sw_text line = {0};
    bool sensor = sw_motor_warned(motor, SW_WARN_SENSOR_COIL);
    if (sensor)
        sw_text_paragraph(text, 0,
                          "Volts, but hardly any watts: most likely a speed-sensor coil, not the "
                          "winding. Look for thicker wires (spinworth wires helps).");
    bool untold = volts_missing(motor);
    bool doubtful = !sensor && !untold && sw_sensor_possible(motor);
    if (doubtful)
        sw_text_paragraph(text, 0,
                          "It makes a few volts in step with the shaft. Whether they are worth "
                          "anything its ohms decide: the coil of a speed sensor gives as many "
                          "volts and no power. If it is a winding of a few ohms, it "
                          "generates:");
    sw_text_add(&line, "%s%s.",
                sensor     ? ""
                : untold   ? "It makes a voltage in step with the shaft. "
                : doubtful ? ""
                           : "Yes, it generates. ",
                motor->kind == SW_BRUSHED ? "Direct current, through brushes"
                                          : sw_words_phases(motor->phases));
    if (volts_doubtful(motor))
        sw_text_add(&line, " But the readings contradict each other too much to say from which "
                           "speed it charges: look them through and measure again.");
    else if (volts_implausible(motor))
        sw_text_add(&line, " But its volts for a turn are beyond belief (see below): from which "
                           "speed it charges is not said before they are read again.");
    else if (untold)
        sw_text_add(&line, " How many volts cannot be told%s", why_untold(motor));
    else if (constant_known(motor) && !sensor)
        add_charging(motor, &line);
    else if (speed_missing(motor) && !sensor)
        sw_text_add(&line, "%s%s known.", NOT_YET,
                    motor->kind == SW_BRUSHED ? "the speed is not"
                                              : "neither the pole pairs nor a speed are");
    else if (!sensor)
        sw_text_add(&line, "%s%s.", NOT_YET,
                    sw_motor_warned(motor, SW_WARN_DC_BLOCKED) ? "this input passes no steady volts"
                                                               : "the volts are not calibrated");
    sw_text_paragraph(text, 0, "%s", sw_text_string(&line));
    sw_text_carry(&line, text);
}

/* A round speed at which a meter's AC range reads well and bare wires do not bite: the lowest with
 * enough volts and hertz; where the volts grow too high before the hertz do, the highest with
 * moderate volts. NAN when a turn a minute is too much. */
static double check_speed_rpm(const sw_motor *motor) {
    static const double SPEEDS_RPM[] = {50, 100, 200, 500, 1000, 2000, 3000};
    static const double SLOW_RPM[] = {1, 2, 5, 10, 20}; /* where 50 rpm give too much */
    static const double LEAST_V = 3;
    static const double MOST_V = 50;
    double hertz_per_volt = motor->kind == SW_BRUSHED ? INFINITY : 1 / motor->volts_per_hertz.value;
    double chosen = NAN;
    for (size_t i = 0; i < sizeof SLOW_RPM / sizeof *SLOW_RPM; i++)
        if (SLOW_RPM[i] * motor->voltage_constant.value <= MOST_V)
            chosen = SLOW_RPM[i];
    for (size_t i = 0; i < sizeof SPEEDS_RPM / sizeof *SPEEDS_RPM; i++) {
        double volts = SPEEDS_RPM[i] * motor->voltage_constant.value;
        if (volts > MOST_V)
            break;
        chosen = SPEEDS_RPM[i];
        if (volts >= LEAST_V && volts * hertz_per_volt >= METER_LOW_HZ)
            break;
    }
    return chosen;
}

static void say_check(const sw_motor *motor, sw_text *text) {
    static const char *const WHERE[] = {"between the two wires", "between the two wires",
                                        "across either winding",
                                        "between any two of the three wires"};
    if (!constant_known(motor) || volts_doubtful(motor) || volts_implausible(motor))
        return;
    double speed_rpm = check_speed_rpm(motor);
    if (isnan(speed_rpm))
        return;
    double volts = speed_rpm * motor->voltage_constant.value;
    char shown[32];
    sw_words_number(volts, 2, shown, sizeof shown);
    if (motor->kind == SW_BRUSHED) {
        sw_text_paragraph(text, 0, "To check: at %.0f rpm your meter should show about %s V DC.",
                          speed_rpm, shown);
        return;
    }
    double frequency_hz = volts / motor->volts_per_hertz.value;
    sw_text_paragraph(text, 0, "To check: at %.0f rpm your meter should show about %s V AC %s.",
                      speed_rpm, shown, WHERE[motor->phases]);
    if (frequency_hz < METER_LOW_HZ)
        sw_text_paragraph(text, 0,
                          "(That is only %.0f Hz, which is hard on a plain AC range. A bridge, a "
                          "capacitor and the DC range are better: about %.1f V there.)",
                          frequency_hz,
                          speed_rpm / motor->constants.rpm_per_volt_peak.value -
                              IDLE_BRIDGE_DROP_V);
}

static void say_evidence(const sw_motor *motor, bool details, sw_text *text) {
    const sw_pole_pairs *poles = &motor->pole_pairs;
    if (poles->evidences > 0)
        sw_text_add(text, "\nWhat speaks for the pole pairs\n");
    for (size_t i = 0; i < poles->evidences && (details || i < 3); i++)
        sw_text_paragraph(text, 4, "  - %s", poles->evidence[i]);
    if (poles->againsts > 0)
        sw_text_add(text, "\nWhat speaks against them\n");
    for (size_t i = 0; i < poles->againsts; i++)
        sw_text_paragraph(text, 4, "  - %s", poles->against[i]);
}

static void say_warnings(const sw_motor *motor, sw_text *text) {
    if (motor->warnings == 0)
        return;
    sw_text_add(text, "\nLook at this\n");
    for (size_t i = 0; i < motor->warnings; i++)
        sw_text_paragraph(text, 4, "  - %s", motor->warning[i].message);
}

static void say_not_measured(const sw_motor *motor, sw_text *text) {
    bool alternating = motor->kind == SW_MAGNET_AC;
    sw_text line = {0};
    if (motor->phases == 0 && alternating)
        sw_text_add(&line, ", number of phases (one channel is taken as line to line)");
    if (!sw_quantity_known(motor->winding_resistance))
        sw_text_add(&line, ", winding resistance");
    if (!sw_quantity_known(motor->winding_inductance) && alternating)
        sw_text_add(&line, ", winding inductance");
    if (!sw_quantity_known(motor->drag_torque.constant))
        sw_text_add(&line, ", drag");
    if (!sw_quantity_known(motor->cogging_torque))
        sw_text_add(&line, ", cogging");
    if (line.length > 2)
        sw_text_add(text, "\n");
    if (line.length > 2)
        sw_text_paragraph(text, 0, "Not measured yet: %s.", sw_text_string(&line) + 2);
    sw_text_carry(&line, text);
}

/* N stands for a number nobody knows yet: how many turns are enough the evidence says. */
static void say_count_turns(const sw_motor *motor, const sw_motor_text_options *options,
                            sw_text *text) {
    sw_text_paragraph(text, 0,
                      "Next: %scount the turns of the shaft during the recording and type, with "
                      "their number in place of N:",
                      motor->pole_pairs.evidences > 0 ? ""
                      : motor->kind == SW_BRUSHED
                          ? "a rough speed is not enough for a brushed motor: "
                          : "give a rough speed (--about 300rpm in place of --turns N below); "
                            "better still, ");
    if (options->saved_as != NULL)
        sw_text_paragraph(text, 4, "  spinworth measure --into %s --turns N", options->saved_as);
    else
        sw_text_paragraph(text, 4, "  %s --turns N",
                          options->call != NULL ? options->call : "spinworth measure RECORDING");
    sw_text_paragraph(text, 0,
                      "If you time them while it runs steadily, type  --speed 'N turns in 10 s'  "
                      "in place of --turns N.");
}

static void say_next_step(const sw_motor *motor, const sw_motor_text_options *options,
                          sw_text *text) {
    const char *saved_as = options->saved_as;
    const char *file = saved_as != NULL ? saved_as : "motor.json";
    const char *save_first = saved_as != NULL ? "" : " (save this first, with -o motor.json)";
    sw_text_add(text, "\n");
    if (sw_motor_warned(motor, SW_WARN_DC_BLOCKED))
        sw_text_paragraph(text, 0,
                          "Next: read the volts with a meter on its DC range while the shaft turns "
                          "steadily at a known speed, and type  spinworth measure --into %s "
                          "--dc-volts 12.3V --speed 540rpm%s",
                          file, save_first);
    else if (!constant_known(motor) && speed_missing(motor))
        say_count_turns(motor, options, text);
    else if (sw_sensor_possible(motor))
        sw_text_paragraph(text, 0,
                          "Next: measure the ohms between the two wires, which tell a winding from "
                          "a sensor's coil, and type  spinworth measure --into %s --resistance "
                          "1.2ohm --test-leads 0.2ohm%s",
                          file, save_first);
    else if (motor->kind == SW_MAGNET_AC && motor->phases == 0)
        sw_text_paragraph(text, 0,
                          "Next: how many power wires come out? For three type  spinworth measure "
                          "--into %s --phases 3  and for two  --phases 1%s",
                          file, save_first);
    else if (volts_missing(motor) && sw_motor_warned(motor, SW_WARN_CLIPPED))
        sw_text_paragraph(text, 0,
                          "Next: turn the input down, use a larger divider (spinworth divider), or "
                          "spin slower, and record again.");
    else if (volts_missing(motor))
        sw_text_paragraph(text, 0,
                          "Next: calibrate the volts with a probe file (--probe probe.json), or "
                          "write down what a multimeter shows at a steady speed.");
    else if (!sw_quantity_known(motor->winding_resistance))
        sw_text_paragraph(text, 0,
                          "Next: measure the ohms between two of the wires, short the meter's "
                          "test leads and note what they show, and type  spinworth measure "
                          "--into %s --resistance 1.2ohm --test-leads 0.2ohm%s",
                          file, save_first);
    else
        sw_text_paragraph(text, 0,
                          "Next: see whether it suits your rotor:  spinworth match %s --rotor "
                          "rotor.json --site site.json%s",
                          file, save_first);
}

static void say_cautions(sw_text *text) {
    sw_text_add(text, "\n");
    sw_text_paragraph(text, 0,
                      "Cautions: clamp the motor; hair, sleeves and gloves away from the chuck; "
                      "eyes covered. Never short the wires while a drill drives. The voltage on "
                      "bare wires rises with speed.");
}

/* An offset of the scope, or brushes. */
static void say_steady(const sw_motor *motor, const char *saved_as, sw_text *text) {
    sw_text_paragraph(text, 0,
                      "Cannot tell yet whether it generates: there is a steady voltage, which may "
                      "be that of a brushed motor, or only an offset of the scope.");
    say_warnings(motor, text);
    sw_text_add(text, "\n");
    sw_text_paragraph(text, 0,
                      "Next: record again, from a second before the motor turns. Or read the volts "
                      "with a meter on its DC range while the shaft turns steadily at a known "
                      "speed, and add what it showed:  spinworth measure %s%s --dc-volts 12.3V "
                      "--speed 540rpm",
                      saved_as != NULL ? "--into " : "RECORDING", saved_as != NULL ? saved_as : "");
}

static bool nothing_seen(const sw_motor *motor) {
    return sw_motor_warned(motor, SW_WARN_TOO_SHORT) &&
           !sw_quantity_known(motor->electrical_frequency) &&
           !sw_quantity_known(motor->voltage_constant);
}

void sw_motor_text(const sw_motor *motor, const sw_motor_text_options *options, sw_text *text) {
    if (motor->name[0] != '\0')
        sw_text_add(text, "%s\n\n", motor->name);
    if (sw_motor_is_dead(motor)) {
        sw_nothing_text(motor, text);
        say_warnings(motor, text);
    } else if (sw_motor_warned(motor, SW_WARN_STEADY_VOLTAGE)) {
        say_steady(motor, options->saved_as, text);
    } else {
        if (nothing_seen(motor)) {
            sw_text_paragraph(text, 0,
                              "Cannot tell yet whether it generates: the recording holds too "
                              "little of the motor's voltage.");
            say_warnings(motor, text);
            say_cautions(text);
            return;
        }
        say_generator(motor, text);
        say_check(motor, text);
        bool unsaid = volts_missing(motor) || volts_doubtful(motor) || volts_implausible(motor);
        sw_family_text(unsaid ? NULL : options->family, options->details, text);
        sw_motor_numbers(motor, options->details, text);
        if (options->details)
            sw_ring_table(motor, text);
        sw_budget_table(motor, text);
        say_evidence(motor, options->details, text);
        say_warnings(motor, text);
        say_not_measured(motor, text);
        say_next_step(motor, options, text);
    }
    say_cautions(text);
}
