/* divider: largest expected volts -> resistors, clamps and capacitor for a sound input. */
#include "probes/divider.h"
#include "shared/files.h"
#include "shared/json_write.h"
#include "src/cli/command.h"
#include "src/report/divider_text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const sw_option OPTIONS[] = {
    {"--volts", NULL, "VOLTS", "largest AC volts expected between two wires"},
    {"--hand", NULL, "READING", "'3 V at 10 turns in 12 s': a rough reading, by hand"},
    {"--top", NULL, "SPEED", "fastest the motor will be turned; goes with --hand"},
    {"--input", NULL, "KIND", "line (default), headset, usb"},
    {"--impedance", NULL, "OHMS", "of the input, when known"},
    {"--full-scale", NULL, "VOLTS", "peak volts at the input for full scale, when known"},
    {"--tolerance", NULL, "SHARE", "of the resistors: 1%, 5% (default)"},
    {"--capacitor", NULL, "VALUE", "the series capacitor at hand"},
    {"--coil", NULL, "OHMS", "the motor's ohms between the two wires"},
    {"--probe-out", NULL, "FILE", "save the design as a probe, to be calibrated"},
    {"--force", NULL, NULL, "replace that file if it is there"},
    {0},
};

/* Hands turn unevenly and meters read low below some 10 Hz: half as much again. */
static const double HAND_MARGIN = 1.5;

static sw_status split_hand(const char *text, const sw_cli *cli, sw_quantity *volts,
                            sw_quantity *speed, sw_error *error) {
    const char *at = strstr(text, " at ");
    char first[60];
    if (at == NULL || (size_t)(at - text) >= sizeof first)
        return sw_fail(error, SW_USAGE, "found \"%.60s\", expected '3 V at 10 turns in 12 s'",
                       text);
    snprintf(first, sizeof first, "%.*s", (int)(at - text), text);
    sw_status status = sw_quantity_parse(cli->units, first, "V", volts, error);
    if (status == SW_OK)
        status = sw_quantity_parse(cli->units, at + 4, "rpm", speed, error);
    if (status == SW_OK && !(volts->value > 0 && speed->value > 0))
        return sw_fail(error, SW_USAGE, "found %g V at %g rpm, expected both above zero",
                       volts->value, speed->value);
    return status;
}

/* Volts grow with speed. */
static sw_status hand_volts(const sw_cli *cli, const sw_arguments *arguments,
                            sw_divider_request *request, sw_error *error) {
    sw_error inner = {SW_OK, ""};
    sw_quantity volts = sw_quantity_unknown();
    sw_quantity speed = sw_quantity_unknown();
    sw_quantity top = sw_quantity_unknown();
    if (!sw_argument_given(arguments, "--top"))
        return sw_fail(error, SW_USAGE,
                       "--hand needs the fastest speed too, for example --top 800rpm");
    if (split_hand(sw_argument(arguments, "--hand"), cli, &volts, &speed, &inner) != SW_OK)
        return sw_argument_fail("--hand", &inner, error);
    sw_status status =
        sw_argument_quantity_in(arguments, "--top", "rpm", 1, 1e5, cli->units, &top, error);
    if (status != SW_OK)
        return status;
    double value = HAND_MARGIN * volts.value * fmax(1, top.value / speed.value);
    if (!(value >= 0.1 && value <= 1000))
        return sw_fail(error, SW_USAGE,
                       "--hand: that makes %.3g V at the top speed, expected 0.1 to 1000", value);
    request->volts = sw_quantity_of(value, NAN, "V");
    request->from_hand = true;
    return SW_OK;
}

static sw_status read_volts(const sw_cli *cli, const sw_arguments *arguments,
                            sw_divider_request *request, sw_error *error) {
    bool hand = sw_argument_given(arguments, "--hand");
    if (hand && sw_argument_given(arguments, "--volts"))
        return sw_fail(error, SW_USAGE, "give either --volts or --hand, not both");
    if (!hand && sw_argument_given(arguments, "--top"))
        return sw_fail(error, SW_USAGE,
                       "--top goes with a reading, for example --hand '3 V at 10 turns in 12 s'");
    if (hand)
        return hand_volts(cli, arguments, request, error);
    return sw_argument_quantity_in(arguments, "--volts", "V", 0.1, 1000, cli->units,
                                   &request->volts, error);
}

