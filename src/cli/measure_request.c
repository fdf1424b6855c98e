#include "src/cli/measure_request.h"

#include "shared/day.h"
#include "src/measure/merge.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

const sw_option SW_MEASURE_OPTIONS[] = {
    {"--probe", NULL, "FILE", "the probe's calibration (volts, low cut, clock)"},
    {"--between", NULL, "WHERE", "clips on: lines, star-point, windings"},
    {"--speed", NULL, "SPEED", "measured speed of the magnets' shaft, while steady"},
    {"--about", NULL, "SPEED", "rough speed (the drill's plate, a guess)"},
    {"--turns", NULL, "N", "turns of the shaft counted over the recording"},
    {"--driver", NULL, "SIZE", "drill wheel that rolls on the hub; --speed is its speed"},
    {"--driven", NULL, "SIZE", "the hub it rolls on"},
    {"--gear", NULL, "RATIO", "turns of the magnets for one of the shaft that was timed"},
    {"--tach-channel", NULL, "N", "channel on which a sensor sees marks on the shaft"},
    {"--marks", NULL, "N", "marks a turn that the sensor sees (1)"},
    {"--detents", NULL, "N", "rest positions in a turn, battery through a lamp on two wires"},
    {"--magnets", NULL, "N", "magnets counted round the rotor"},
    {"--difference", NULL, "A-B", "one channel minus another (scope with a floating ground)"},
    {"--rate", NULL, "HERTZ", "samples a second, for files without times"},
    {"--meter", NULL, "KIND", "for readings: ac, true-rms, dc-bridge, dc-bridge-capacitor, dc"},
    {"--dc-volts", NULL, "VOLTS", "of a brushed motor, by a meter on DC at --speed"},
    {"--level-untrusted", NULL, NULL, "a phone's recording: use frequency, not volts"},
    {"--budget", NULL, NULL, "list what contributes to the voltage constant's uncertainty"},
    {"--explain", NULL, NULL, "say how the file was understood"},
    {"--into", NULL, "FILE", "add this evidence to a saved motor"},
    {"--output", "-o", "FILE", "save the motor record"},
    {"--force", NULL, NULL, "replace the output file if it is there"},
    {"--coast", NULL, "HOW", "the record ends in a run-down: free (shaft alone), with-drill"},
    {"--disc-mass", NULL, "MASS", "the rotor weighed, for its inertia as a disc of even thickness"},
    {"--disc-diameter", NULL, "SIZE", "its diameter"},
    {"--disc-bore", NULL, "SIZE", "its inner diameter, for a ring"},
    {"--second-run", NULL, "FILE", "a second run-down, with a disc added to the shaft"},
    {"--added-mass", NULL, "MASS", "of the added disc"},
    {"--added-diameter", NULL, "SIZE", "of the added disc"},
    {"--added-bore", NULL, "SIZE", "inner diameter of the added disc"},
    {"--falling-weight", NULL, "MASS", "that turns the shaft by a string round a drum"},
    {"--drop", NULL, "HEIGHT", "how far it falls from rest"},
    {"--drop-time", NULL, "TIME", "how long it takes"},
    {"--drum-radius", NULL, "SIZE", "of the drum, to the middle of the string"},
    {"--balance-weight", NULL, "MASS", "a weight that just keeps the shaft turning (friction)"},
    {"--loaded", NULL, "FILE", "a recording with a resistor across the two wires; repeatable"},
    {"--load-ohm", NULL, "OHMS", "that resistor, one for each --loaded in order"},
    {"--load-speed", NULL, "SPEED", "a brushed motor's speed in it, likewise"},
    {"--lever", NULL, "LENGTH", "from the axis to the string of --weights"},
    {"--weights", NULL, "LIST", "weights that just move it at several positions: '310 280 g'"},
    {"--weights-back", NULL, "LIST", "the same the other way round, at the same positions"},
    {"--slots", NULL, "N", "slots (teeth) of the stator: cogging steps, magnets"},
    {"--like", NULL, "FILE", "an equal motor that is good: are the magnets as strong?"},
    {"--running-at", NULL, "TEMPERATURE", "what winding and magnets do when they run this warm"},
    {"--magnet-kind", NULL, "KIND", "ferrite, neodymium, samarium-cobalt, alnico; kept"},
    {"--name", NULL, "TEXT", "name of the motor"},
    {"--note", NULL, "TEXT", "anything worth remembering"},
    {"--resistance", NULL, "OHMS", "between two wires, as the meter shows it"},
    {"--test-leads", NULL, "OHMS", "what the meter shows with its leads shorted"},
    {"--at", NULL, "TEMPERATURE", "of the winding while its ohms were read"},
    {"--inductance", NULL, "VALUE", "between two wires"},
    {"--cogging", NULL, "TORQUE", "torque at which it breaks loose"},
    {"--drag", NULL, "TORQUE", "steady torque to keep it turning"},
    {"--inertia", NULL, "VALUE", "moment of inertia"},
    {"--phases", NULL, "N", "1, 2 or 3, when it is known"},
    {"--leads", NULL, "N", "number of power wires"},
    {"--star-point", NULL, "yes|no", "is the star point brought out?"},
    {"--can-rewire", NULL, "HOW", "no, ends-reachable, rewind"},
    {"--nameplate", NULL, "POWER", "power on its plate"},
    {"--limit-speed", NULL, "SPEED", "highest speed it may run"},
    {"--limit-current", NULL, "AMPS", "highest winding current it stands"},
    {"--limit-temperature", NULL, "DEGREES", "hottest that its winding may get ('80 degC')"},
    {"--copper-mass", NULL, "MASS", "copper of its winding, for the heat of braking"},
    {"--diameter", NULL, "SIZE", "of the motor's housing: how much heat it sheds"},
    {"--length", NULL, "SIZE", "of the motor's housing, without the shaft"},
    {"--mass", NULL, "MASS", "the whole motor weighed; tells its size when nothing else does"},
    {0},
};

