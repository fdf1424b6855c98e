/* spinworth simulate: a recording without hardware, with its truth beside it. */
#include "probes/simulate/simulate.h"
#include "probes/profile.h"
#include "probes/simulate/tach.h"
#include "probes/simulate/writer.h"
#include "shared/files.h"
#include "shared/json_write.h"
#include "src/cli/command.h"
#include "src/cli/simulate_spec.h"
#include "src/cli/simulate_taps.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* What a careful person reaches with a battery tap: 0.2 % of the volts, 3 % of the low cut,
 * 20 parts in a million of the clock. */
static const sw_sim_calibration CALIBRATION = {0.002, 0.03, 20e-6};

/* The record is made in memory: half a gigabyte. */
static const double SAMPLE_LIMIT = 64e6;

static const sw_option OPTIONS[] = {
    {"--output", "-o", "FILE", "recording to write: .wav, .flac or .csv"},
    {"--family", NULL, "NAME", "kind of motor, such as drum-48; drawn when not given"},
    {"--list", NULL, NULL, "list the families"},
    {"--seed", NULL, "NUMBER", "another number is another motor and spin (1)"},
    {"--document", NULL, "FILE", "take the wishes from a simulation document"},
    {"--truth", NULL, "FILE", "where the truth goes (beside the recording, .truth.json)"},
    {"--probe-out", NULL, "FILE", "write the profile that a calibration would have given"},
    {"--taps", NULL, NULL, "no motor: a battery touched to the divider, for calibrate"},
    {"--battery", NULL, "VOLTS", "its volts; twice for two batteries"},
    {"--probe", NULL, "FILE", "divider and input are as this document says, within its \u00b1"},
    {"--csv", NULL, NULL, "write a scope's table, whatever the name ends in"},
    {"--force", NULL, NULL, "replace files that are there already"},
    {"--hand", NULL, NULL, "turned by hand, 60 rpm unless --speed says otherwise"},
    {"--clean", NULL, NULL, "equal magnets, ideal input, steady speed from the start"},
    {"--seconds", NULL, "TIME", "length of the record"},
    {"--lead-in", NULL, "TIME", "at rest before the spin"},
    {"--ramp-time", NULL, "TIME", "time to reach the speed; 0s starts at speed"},
    {"--hold-time", NULL, "TIME", "time at speed before letting go"},
    {"--speed", NULL, "SPEED", "speed of the shaft that is held"},
    {"--coast", NULL, "no|free|with-drill", "let go at the end: shaft freed, or drill still on"},
    {"--backwards", NULL, NULL, "turn the other way"},
    {"--wobble", NULL, "SHARE", "slow wander of the speed, standard deviation"},
    {"--wobble-rate", NULL, "HERTZ", "how fast it wanders"},
    {"--chuck-ripple", NULL, "SHARE", "speed ripple once a turn"},
    {"--gear-ripple", NULL, "SHARE", "speed ripple of the drill's gears"},
    {"--channels", NULL, "1|2|3", "channels recorded"},
    {"--between", NULL, "WORD", "automatic, lines, star-point or windings"},
    {"--isolated", NULL, NULL, "channels have no common ground"},
    {"--swap", NULL, NULL, "channels 1 and 2 exchanged"},
    {"--scope", NULL, NULL, "samples are a scope's volts"},
    {"--rate", NULL, "HERTZ", "samples a second"},
    {"--bits", NULL, "NUMBER", "steps of the converter: 16, 24, 8; 0 = not rounded"},
    {"--clock-error", NULL, "SHARE", "true rate over stated rate less one, such as 40e-6"},
    {"--volts-per-unit", NULL, "VOLTS", "volts at the motor for full scale"},
    {"--level", NULL, "SHARE", "peak at the held speed as a share of full scale"},
    {"--input-resistance", NULL, "OHM", "divider and input as the winding sees them"},
    {"--load-resistance", NULL, "OHM",
     "resistor across the two wires recorded: one channel, no coast"},
    {"--low-cut", NULL, "HERTZ", "low cut of the input; 0Hz = DC-coupled"},
    {"--linear-limit", NULL, "SHARE", "where the clamps begin to conduct; 0 = no clamps"},
    {"--noise", NULL, "SHARE", "white noise, rms over full scale"},
    {"--hum", NULL, "SHARE", "mains hum, peak over full scale"},
    {"--hum-frequency", NULL, "HERTZ", "frequency of the mains"},
    {"--offset", NULL, "SHARE", "steady offset over full scale"},
    {"--automatic-level", NULL, NULL, "the recorder turns its gain up and down"},
    {"--volts-per-hertz", NULL, "QUANTITY", "rms line to line per electrical hertz"},
    {"--magnet-spread", NULL, "SHARE", "magnets' strength, standard deviation"},
    {"--run-out", NULL, "SHARE", "turning error of the air gap"},
    {"--weak-coil", NULL, "SHARE", "share of one phase's coils that is shorted"},
    {"--weak-magnet", NULL, "POLE:SHARE", "one pole keeps that share, such as 5:0.6"},
    {"--fault", NULL, "WORD", "shorted-coil, dead-coil, reversed-phase, weak-magnet, ..."},
    {"--tach-marks", NULL, "NUMBER", "one channel more: a sensor sees so many marks a turn"},
    {"--tach-sine", NULL, NULL, "that sensor gives a sine, not pulses"},
    {"--delta", NULL, NULL, "coils joined in delta"},
    {"--winding-resistance", NULL, "OHM", "line to line"},
    {"--winding-inductance", NULL, "MILLIHENRY", "line to line"},
    {"--drag-constant", NULL, "TORQUE", "drag that does not depend on speed"},
    {"--drag-linear", NULL, "QUANTITY", "drag over speed, N m s/rad"},
    {"--drag-quadratic", NULL, "QUANTITY", "drag over speed squared"},
    {"--cogging-torque", NULL, "TORQUE", "peak"},
    {"--inertia", NULL, "QUANTITY", "of the turning part"},
    {0},
};

