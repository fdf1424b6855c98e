/* calibrate: a recording of known volts -> the probe's volts per unit, low cut and clock. */
#include "probes/calibrate.h"
#include "probes/recording.h"
#include "shared/day.h"
#include "shared/files.h"
#include "shared/json_write.h"
#include "src/cli/command.h"
#include "src/report/calibrate_text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const sw_option OPTIONS[] = {
    {"--battery", NULL, "VOLTS", "a battery was touched to the divider; twice for two batteries"},
    {"--reference", NULL, "VOLTS", "an AC voltage of this size was recorded, with --frequency"},
    {"--motor-volts", NULL, "VOLTS", "what a meter on the motor showed while it ran steadily"},
    {"--frequency", NULL, "HERTZ", "of the reference; '50 Hz \u00b1 0.0001' compares the clock"},
    {"--meter", NULL, "KIND", "what read the AC volts: ac (averaging, default), true-rms"},
    {"--from", NULL, "TIME", "look only after this time"},
    {"--to", NULL, "TIME", "look only before this time"},
    {"--channel", NULL, "N", "which channel; else the liveliest"},
    {"--rate", NULL, "HERTZ", "samples a second, for files without times"},
    {"--into", NULL, "FILE", "put it into this probe document (a design, an older calibration)"},
    {"--device", NULL, "TEXT", "name of the input, kept in the document"},
    {"--gain", NULL, "NUMBER", "the input's gain setting, kept in the document"},
    {"--output", "-o", "FILE", "save the probe document"},
    {"--force", NULL, NULL, "replace the output file if it is there"},
    {0},
};

static sw_status check_call(const sw_arguments *arguments, sw_error *error) {
    int ways = sw_argument_given(arguments, "--battery") +
               sw_argument_given(arguments, "--reference") +
               sw_argument_given(arguments, "--motor-volts");
    const char *output = sw_argument(arguments, "--output");
    if (arguments->words != 1)
        return sw_fail(error, SW_USAGE, "found %zu recordings, expected one", arguments->words);
    if (ways != 1)
        return sw_fail(error, SW_USAGE,
                       "say what was recorded: one of --battery 9.2V, --reference '2.31 V', "
                       "--motor-volts '8.5 V'");
    if (sw_argument_given(arguments, "--reference") && !sw_argument_given(arguments, "--frequency"))
        return sw_fail(error, SW_USAGE,
                       "--reference needs its frequency, for example --frequency 50Hz");
    if (sw_argument_given(arguments, "--battery") && sw_argument_given(arguments, "--frequency"))
        return sw_fail(error, SW_USAGE, "--frequency goes with an AC voltage, not with --battery");
    if (output == NULL)
        return SW_OK;
    return sw_file_check_target(output, sw_argument_given(arguments, "--force"), error);
}

static sw_status load(const sw_cli *cli, const sw_arguments *arguments, sw_recording *recording,
                      sw_error *error) {
    sw_quantity rate = sw_quantity_of(0, 0, "Hz");
    sw_status status =
        sw_argument_quantity_in(arguments, "--rate", "Hz", 1, 1e8, cli->units, &rate, error);
    if (status != SW_OK)
        return status;
    sw_recording_request request = {
        .paths = &arguments->word[0], .count = 1, .rate_hz = rate.value, .units = cli->units};
    status = sw_recording_load(&request, recording, error);
    if (status == SW_OK && recording->is_readings) {
        sw_recording_free(recording);
        return sw_fail(error, SW_UNSUPPORTED, "%s: is a table of readings, expected a recording",
                       arguments->word[0]);
    }
    return status;
}

static sw_status choose_channel(const sw_cli *cli, const sw_arguments *arguments,
                                const sw_waveform *waveform, size_t *channel, sw_error *error) {
    sw_quantity number = sw_quantity_unknown();
    sw_status status = sw_argument_quantity_in(
        arguments, "--channel", "1", 1, (double)waveform->channels, cli->units, &number, error);
    if (status == SW_OK && sw_quantity_known(number) && number.value != floor(number.value))
        return sw_fail(error, SW_USAGE, "--channel: found %g, expected a whole number",
                       number.value);
    *channel =
        sw_quantity_known(number) ? (size_t)number.value - 1 : sw_calibrate_channel(waveform);
    return status;
}