/* A positive plain number, "48" or "48.5". */
static sw_status number_from(const sw_arguments *arguments, const char *name, double low,
                             double high, const sw_units *units, double *out, sw_error *error) {
    sw_quantity quantity = sw_quantity_of(*out, NAN, "1");
    sw_status status =
        sw_argument_quantity_in(arguments, name, "1", low, high, units, &quantity, error);
    *out = quantity.value;
    return status;
}

static sw_status integer_from(const sw_arguments *arguments, const char *name, int low, int high,
                              const sw_units *units, int *out, sw_error *error) {
    double value = *out;
    sw_status status = number_from(arguments, name, low, high, units, &value, error);
    if (status == SW_OK && value != floor(value))
        return sw_fail(error, SW_USAGE, "%s: found %g, expected a whole number", name, value);
    *out = (int)value;
    return status;
}

/* Speed of the hub from the speed of a drill wheel that rolls on it. */
static sw_status wheel_factor(const sw_cli *cli, const sw_arguments *arguments, double *factor,
                              sw_error *error) {
    sw_quantity driver = sw_quantity_unknown();
    sw_quantity driven = sw_quantity_unknown();
    *factor = 1;
    if (sw_argument_given(arguments, "--driver") != sw_argument_given(arguments, "--driven"))
        return sw_fail(error, SW_USAGE, "--driver and --driven go together");
    const sw_quantity_option options[] = {{"--driver", "mm", 1, 1e5, &driver},
                                          {"--driven", "mm", 1, 1e5, &driven}};
    sw_status status = sw_argument_quantities(arguments, options, 2, cli->units, error);
    if (status == SW_OK && sw_quantity_known(driver))
        *factor = driver.value / driven.value;
    return status;
}

/* A wheel's diameter by ruler and its creep, together about 1 % (common practice, no source). */
static const double WHEEL_U_RELATIVE = 0.01;
/* A tachometer whose uncertainty is not stated: 0.5 % (common practice, no source). */
static const double SPEED_U_RELATIVE = 0.005;

