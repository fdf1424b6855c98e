/* wires: ohms between numbered wires -> which ones to use. */
#include "src/measure/wires/wires.h"
#include "src/cli/command.h"
#include "src/report/wires_text.h"

#include <math.h>

static const sw_option OPTIONS[] = {
    {"--wires", NULL, "N", "how many wires come out; number them 1 to N with tape"},
    {"--ohms", NULL, "LIST", "'1-2 7.2, 2-3 7.1, 1-3 7.2'; also open, climbs, ? (not measured)"},
    {"--test-leads", NULL, "OHMS", "what the meter shows with its leads shorted"},
    {"--thick", NULL, "LIST", "the thick ones: 1,2,3 or 1-3"},
    {"--thin", NULL, "LIST", "the thin ones"},
    {"--colours", "--colors", "LIST", "'blue, white, red': one for each wire, in order"},
    {"--stiffer", NULL, "LIST", "pairs that make the shaft stiffer when joined: '1-2, 2-3'"},
    {"--not-stiffer", NULL, "LIST", "pairs that do not"},
    {"--volts", NULL, "LIST", "AC volts of pairs while it was spun: '4-5 12V'"},
    {0},
};

static sw_status start(const sw_cli *cli, const sw_arguments *arguments, sw_wires *wires,
                       sw_error *error) {
    bool typed = sw_argument_given(arguments, "--wires") || sw_argument_given(arguments, "--ohms");
    if (arguments->words > 1 || (arguments->words == 1 && typed))
        return sw_fail(error, SW_USAGE, "give either one document or --wires and --ohms, not both");
    if (arguments->words == 1)
        return sw_wires_read(arguments->word[0], cli->units, wires, error);
    if (!sw_argument_given(arguments, "--wires"))
        return sw_fail(error, SW_USAGE, "--wires is missing, for example --wires 6");
    if (!sw_argument_given(arguments, "--ohms"))
        return sw_fail(error, SW_USAGE,
                       "--ohms is missing, for example --ohms '1-2 7.2, 2-3 7.1, 1-3 7.2'");
    sw_quantity count = sw_quantity_unknown();
    sw_status status = sw_argument_quantity_in(arguments, "--wires", "1", 2, SW_WIRE_LIMIT,
                                               cli->units, &count, error);
    if (status == SW_OK && count.value != floor(count.value))
        return sw_fail(error, SW_USAGE, "--wires: found %g, expected a whole number", count.value);
    if (status == SW_OK)
        sw_wires_init(wires, (int)count.value);
    return status;
}

static sw_status parse_ohms(const char *text, const sw_cli *cli, sw_wires *wires, sw_error *error) {
    return sw_wires_parse_ohms(text, cli->units, wires, error);
}

static sw_status parse_volts(const char *text, const sw_cli *cli, sw_wires *wires,
                             sw_error *error) {
    return sw_wires_parse_volts(text, cli->units, wires, error);
}

static sw_status parse_stiffer(const char *text, const sw_cli *cli, sw_wires *wires,
                               sw_error *error) {
    (void)cli;
    return sw_wires_parse_stiffer(text, SW_YES, wires, error);
}

static sw_status parse_not_stiffer(const char *text, const sw_cli *cli, sw_wires *wires,
                                   sw_error *error) {
    (void)cli;
    return sw_wires_parse_stiffer(text, SW_NO, wires, error);
}

static sw_status parse_thick(const char *text, const sw_cli *cli, sw_wires *wires,
                             sw_error *error) {
    (void)cli;
    return sw_wires_parse_weight(text, SW_THICK, wires, error);
}

static sw_status parse_thin(const char *text, const sw_cli *cli, sw_wires *wires, sw_error *error) {
    (void)cli;
    return sw_wires_parse_weight(text, SW_THIN, wires, error);
}

static sw_status parse_colours(const char *text, const sw_cli *cli, sw_wires *wires,
                               sw_error *error) {
    (void)cli;
    return sw_wires_parse_colours(text, wires, error);
}

static sw_status read_options(const sw_cli *cli, const sw_arguments *arguments, sw_wires *wires,
                              sw_error *error) {
    static const struct {
        const char *option;
        sw_status (*parse)(const char *, const sw_cli *, sw_wires *, sw_error *);
    } ROWS[] = {
        {"--ohms", parse_ohms},       {"--volts", parse_volts},
        {"--stiffer", parse_stiffer}, {"--not-stiffer", parse_not_stiffer},
        {"--thick", parse_thick},     {"--thin", parse_thin},
        {"--colours", parse_colours},
    };
    sw_status status = sw_argument_quantity_in(arguments, "--test-leads", "ohm", 0, 10, cli->units,
                                               &wires->test_leads, error);
    for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS && status == SW_OK; i++) {
        sw_error inner = {SW_OK, ""};
        const char *text = sw_argument_nth(arguments, ROWS[i].option, 0);
        for (size_t n = 1; text != NULL && status == SW_OK; n++) {
            status = ROWS[i].parse(text, cli, wires, &inner);
            text = sw_argument_nth(arguments, ROWS[i].option, n);
        }
        if (status != SW_OK)
            return sw_argument_fail(ROWS[i].option, &inner, error);
    }
    return status;
}

static sw_status run(const sw_cli *cli, const sw_arguments *arguments, sw_error *error) {
    sw_wires wires;
    sw_wire_finding finding;
    sw_status status = start(cli, arguments, &wires, error);
    if (status == SW_OK)
        status = read_options(cli, arguments, &wires, error);
    if (status == SW_OK)
        status = sw_wires_find(&wires, &finding, error);
    if (status != SW_OK)
        return status;
    if (cli->json) {
        cJSON *root = sw_wires_to_json(&wires, &finding);
        status = sw_cli_print_json(root, error);
        cJSON_Delete(root);
        return status;
    }
    sw_text text = {0};
    sw_wires_text(&wires, &finding, &text);
    status = sw_cli_print_text(&text, error);
    sw_text_free(&text);
    return status;
}

const sw_command sw_command_wires = {
    .name = "wires",
    .summary = "ohms between the wires -> which ones to use, which to leave",
    .usage = "spinworth wires --wires N --ohms LIST [OPTIONS] | WIRES.json",
    .about = "Number the wires with tape, unplug everything, and read the ohms of every pair.\n"
             "Pairs that are not mentioned count as open. It says what hangs together, which\n"
             "wires go to the rectifier and which stay covered, and what to check before the\n"
             "first spin. Readings that contradict each other are named.",
    .example = "  A washer's motor has six wires, three of them thick:\n"
               "    spinworth wires --wires 6 --thick 1,2,3 --stiffer 1-2 \\\n"
               "      --ohms '1-2 7.2, 2-3 7.1, 1-3 7.2, 4-5 120'\n"
               "  It answers: Use wires 1, 2 and 3: three phases. Leave wires 4, 5 and 6\n"
               "  unconnected, ends covered. Wires 4 and 5 are a speed-sensor coil.",
    .options = OPTIONS,
    .run = run,
};
