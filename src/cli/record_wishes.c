#include "src/cli/record_wishes.h"

#include "probes/capture/recorder.h"
#include "probes/capture/simulated_motor.h"
#include "probes/simulate/taps.h"
#include "shared/files.h"
#include "shared/motor.h"
#include "src/cli/guide.h"
#include "src/cli/measure_request.h"
#include "src/cli/simulate_spec.h"

#include <math.h>
#include <stdlib.h>

const sw_option SW_RECORD_OPTIONS[] = {
    {"--input", "-i", "NAME|NUMBER", "the input, by a part of its name or by number"},
    {"--channels", NULL, "N", "how many channels; two when there are so many"},
    {"--rate", NULL, "HZ", "samples a second; what the input has of itself"},
    {"--for", NULL, "TIME", "stop after so long: 20s, '2 min'"},
    {"--until-stopped", NULL, NULL, "stop by itself when the motor has coasted down"},
    {"--guide", NULL, NULL, "be led: checks, spin, and the motor measured and saved at the end"},
    {"--probe", NULL, "FILE", "the probe's calibration: the meter shows volts"},
    {"--about", NULL, "SPEED", "rough speed (the drill's plate), for the pole pairs"},
    {"--into", NULL, "FILE", "a saved motor: its pole pairs for the meter, the guide adds to it"},
    {"--hold", NULL, "TIME", "how long the speed is to be held (5s)"},
    {"--coast", NULL, "HOW", "free or with-drill: how the shaft runs down after the hold"},
    {"--meter", NULL, "STYLE", "line (drawn over), lines, off; by itself as the screen is"},
    {"--output", "-o", "FILE", "--guide: where the motor is saved (rec.json for rec.wav)"},
    {"--name", NULL, "TEXT", "--guide: name of the motor"},
    {"--between", NULL, "WHERE", "--guide: clips on lines, star-point, windings"},
    {"--resistance", NULL, "OHMS", "--guide: between two wires, as the meter shows it"},
    {"--test-leads", NULL, "OHMS", "--guide: what the meter shows with its leads shorted"},
    {"--simulate", NULL, "FAMILY", "no hardware: a simulated motor, such as drum-48"},
    {"--seed", NULL, "NUMBER", "another number is another simulated motor and spin (1)"},
    {"--fast", NULL, NULL, "a simulated motor twenty times as fast as real life"},
    {0},
};

/* A usual time; measure wants some seconds of steady speed. */
static const double HOLD_S = 5;

sw_status sw_record_hold(const sw_cli *cli, const sw_arguments *arguments, double *hold_s,
                         sw_error *error) {
    sw_quantity hold = sw_quantity_of(HOLD_S, 0, "s");
    sw_status status =
        sw_argument_quantity_in(arguments, "--hold", "s", 1, 600, cli->units, &hold, error);
    *hold_s = hold.value;
    return status;
}

static sw_status read_channels(const sw_arguments *arguments, size_t *channels, sw_error *error) {
    const char *text = sw_argument(arguments, "--channels");
    if (text == NULL)
        return SW_OK;
    char *end = NULL;
    long value = strtol(text, &end, 10);
    if (end == text || *end != '\0' || value < 1 || value > SW_CHANNEL_LIMIT)
        return sw_fail(error, SW_USAGE, "--channels: found \"%.20s\", expected 1 to %d", text,
                       SW_CHANNEL_LIMIT);
    *channels = (size_t)value;
    return SW_OK;
}

static sw_status read_rate(const sw_cli *cli, const sw_arguments *arguments, double *rate_hz,
                           sw_error *error) {
    sw_quantity rate = sw_quantity_of(0, NAN, "Hz");
    sw_status status =
        sw_argument_quantity_in(arguments, "--rate", "Hz", 1000, 1e6, cli->units, &rate, error);
    if (status == SW_OK && rate.value != rint(rate.value))
        return sw_fail(error, SW_USAGE, "--rate: found %.10g Hz, expected a whole number",
                       rate.value);
    *rate_hz = rate.value;
    return status;
}

/* Options that stand for nothing without another one. */
static sw_status check_pairs(const sw_cli *cli, const sw_arguments *arguments, sw_error *error) {
    static const char *const PAIRS[][2] = {
        {"--output", "--guide"},     {"--name", "--guide"},       {"--between", "--guide"},
        {"--resistance", "--guide"}, {"--test-leads", "--guide"}, {"--seed", "--simulate"},
        {"--fast", "--simulate"},
    };
    for (size_t i = 0; i < sizeof PAIRS / sizeof *PAIRS; i++)
        if (sw_argument_given(arguments, PAIRS[i][0]) && !sw_argument_given(arguments, PAIRS[i][1]))
            return sw_fail(error, SW_USAGE, "%s goes together with %s", PAIRS[i][0], PAIRS[i][1]);
    if (sw_argument_given(arguments, "--simulate") && sw_argument_given(arguments, "--input"))
        return sw_fail(error, SW_USAGE,
                       "--simulate takes the place of an input, --input names one");
    if (cli->json && sw_argument_given(arguments, "--guide"))
        return sw_fail(error, SW_USAGE,
                       "--guide talks with a person; for a program: record, then measure --json");
    return SW_OK;
}