static sw_status speed_evidence(const sw_cli *cli, const sw_arguments *arguments,
                                sw_measure_request *request, sw_error *error) {
    sw_speed_evidence *evidence = &request->evidence;
    sw_quantity about = sw_quantity_unknown();
    double factor = 1;
    const sw_quantity_option speeds[] = {{"--speed", "rpm", 0.1, 1e6, &evidence->speed},
                                         {"--about", "rpm", 0.1, 1e6, &about}};
    sw_status status = wheel_factor(cli, arguments, &factor, error);
    if (status == SW_OK)
        status = sw_argument_quantities(arguments, speeds, 2, cli->units, error);
    if (status == SW_OK)
        status = number_from(arguments, "--turns", 0.5, 1e6, cli->units, &evidence->turns, error);
    if (status == SW_OK)
        status = number_from(arguments, "--gear", 0.01, 1000, cli->units, &request->gear, error);
    if (status == SW_OK)
        status =
            integer_from(arguments, "--detents", 1, 2000, cli->units, &evidence->detents, error);
    if (status == SW_OK)
        status =
            integer_from(arguments, "--magnets", 2, 2000, cli->units, &evidence->magnets, error);
    if (status != SW_OK)
        return status;
    if (sw_quantity_known(evidence->speed)) {
        double u = sw_quantity_u_or(evidence->speed, SPEED_U_RELATIVE);
        if (sw_argument_given(arguments, "--driver"))
            u = hypot(u, WHEEL_U_RELATIVE * evidence->speed.value);
        evidence->speed = sw_quantity_of(evidence->speed.value * factor, u * factor, "rpm");
    }
    if (sw_quantity_known(about))
        evidence->about_rpm = about.value * factor;
    if (evidence->magnets % 2 != 0)
        return sw_fail(error, SW_USAGE,
                       "--magnets: found %d; magnets alternate north and south, so their number "
                       "is even",
                       evidence->magnets);
    return SW_OK;
}

sw_status sw_measure_request_from(const sw_cli *cli, const sw_arguments *arguments,
                                  sw_measure_request *request, sw_error *error) {
    static const char *const BETWEEN[] = {"lines", "star-point", "windings", NULL};
    int between = -1;
    *request = sw_measure_default();
    /* Without a probe document the file's kind decides what its samples are. */
    request->profile.calibrated = false;
    request->level_untrusted = sw_argument_given(arguments, "--level-untrusted");
    sw_status status = sw_argument_word(arguments, "--between", BETWEEN, &between, error);
    request->between = (sw_between)(between + 1);
    if (status == SW_OK)
        status = integer_from(arguments, "--tach-channel", 1, SW_CHANNEL_LIMIT, cli->units,
                              &request->tach_channel, error);
    if (status == SW_OK)
        status =
            integer_from(arguments, "--marks", 1, 1000, cli->units, &request->tach_marks, error);
    if (status == SW_OK && sw_argument_given(arguments, "--marks") && request->tach_channel == 0)
        return sw_fail(error, SW_USAGE, "--marks needs --tach-channel");
    if (status == SW_OK)
        status = speed_evidence(cli, arguments, request, error);
    const char *probe = sw_argument(arguments, "--probe");
    request->today = sw_day_today();
    if (status == SW_OK && probe != NULL)
        status = sw_profile_read(probe, cli->units, &request->profile, error);
    return status;
}

/* "1-2": two channel numbers of one digit, counted from 1. */
static bool read_difference(const char *text, sw_recording_request *request) {
    bool fine = isdigit((unsigned char)text[0]) && text[1] == '-' &&
                isdigit((unsigned char)text[2]) && text[3] == '\0';
    request->difference_plus = fine ? text[0] - '0' : 0;
    request->difference_minus = fine ? text[2] - '0' : 0;
    return request->difference_plus > 0 && request->difference_minus > 0;
}

