/* compare: a log of the finished machine beside its prediction. */
#include "src/match/compare/compare.h"
#include "src/cli/command.h"
#include "src/match/site/air.h"
#include "src/report/compare_text.h"

#include <math.h>
#include <stdlib.h>

static const sw_option OPTIONS[] = {
    {"--match", NULL, "M.json", "the prediction, as match -o saved it"},
    {"--temperature", NULL, "TEMPERATURE", "of the air while logging (else as predicted)"},
    {"--altitude", NULL, "HEIGHT", "of the place above the sea, with --temperature"},
    {"--pole-pairs", NULL, "N", "of the motor, where the prediction does not know them"},
    {0},
};

static const char EXAMPLE[] =
    "  A log of five rows by hand, with wind as one sees it:\n"
    "    wind [Beaufort], volts, amps\n"
    "    2, 12.6, 0\n"
    "    3, 12.7, 0.4\n"
    "    ...\n"
    "  spinworth compare log.csv --match drum.match.json\n"
    "\n"
    "  It gives 62 % of what was predicted, and the prediction is good to \u00b1 40 %.\n";

typedef struct air {
    double density;
    double pole_pairs;
} air;

static sw_status read_options(const sw_cli *cli, const sw_arguments *arguments, air *it,
                              sw_error *error) {
    sw_quantity temperature = sw_quantity_unknown();
    sw_quantity altitude = sw_quantity_of(0, NAN, "m");
    sw_quantity poles = sw_quantity_unknown();
    if (arguments->words != 1)
        return sw_fail(error, SW_USAGE, "one log is needed, %zu are given", arguments->words);
    if (!sw_argument_given(arguments, "--match"))
        return sw_fail(error, SW_USAGE, "--match is missing, for example --match drum.match.json");
    const sw_quantity_option options[] = {
        {"--temperature", "degC", -60, 60, &temperature},
        {"--altitude", "m", -400, 5000, &altitude},
        {"--pole-pairs", "1", 1, 1000, &poles},
    };
    sw_status status = sw_argument_quantities(arguments, options, sizeof options / sizeof *options,
                                              cli->units, error);
    if (status == SW_OK && sw_argument_given(arguments, "--altitude") &&
        !sw_quantity_known(temperature))
        return sw_fail(error, SW_USAGE, "--altitude needs --temperature beside it");
    it->density =
        sw_quantity_known(temperature) ? sw_air_density(altitude.value, temperature.value) : NAN;
    it->pole_pairs = poles.value;
    return status;
}

static sw_status show(const sw_cli *cli, const sw_comparison *comparison, sw_error *error) {
    sw_text text = {0};
    if (cli->json) {
        cJSON *root = sw_compare_to_json(comparison);
        sw_status status = sw_cli_print_json(root, error);
        cJSON_Delete(root);
        return status;
    }
    sw_compare_text(comparison, cli->us_units, &text);
    sw_status status = sw_cli_print_text(&text, error);
    sw_text_free(&text);
    return status;
}

typedef struct papers {
    sw_prediction prediction;
    sw_comparison comparison;
} papers;

static sw_status compare(const sw_cli *cli, const sw_arguments *arguments, const air *it,
                         papers *out, sw_error *error) {
    sw_log log = {0};
    sw_status status =
        sw_prediction_read(sw_argument(arguments, "--match"), cli->units, &out->prediction, error);
    if (status == SW_OK)
        status = sw_log_read(arguments->word[0], cli->units, &log, error);
    if (status == SW_OK)
        status = sw_compare(&log, &out->prediction, it->density, it->pole_pairs, &out->comparison,
                            error);
    sw_log_free(&log);
    if (status == SW_OK)
        status = show(cli, &out->comparison, error);
    return status;
}

static sw_status run(const sw_cli *cli, const sw_arguments *arguments, sw_error *error) {
    air it;
    sw_status status = read_options(cli, arguments, &it, error);
    if (status != SW_OK)
        return status;
    papers *out = calloc(1, sizeof *out);
    if (out == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory to compare");
    status = compare(cli, arguments, &it, out, error);
    free(out);
    return status;
}

const sw_command sw_command_compare = {
    .name = "compare",
    .summary = "a log of the finished machine beside its prediction: what falls short",
    .usage = "spinworth compare LOG.csv --match M.json [OPTIONS]",
    .about = "The log is a table whose first line names its columns: wind with its unit (m/s,\n"
             "mph, Beaufort ...) or rotor rpm, then volts and amps (or watts; U (V) and I (mA)\n"
             "will do), and the motor's electrical hertz if there is a reading. Five rows by hand\n"
             "will do. A run turned by hand works too: log rotor rpm in place of wind.",
    .example = EXAMPLE,
    .options = OPTIONS,
    .run = run,
};