/* ---- outputs ---- */

typedef struct outputs {
    const char *recording;
    char truth[SW_PATH_ROOM];
    const char *profile; /* NULL = not wanted */
    bool table;
    bool force;
} outputs;

static bool ends_with(const char *path, const char *suffix) {
    size_t length = strlen(path);
    size_t width = strlen(suffix);
    return length > width && strcmp(path + length - width, suffix) == 0;
}

static sw_status name_truth(const char *recording, const char *given, outputs *out,
                            sw_error *error) {
    if (given == NULL)
        return sw_simulate_truth_path(recording, out->truth, sizeof out->truth, error);
    if (strlen(given) >= sizeof out->truth)
        return sw_fail(error, SW_USAGE, "%.60s...: the path is too long", given);
    sw_text_copy(given, out->truth, sizeof out->truth);
    return SW_OK;
}

static sw_status check_free(const char *path, bool force, sw_error *error) {
    return path == NULL ? SW_OK : sw_file_check_target(path, force, error);
}

/* Look before simulating, so that nothing is written when one of the files is there already. */
static sw_status plan_outputs(const sw_arguments *arguments, outputs *out, sw_error *error) {
    out->recording = sw_argument(arguments, "--output");
    out->profile = sw_argument(arguments, "--probe-out");
    out->force = sw_argument_given(arguments, "--force");
    if (out->recording == NULL)
        return sw_fail(error, SW_USAGE,
                       "nowhere to write to; expected -o FILE, such as -o rec.wav");
    bool sound = ends_with(out->recording, ".wav") || ends_with(out->recording, ".flac");
    out->table = sw_argument_given(arguments, "--csv") || ends_with(out->recording, ".csv");
    if (!sound && !out->table)
        return sw_fail(error, SW_USAGE, "%s: expected a name that ends in .wav, .flac or .csv",
                       out->recording);
    sw_status status = name_truth(out->recording, sw_argument(arguments, "--truth"), out, error);
    if (status == SW_OK && (strcmp(out->truth, out->recording) == 0 ||
                            (out->profile != NULL && (strcmp(out->profile, out->truth) == 0 ||
                                                      strcmp(out->profile, out->recording) == 0))))
        return sw_fail(error, SW_USAGE, "%s: two outputs with one name", out->truth);
    if (status == SW_OK)
        status = check_free(out->recording, out->force, error);
    if (status == SW_OK)
        status = check_free(out->truth, out->force, error);
    if (status == SW_OK)
        status = check_free(out->profile, out->force, error);
    return status;
}

static sw_status save_profile(const outputs *out, const sw_sim_truth *truth, sw_error *error) {
    if (out->profile == NULL)
        return SW_OK;
    sw_profile profile = sw_sim_profile(truth, &CALIBRATION);
    /* A sound file holds a scope's volts over its full scale. */
    if (truth->spec.front.scope && !out->table) {
        profile.volts_per_unit.value *= truth->spec.front.volts_per_unit;
        profile.volts_per_unit.u *= truth->spec.front.volts_per_unit;
    }
    cJSON *root = sw_profile_to_json(&profile);
    sw_status status = sw_json_save(root, out->profile, out->force, error);
    cJSON_Delete(root);
    return status;
}

static sw_status save(const outputs *out, const sw_waveform *waveform, const sw_sim_truth *truth,
                      const cJSON *json, sw_error *error) {
    const sw_sim_front *front = &truth->spec.front;
    sw_status status = out->table
                           ? sw_sim_save_table(out->recording, waveform, front, out->force, error)
                           : sw_sim_save_sound(out->recording, waveform, front, out->force, error);
    if (status == SW_OK)
        status = sw_json_save(json, out->truth, out->force, error);
    if (status == SW_OK)
        status = save_profile(out, truth, error);
    return status;
}