sw_status sw_recording_request_from(const sw_cli *cli, const sw_arguments *arguments,
                                    sw_recording_request *request, sw_error *error) {
    if (arguments->words > SW_RECORDING_FILE_LIMIT)
        return sw_fail(error, SW_USAGE, "found %zu recordings, expected at most %d",
                       arguments->words, SW_RECORDING_FILE_LIMIT);
    *request = (sw_recording_request){
        .paths = arguments->word, .count = arguments->words, .units = cli->units};
    sw_quantity rate = sw_quantity_unknown();
    sw_status status =
        sw_argument_quantity_in(arguments, "--rate", "Hz", 1e-3, 1e12, cli->units, &rate, error);
    if (status == SW_OK && sw_quantity_known(rate))
        request->rate_hz = rate.value;
    const char *difference = sw_argument(arguments, "--difference");
    if (status == SW_OK && difference != NULL && !read_difference(difference, request))
        return sw_fail(error, SW_USAGE, "--difference: found \"%.20s\", expected for example 1-2",
                       difference);
    return status;
}

static sw_status winding_from(const sw_cli *cli, const sw_arguments *arguments, sw_motor *facts,
                              sw_error *error) {
    sw_quantity shown = sw_quantity_unknown();
    sw_quantity leads = sw_quantity_unknown();
    const sw_quantity_option options[] = {
        {"--resistance", "ohm", 1e-4, 1e6, &shown},
        {"--test-leads", "ohm", 0, 100, &leads},
        {"--at", "degC", -50, 250, &facts->temperature},
        {"--inductance", "mH", 1e-6, 1e6, &facts->winding_inductance},
    };
    sw_status status = sw_argument_quantities(arguments, options, sizeof options / sizeof *options,
                                              cli->units, error);
    if (status != SW_OK || !sw_quantity_known(shown))
        return status;
    facts->winding_resistance = sw_meter_resistance(shown, leads, facts->temperature);
    if (facts->winding_resistance.value <= 0)
        return sw_fail(error, SW_USAGE,
                       "--test-leads: found %g ohm, which leaves nothing of the %g ohm read",
                       leads.value, shown.value);
    if (shown.value < 2 && !sw_quantity_known(leads))
        sw_motor_warn(facts, SW_WARN_METER_DOUBTFUL,
                      "%g ohm is so little that the meter's own leads matter: short them, note "
                      "what the meter shows, and give it with --test-leads.",
                      shown.value);
    return SW_OK;
}

/* A meter on DC: its range and last digit, as for a table of readings (common practice, no
 * source). */
static const double METER_U_RELATIVE = 0.008;
static const double METER_U_V = 0.02;

/* A brushed motor's volts by a meter at a known speed. */
static sw_status direct_from(const sw_cli *cli, const sw_arguments *arguments, sw_motor *facts,
                             sw_error *error) {
    sw_quantity volts = sw_quantity_unknown();
    sw_quantity speed = sw_quantity_unknown();
    const sw_quantity_option options[] = {
        {"--dc-volts", "V", 1e-3, 1e5, &volts},
        {"--speed", "rpm", 0.1, 1e6, &speed},
    };
    sw_status status = sw_argument_quantities(arguments, options, 2, cli->units, error);
    if (status != SW_OK || !sw_quantity_known(volts))
        return status;
    if (!sw_quantity_known(speed))
        return sw_fail(error, SW_USAGE,
                       "--dc-volts needs the --speed at which they were read, for example "
                       "--speed 540rpm");
    double volts_u =
        sw_quantity_u_or(volts, hypot(METER_U_RELATIVE, METER_U_V / volts.value)) / volts.value;
    double speed_u = sw_quantity_u_or(speed, SPEED_U_RELATIVE) / speed.value;
    double k = volts.value / speed.value;
    facts->kind = SW_BRUSHED;
    facts->voltage_constant = sw_quantity_of(k, k * hypot(volts_u, speed_u), "V/rpm");
    return SW_OK;
}