static sw_status one_battery(const sw_cli *cli, const char *text, sw_quantity *battery,
                             sw_error *error) {
    sw_error inner = {SW_OK, ""};
    if (sw_quantity_parse(cli->units, text, "V", battery, &inner) != SW_OK)
        return sw_argument_fail("--battery", &inner, error);
    if (!(fabs(battery->value) >= 0.01 && fabs(battery->value) <= 1000))
        return sw_fail(error, SW_USAGE, "--battery: found %g V, expected 0.01 to 1000",
                       battery->value);
    return SW_OK;
}

static sw_status taps(const sw_cli *cli, const sw_arguments *arguments, const sw_waveform *waveform,
                      sw_calibration *calibration, sw_error *error) {
    sw_tap_request request = {0};
    sw_status status = choose_channel(cli, arguments, waveform, &request.channel, error);
    for (size_t n = 0; status == SW_OK; n++) {
        const char *text = sw_argument_nth(arguments, "--battery", n);
        if (text == NULL)
            break;
        if (n == SW_BATTERY_LIMIT)
            return sw_fail(error, SW_USAGE, "--battery: given %zu times, expected one or two",
                           n + 1);
        status = one_battery(cli, text, &request.battery[n], error);
        request.batteries = n + 1;
    }
    return status == SW_OK ? sw_calibrate_tap(waveform, &request, calibration, error) : status;
}

static sw_status read_times(const sw_cli *cli, const sw_arguments *arguments,
                            sw_reference_request *request, sw_error *error) {
    sw_quantity from = sw_quantity_unknown();
    sw_quantity to = sw_quantity_unknown();
    const sw_quantity_option options[] = {{"--from", "s", 0, 1e6, &from},
                                          {"--to", "s", 0, 1e6, &to}};
    sw_status status = sw_argument_quantities(arguments, options, 2, cli->units, error);
    request->from_s = from.value;
    request->to_s = to.value;
    return status;
}

static sw_status reference(const sw_cli *cli, const sw_arguments *arguments,
                           const sw_waveform *waveform, const sw_profile *profile,
                           sw_calibration *calibration, sw_error *error) {
    static const char *const METERS[] = {"ac", "true-rms", NULL};
    const char *name =
        sw_argument_given(arguments, "--reference") ? "--reference" : "--motor-volts";
    int meter = 0;
    sw_reference_request request = {.volts = sw_quantity_unknown(),
                                    .frequency = sw_quantity_unknown(),
                                    .with_clock = true,
                                    .low_cut_hz = profile->low_cut_hz,
                                    .low_cut_measured =
                                        profile->low_cut_hz.u <= 0.1 * profile->low_cut_hz.value};
    sw_status status = choose_channel(cli, arguments, waveform, &request.channel, error);
    if (status == SW_OK)
        status = sw_argument_quantity_in(arguments, name, "V", 1e-3, 1000, cli->units,
                                         &request.volts, error);
    if (status == SW_OK)
        status = sw_argument_quantity_in(arguments, "--frequency", "Hz", 3, 3000, cli->units,
                                         &request.frequency, error);
    if (status == SW_OK)
        status = sw_argument_word(arguments, "--meter", METERS, &meter, error);
    if (status == SW_OK)
        status = read_times(cli, arguments, &request, error);
    request.true_rms = meter == 1;
    return status == SW_OK ? sw_calibrate_reference(waveform, &request, calibration, error)
                           : status;
}