/* What would go wrong after the spin goes wrong before it. */
static sw_status check_led(const sw_cli *cli, const sw_arguments *arguments, const char *path,
                           sw_error *error) {
    char target[SW_PATH_ROOM];
    sw_measure_request request;
    sw_motor facts;
    bool any = false;
    sw_status status = sw_measure_request_from(cli, arguments, &request, error);
    if (status == SW_OK)
        status = sw_measure_facts_from(cli, arguments, &facts, &any, error);
    if (status == SW_OK)
        status = sw_guide_target(arguments, path, target, sizeof target, error);
    bool merged =
        sw_argument_given(arguments, "--into") && !sw_argument_given(arguments, "--output");
    if (status == SW_OK && !merged && sw_file_exists(target))
        return sw_fail(error, SW_EXISTS, "%s: exists already; take another name, or -o OTHER.json",
                       target);
    return status == SW_OK ? sw_file_check_target(target, merged, error) : status;
}

/* The documents that the meter reads, and the word for the run-down. */
static sw_status check_documents(const sw_cli *cli, const sw_arguments *arguments,
                                 sw_error *error) {
    static const char *const COASTS[] = {"free", "with-drill", NULL};
    const char *probe = sw_argument(arguments, "--probe");
    const char *into = sw_argument(arguments, "--into");
    int coast = -1;
    sw_profile profile;
    sw_motor motor;
    sw_status status = sw_argument_word(arguments, "--coast", COASTS, &coast, error);
    if (status == SW_OK && probe != NULL)
        status = sw_profile_read(probe, cli->units, &profile, error);
    if (status == SW_OK && into != NULL)
        status = sw_motor_read(into, cli->units, &motor, error);
    return status;
}

/* The simulated motor, spun at about the speed that was given. */
static sw_status read_motor(const sw_cli *cli, const sw_arguments *arguments, sw_sim_spec *motor,
                            sw_error *error) {
    sw_quantity about = sw_quantity_unknown();
    sw_status status = sw_simulate_spec_from(cli, arguments, motor, error);
    sw_sim_use_sound_input(&motor->front);
    if (status == SW_OK)
        status = sw_argument_quantity_in(arguments, "--about", "rpm", 0.1, 1e6, cli->units, &about,
                                         error);
    if (status == SW_OK && sw_quantity_known(about))
        sw_simulated_motor_spin_at(motor, about.value);
    return status;
}

/* Never over an old file, nor over the motor that the guide saves. */
static sw_status plan_truth(sw_record_wishes *out, sw_error *error) {
    sw_status status = sw_simulate_truth_path(out->path, out->truth, sizeof out->truth, error);
    if (status == SW_OK && sw_file_exists(out->truth))
        return sw_fail(error, SW_EXISTS, "%s: exists already; take another name for the recording",
                       out->truth);
    return status == SW_OK ? sw_file_check_target(out->truth, false, error) : status;
}

sw_status sw_record_wishes_from(const sw_cli *cli, const sw_arguments *arguments,
                                sw_record_wishes *out, sw_error *error) {
    *out = (sw_record_wishes){.card = {.input = sw_argument(arguments, "--input")},
                              .until_stopped = sw_argument_given(arguments, "--until-stopped"),
                              .guide = sw_argument_given(arguments, "--guide"),
                              .simulate = sw_argument_given(arguments, "--simulate")};
    if (arguments->words != 1)
        return sw_fail(error, SW_USAGE, "expected one file to record into, such as rec.wav");
    out->path = arguments->word[0];
    sw_quantity length = sw_quantity_of(0, NAN, "s");
    sw_status status =
        sw_argument_quantity_in(arguments, "--for", "s", 0.1, 1e6, cli->units, &length, error);
    out->for_s = length.value;
    if (status == SW_OK)
        status = read_channels(arguments, &out->card.channels, error);
    if (status == SW_OK)
        status = read_rate(cli, arguments, &out->card.rate_hz, error);
    if (status == SW_OK)
        status = sw_record_hold(cli, arguments, &out->hold_s, error);
    if (status == SW_OK)
        status = check_pairs(cli, arguments, error);
    if (status == SW_OK)
        status = check_documents(cli, arguments, error);
    if (status == SW_OK && out->guide)
        status = check_led(cli, arguments, out->path, error);
    if (status == SW_OK && out->simulate)
        status = read_motor(cli, arguments, &out->motor, error);
    if (status == SW_OK && out->simulate)
        status = plan_truth(out, error);
    return status == SW_OK ? sw_recorder_check(out->path, error) : status;
}