static sw_status mechanics_from(const sw_cli *cli, const sw_arguments *arguments, sw_motor *facts,
                                sw_error *error) {
    const sw_quantity_option options[] = {
        {"--cogging", "N m", 0, 1e4, &facts->cogging_torque},
        {"--drag", "N m", 0, 1e4, &facts->drag_torque.constant},
        {"--inertia", "kg m2", 0, 1e4, &facts->inertia},
        {"--copper-mass", "kg", 1e-6, 1e4, &facts->copper_mass},
        {"--diameter", "mm", 1, 1e5, &facts->diameter},
        {"--length", "mm", 1, 1e5, &facts->length},
        {"--mass", "kg", 1e-3, 1e4, &facts->mass},
        {"--limit-temperature", "degC", 30, 400, &facts->limit_temperature},
        {"--nameplate", "W", 0, 1e6, &facts->nameplate_power},
        {"--limit-speed", "rpm", 0, 1e6, &facts->limit_speed},
        {"--limit-current", "A", 0, 1e5, &facts->limit_current},
    };
    return sw_argument_quantities(arguments, options, sizeof options / sizeof *options, cli->units,
                                  error);
}

static sw_status words_from(const sw_cli *cli, const sw_arguments *arguments, sw_motor *facts,
                            sw_error *error) {
    static const char *const YES_NO[] = {"no", "yes", NULL};
    static const char *const REWIRE[] = {"no", "ends-reachable", "rewind", NULL};
    static const char *const MAGNETS[] = {"ferrite", "neodymium", "samarium-cobalt", "alnico",
                                          NULL};
    int star = -1;
    int magnets = -1;
    int rewire = SW_REWIRE_NO;
    sw_status status = sw_argument_word(arguments, "--star-point", YES_NO, &star, error);
    if (status == SW_OK)
        status = sw_argument_word(arguments, "--can-rewire", REWIRE, &rewire, error);
    if (status == SW_OK)
        status = sw_argument_word(arguments, "--magnet-kind", MAGNETS, &magnets, error);
    facts->magnet_kind = (sw_magnet_kind)(magnets + 1);
    if (status == SW_OK)
        status = integer_from(arguments, "--phases", 1, 3, cli->units, &facts->phases, error);
    if (status == SW_OK)
        status = integer_from(arguments, "--leads", 1, 64, cli->units, &facts->leads, error);
    if (status == SW_OK)
        status = integer_from(arguments, "--slots", 2, 1000, cli->units, &facts->slots, error);
    facts->star_point = (sw_answer)(star + 1);
    facts->can_rewire = (sw_rewire)rewire;
    const char *name = sw_argument(arguments, "--name");
    const char *note = sw_argument(arguments, "--note");
    snprintf(facts->name, sizeof facts->name, "%s", name != NULL ? name : "");
    snprintf(facts->note, sizeof facts->note, "%s", note != NULL ? note : "");
    return status;
}

sw_status sw_measure_facts_from(const sw_cli *cli, const sw_arguments *arguments, sw_motor *facts,
                                bool *any, sw_error *error) {
    static const char *const FACTS[] = {"--name",
                                        "--note",
                                        "--resistance",
                                        "--inductance",
                                        "--cogging",
                                        "--drag",
                                        "--inertia",
                                        "--phases",
                                        "--leads",
                                        "--star-point",
                                        "--can-rewire",
                                        "--nameplate",
                                        "--limit-speed",
                                        "--limit-current",
                                        "--copper-mass",
                                        "--slots",
                                        "--dc-volts",
                                        "--magnet-kind",
                                        "--diameter",
                                        "--length",
                                        "--mass",
                                        "--limit-temperature",
                                        NULL};
    sw_motor_init(facts);
    *any = false;
    for (size_t i = 0; FACTS[i] != NULL; i++)
        *any = *any || sw_argument_given(arguments, FACTS[i]);
    sw_status status = winding_from(cli, arguments, facts, error);
    if (status == SW_OK)
        status = direct_from(cli, arguments, facts, error);
    if (status == SW_OK)
        status = mechanics_from(cli, arguments, facts, error);
    if (status == SW_OK)
        status = words_from(cli, arguments, facts, error);
    return status;
}