static sw_status start_profile(const sw_cli *cli, const sw_arguments *arguments,
                               const sw_waveform *waveform, sw_profile *profile, sw_error *error) {
    const char *into = sw_argument(arguments, "--into");
    const char *device = sw_argument(arguments, "--device");
    sw_quantity gain = sw_quantity_unknown();
    sw_status status = SW_OK;
    if (into != NULL)
        status = sw_profile_read(into, cli->units, profile, error);
    else
        *profile =
            waveform->coupling == SW_COUPLING_AC ? sw_profile_uncalibrated() : sw_profile_scope();
    if (status == SW_OK)
        status =
            sw_argument_quantity_in(arguments, "--gain", "1", -1e6, 1e6, cli->units, &gain, error);
    if (sw_quantity_known(gain))
        profile->gain = gain.value;
    if (device != NULL)
        sw_text_copy(device, profile->device, sizeof profile->device);
    sw_text_make_printable(profile->device);
    return status;
}

static sw_status save(const sw_arguments *arguments, const sw_profile *profile,
                      const char **saved_as, sw_error *error) {
    const char *output = sw_argument(arguments, "--output");
    const char *into = sw_argument(arguments, "--into");
    *saved_as = output != NULL ? output : into;
    if (*saved_as == NULL)
        return SW_OK;
    bool force = output == NULL || sw_argument_given(arguments, "--force");
    cJSON *root = sw_profile_to_json(profile);
    cJSON_AddStringToObject(root, "note", "calibrated");
    sw_status status = sw_json_save(root, *saved_as, force, error);
    cJSON_Delete(root);
    return status;
}

static sw_status print(const sw_cli *cli, const sw_calibration *calibration,
                       const sw_profile *profile, const char *saved_as, sw_error *error) {
    if (cli->json) {
        cJSON *root = sw_calibrate_to_json(calibration, profile);
        sw_status status = sw_cli_print_json(root, error);
        cJSON_Delete(root);
        return status;
    }
    sw_text text = {0};
    sw_calibrate_text(calibration, profile, saved_as, &text);
    sw_status status = sw_cli_print_text(&text, error);
    sw_text_free(&text);
    return status;
}

static sw_status run(const sw_cli *cli, const sw_arguments *arguments, sw_error *error) {
    sw_recording recording;
    sw_profile profile;
    sw_calibration calibration;
    const char *saved_as = NULL;
    sw_status status = check_call(arguments, error);
    if (status == SW_OK)
        status = load(cli, arguments, &recording, error);
    if (status != SW_OK)
        return status;
    const sw_waveform *waveform = &recording.waveform;
    status = start_profile(cli, arguments, waveform, &profile, error);
    if (status == SW_OK && sw_argument_given(arguments, "--battery"))
        status = taps(cli, arguments, waveform, &calibration, error);
    else if (status == SW_OK)
        status = reference(cli, arguments, waveform, &profile, &calibration, error);
    sw_recording_free(&recording);
    if (status != SW_OK)
        return status;
    sw_calibration_merge(&calibration, sw_argument_given(arguments, "--into"), &profile);
    profile.calibrated_day = sw_day_today();
    status = save(arguments, &profile, &saved_as, error);
    return status == SW_OK ? print(cli, &calibration, &profile, saved_as, error) : status;
}

const sw_command sw_command_calibrate = {
    .name = "calibrate",
    .summary = "known volts, recorded -> what full scale means at the motor",
    .usage = "spinworth calibrate RECORDING --battery VOLTS [OPTIONS]\n"
             "       spinworth calibrate RECORDING --reference VOLTS --frequency HERTZ\n"
             "       spinworth calibrate RECORDING --motor-volts VOLTS",
    .about = "Touch a battery whose volts you have read to the motor side of the divider,\n"
             "ten times, half a second each, five times either way round, and record it.\n"
             "Begin with nothing touching. Each touch is a step that sinks back: its height\n"
             "gives the volts, its sinking the input's low cut. A second battery, much\n"
             "smaller, shows whether the input is straight. An AC voltage of known size, or\n"
             "a motor with a meter on it, does too, where the low cut is known.",
    .example = "  A 9 V block reads 9.2 V on the meter; the divider was designed before:\n"
               "    spinworth calibrate taps.wav --battery 9.2V --into probe.json\n"
               "  It answers: Full scale is 24.97 V at the motor, good to \u00b10.9 %, from 10\n"
               "  touches of the battery. The document is updated.",
    .options = OPTIONS,
    .run = run,
};