static sw_status tell(const sw_cli *cli, const outputs *out, const sw_sim_truth *truth,
                      const cJSON *json, sw_error *error) {
    if (cli->json)
        return sw_cli_print_json(json, error);
    const sw_sim_spec *spec = &truth->spec;
    size_t channels = sw_sim_channels(&spec->front);
    sw_text text = {0};
    sw_text_paragraph(&text, 0, "%s: %.1f s of a simulated motor, %d channel%s at %g Hz.",
                      out->recording, spec->spin.seconds, (int)channels, channels == 1 ? "" : "s",
                      spec->front.rate_hz);
    char about[40] = "";
    if (isfinite(truth->hold_speed_rpm))
        snprintf(about, sizeof about, " %s %.0frpm",
                 spec->motor.kind == SW_SIM_BRUSHED ? "--speed" : "--about",
                 10 * ceil(truth->hold_speed_rpm / 10));
    sw_text_paragraph(&text, 0, "Try it: spinworth measure %s%s%s%s", out->recording,
                      out->profile != NULL ? " --probe " : "",
                      out->profile != NULL ? out->profile : "", about);
    sw_text_paragraph(&text, 0, "What it really is stands in %s.", out->truth);
    sw_status status = sw_cli_print_text(&text, error);
    sw_text_free(&text);
    return status;
}

/* ---- the command ---- */

static sw_status list_families(sw_error *error) {
    sw_text text = {0};
    for (size_t i = 0; sw_sim_family_name(i) != NULL; i++)
        sw_text_add(&text, "  %-14s %s\n", sw_sim_family_name(i), sw_sim_family_about(i));
    sw_status status = sw_cli_print_text(&text, error);
    sw_text_free(&text);
    return status;
}

static sw_status simulate(const sw_cli *cli, const sw_sim_spec *spec, const outputs *out,
                          sw_error *error) {
    sw_waveform waveform;
    sw_sim_truth truth;
    double samples = spec->spin.seconds * spec->front.rate_hz * spec->front.channels;
    if (samples > SAMPLE_LIMIT)
        return sw_fail(error, SW_VALUE,
                       "%g s of %d channels at %g Hz are more than %g samples in all",
                       spec->spin.seconds, spec->front.channels, spec->front.rate_hz, SAMPLE_LIMIT);
    sw_status status = sw_simulate(spec, &waveform, &truth, error);
    if (status != SW_OK)
        return status;
    cJSON *json = sw_sim_truth_to_json(&truth);
    status = save(out, &waveform, &truth, json, error);
    if (status == SW_OK)
        status = tell(cli, out, &truth, json, error);
    cJSON_Delete(json);
    sw_waveform_free(&waveform);
    return status;
}

static sw_status run(const sw_cli *cli, const sw_arguments *arguments, sw_error *error) {
    if (arguments->words > 0)
        return sw_fail(error, SW_USAGE, "\"%.60s\" is not expected; the recording is named by -o",
                       arguments->word[0]);
    if (sw_argument_given(arguments, "--list"))
        return list_families(error);
    outputs out = {.recording = NULL};
    sw_sim_spec spec;
    bool taps = sw_argument_given(arguments, "--taps");
    sw_status status = sw_simulate_taps_check(arguments, error);
    if (status == SW_OK && !taps)
        status = plan_outputs(arguments, &out, error);
    if (status == SW_OK)
        status = sw_simulate_spec_from(cli, arguments, &spec, error);
    if (status == SW_OK && taps)
        return sw_simulate_taps(cli, arguments, &spec, error);
    return status == SW_OK ? simulate(cli, &spec, &out, error) : status;
}

const sw_command sw_command_simulate = {
    .name = "simulate",
    .summary = "practice without hardware: a recording with its truth",
    .usage = "spinworth simulate -o FILE [--family NAME] [--seed NUMBER] [OPTIONS]\n"
             "       spinworth simulate --taps --battery VOLTS -o FILE [--probe FILE]",
    .about = "Makes the recording that a motor of the family would give when a hand drill\n"
             "spins it and a sound input records it, and writes what the motor really was\n"
             "beside it. Magnets, coils, drill and input differ a little each time, as real\n"
             "ones do; the same seed gives the same recording again.",
    .example = "  spinworth simulate --family drum-48 --seed 7 -o rec.wav \\\n"
               "    --probe-out probe.json\n"
               "  spinworth measure rec.wav --probe probe.json --about 300rpm\n"
               "  cat rec.truth.json",
    .options = OPTIONS,
    .run = run,
};
