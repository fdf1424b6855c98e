#include "src/cli/simulate_taps.h"

#include "probes/simulate/taps.h"
#include "probes/simulate/writer.h"
#include "shared/files.h"
#include "shared/json_write.h"

#include <string.h>

sw_status sw_simulate_taps_check(const sw_arguments *arguments, sw_error *error) {
    static const char *const OTHERS[] = {"--truth", "--probe-out", "--csv", NULL};
    const char *output = sw_argument(arguments, "--output");
    if (!sw_argument_given(arguments, "--taps"))
        return sw_argument_given(arguments, "--battery")
                   ? sw_fail(error, SW_USAGE, "--battery goes together with --taps")
                   : SW_OK;
    if (!sw_argument_given(arguments, "--battery"))
        return sw_fail(error, SW_USAGE, "--taps needs a battery, for example --battery 9.2V");
    for (size_t i = 0; OTHERS[i] != NULL; i++)
        if (sw_argument_given(arguments, OTHERS[i]))
            return sw_fail(error, SW_USAGE, "%s does not go with --taps", OTHERS[i]);
    if (output == NULL)
        return sw_fail(error, SW_USAGE,
                       "nowhere to write to; expected -o FILE, such as -o taps.wav");
    size_t length = strlen(output);
    if (length < 5 ||
        (strcmp(output + length - 4, ".wav") != 0 && strcmp(output + length - 5, ".flac") != 0))
        return sw_fail(error, SW_USAGE, "%s: expected a name that ends in .wav or .flac", output);
    return sw_file_check_target(output, sw_argument_given(arguments, "--force"), error);
}

static sw_status read_batteries(const sw_cli *cli, const sw_arguments *arguments,
                                sw_sim_batteries *batteries, sw_error *error) {
    *batteries = (sw_sim_batteries){.count = 0};
    for (size_t n = 0; sw_argument_nth(arguments, "--battery", n) != NULL; n++) {
        sw_quantity volts;
        sw_error inner = {SW_OK, ""};
        if (n == SW_SIM_BATTERY_LIMIT)
            return sw_fail(error, SW_USAGE, "--battery: given %zu times, expected one or two",
                           n + 1);
        if (sw_quantity_parse(cli->units, sw_argument_nth(arguments, "--battery", n), "V", &volts,
                              &inner) != SW_OK)
            return sw_argument_fail("--battery", &inner, error);
        if (!(volts.value >= 0.01 && volts.value <= 1000))
            return sw_fail(error, SW_USAGE, "--battery: found %g V, expected 0.01 to 1000",
                           volts.value);
        batteries->volts[batteries->count++] = volts.value;
    }
    return SW_OK;
}

static sw_status tell_json(const char *output, const sw_sim_batteries *batteries,
                           const sw_sim_front *front, sw_error *error) {
    cJSON *root = cJSON_CreateObject();
    cJSON_AddStringToObject(root, "recording", output);
    sw_json_add_number(root, "touches",
                       (double)(2 * SW_SIM_TOUCHES_EACH_WAY) * (double)batteries->count);
    sw_json_add_quantity(root, "volts_per_unit", sw_quantity_of(front->volts_per_unit, 0, "V"));
    sw_json_add_quantity(root, "low_cut", sw_quantity_of(front->low_cut_hz, 0, "Hz"));
    sw_status status = sw_cli_print_json(root, error);
    cJSON_Delete(root);
    return status;
}

static sw_status tell(const sw_cli *cli, const sw_arguments *arguments,
                      const sw_sim_batteries *batteries, const sw_waveform *waveform,
                      const sw_sim_front *front, sw_error *error) {
    const char *output = sw_argument(arguments, "--output");
    const char *probe = sw_argument(arguments, "--probe");
    if (cli->json)
        return tell_json(output, batteries, front, error);
    sw_text text = {0};
    sw_text_paragraph(&text, 0,
                      "%s: %.0f s of a simulated battery, touched %d times to the divider, half "
                      "of them the other way round.",
                      output, (double)waveform->frames / waveform->rate_hz,
                      2 * SW_SIM_TOUCHES_EACH_WAY * (int)batteries->count);
    sw_text_add(&text, "Next: spinworth calibrate %s", output);
    for (size_t b = 0; b < batteries->count; b++)
        sw_text_add(&text, " --battery %gV", batteries->volts[b]);
    sw_text_add(&text, probe != NULL ? " --into %s\n" : " -o %s\n",
                probe != NULL ? probe : "probe.json");
    sw_text_paragraph(&text, 0,
                      "To compare: full scale of this divider is really %.4g V, its low cut "
                      "%.3g Hz.",
                      front->volts_per_unit, front->low_cut_hz);
    sw_status status = sw_cli_print_text(&text, error);
    sw_text_free(&text);
    return status;
}

sw_status sw_simulate_taps(const sw_cli *cli, const sw_arguments *arguments,
                           const sw_sim_spec *spec, sw_error *error) {
    sw_sim_batteries batteries;
    sw_sim_front front;
    sw_waveform waveform = {0};
    sw_status status = read_batteries(cli, arguments, &batteries, error);
    if (status == SW_OK)
        status = sw_sim_taps(spec, &batteries, &waveform, &front, error);
    if (status == SW_OK)
        status = sw_sim_save_sound(sw_argument(arguments, "--output"), &waveform, &front,
                                   sw_argument_given(arguments, "--force"), error);
    if (status == SW_OK)
        status = tell(cli, arguments, &batteries, &waveform, &front, error);
    sw_waveform_free(&waveform);
    return status;
}