static sw_status read_parts(const sw_cli *cli, const sw_arguments *arguments,
                            sw_divider_request *request, sw_error *error) {
    sw_quantity tolerance = sw_quantity_unknown();
    sw_quantity capacitor = sw_quantity_unknown();
    sw_quantity coil = sw_quantity_unknown();
    const sw_quantity_option options[] = {
        {"--impedance", "ohm", 200, 1e7, &request->impedance},
        {"--full-scale", "V", 0.005, 20, &request->full_scale},
        {"--tolerance", "1", 1e-4, 0.2, &tolerance},
        {"--capacitor", "uF", 1e-3, 1e4, &capacitor},
        {"--coil", "ohm", 0.01, 1e6, &coil},
    };
    sw_status status = sw_argument_quantities(arguments, options, sizeof options / sizeof *options,
                                              cli->units, error);
    request->tolerance = tolerance.value;
    request->capacitor_uf = capacitor.value;
    request->coil_ohm = coil.value;
    return status;
}

static sw_status save_probe(const sw_arguments *arguments, const sw_divider *divider,
                            sw_error *error) {
    const char *path = sw_argument(arguments, "--probe-out");
    if (path == NULL)
        return SW_OK;
    cJSON *root = sw_profile_to_json(&divider->profile);
    cJSON_AddStringToObject(root, "note", "designed, not calibrated");
    sw_status status = sw_json_save(root, path, sw_argument_given(arguments, "--force"), error);
    cJSON_Delete(root);
    return status;
}

static sw_status print(const sw_cli *cli, const sw_arguments *arguments, const sw_divider *divider,
                       sw_input_kind input, sw_error *error) {
    const char *saved = sw_argument(arguments, "--probe-out");
    if (cli->json) {
        cJSON *root = sw_divider_to_json(divider, input);
        sw_status status = sw_cli_print_json(root, error);
        cJSON_Delete(root);
        return status;
    }
    sw_text text = {0};
    sw_divider_text(divider, input, saved, &text);
    sw_status status = sw_cli_print_text(&text, error);
    sw_text_free(&text);
    return status;
}

static sw_status run(const sw_cli *cli, const sw_arguments *arguments, sw_error *error) {
    sw_divider_request request = {.volts = sw_quantity_unknown(),
                                  .impedance = sw_quantity_unknown(),
                                  .full_scale = sw_quantity_unknown()};
    sw_divider divider;
    int input = SW_INPUT_LINE;
    if (arguments->words > 0)
        return sw_fail(error, SW_USAGE, "found \"%.60s\", expected options only",
                       arguments->word[0]);
    sw_status status = sw_argument_word(arguments, "--input", SW_INPUT_NAMES, &input, error);
    request.input = (sw_input_kind)input;
    if (status == SW_OK)
        status = read_volts(cli, arguments, &request, error);
    if (status == SW_OK)
        status = read_parts(cli, arguments, &request, error);
    if (status == SW_OK)
        status = sw_divider_design(cli->reference_dir, &request, &divider, error);
    if (status == SW_OK)
        status = save_probe(arguments, &divider, error);
    return status == SW_OK ? print(cli, arguments, &divider, request.input, error) : status;
}

const sw_command sw_command_divider = {
    .name = "divider",
    .summary = "largest expected volts -> resistors between motor and sound input",
    .usage = "spinworth divider [--volts VOLTS | --hand READING --top SPEED] [OPTIONS]",
    .about = "A motor gives tens or hundreds of volts, a sound input takes about one. This\n"
             "says which resistors, clamp diodes and capacitor go between them, with a\n"
             "sketch. With nothing known it is designed for 400 V: turn the motor by hand\n"
             "with a meter on it, then design again.",
    .example = "  Turned by hand, ten turns in twelve seconds, the meter shows 3 V; the drill\n"
               "  will do 800 turns a minute:\n"
               "    spinworth divider --hand '3 V at 10 turns in 12 s' --top 800rpm \\\n"
               "      --probe-out probe.json\n"
               "  It answers: Use 1 resistor of ... and one of ..., with the wiring.",
    .options = OPTIONS,
    .run = run,
};
