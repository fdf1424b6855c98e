#include "src/match/match.h"
#include "shared/files.h"
#include "shared/json_write.h"
#include "src/cli/command.h"
#include "src/cli/documents.h"
#include "src/cli/wishes.h"
#include "src/report/match_parts.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const sw_option OPTIONS[] = {
    {"--rotor", NULL, "R.json", "the rotor"},
    {"--site", NULL, "S.json", "the site: wind, altitude, storm"},
    {"--load", NULL, "L.json", "the load (without it: a 12 V lead battery)"},
    {"--wheel", NULL, "SIZE", "use this wheel, do not look for a better one"},
    {"--run-out", NULL, "SIZE", "how far the rim is from round, either way"},
    {"--mass", NULL, "MASS", "of the motor and its arm on the spring"},
    {"--claimed", NULL, "CLAIM", "what its plate says, '500W at 800rpm': can it?"},
    SW_WISH_OPTIONS,
    {"--seed", NULL, "NUMBER", "another number draws other inputs for the ranges (0)"},
    {"--show", NULL, "PARTS",
     "more than the short answer: build, winds, storm, others, guesses, energy, several with "
     "commas, or all"},
    {"--output", "-o", "FILE", "save the result as JSON"},
    {"--force", NULL, NULL, "write over FILE"},
    {0},
};

static const char EXAMPLE[] =
    "  spinworth match stepper.json --rotor drum.json --site yard.json\n"
    "\n"
    "  stepper: yes, use it, if the wind is what was guessed. Expect 130 to 270 kWh\n"
    "  a year (nine times in ten).\n"
    "\n"
    "  Why\n"
    "    - It gives about 220 kWh a year; from 5 kWh on it is worth it (see\n"
    "      --worth).\n"
    "  ...\n"
    "  What to do\n"
    "    - Couple it with a 260 mm wheel on the 1900 mm rim, pressed on with 106 N\n"
    "      (11 kg on a luggage scale).\n"
    "  ...\n"
    "\n"
    "  spinworth match stepper.json --rotor drum.json --site yard.json --show build\n"
    "  prints the build sheet, --show storm,winds two other parts, --show all\n"
    "  everything.\n";

typedef struct match_files {
    sw_motor motor;
    sw_rotor rotor;
    sw_site site;
    sw_load load;
    sw_shop shop;
    sw_claim claim;
    bool has_load;
} match_files;

static sw_status check_call(const sw_arguments *arguments, sw_error *error) {
    if (arguments->words != 1)
        return sw_fail(error, SW_USAGE,
                       "one motor document is needed, %zu are given; rank takes "
                       "several",
                       arguments->words);
    const char *output = sw_argument(arguments, "--output");
    bool force = sw_argument_given(arguments, "--force");
    if (!sw_argument_given(arguments, "--rotor"))
        return sw_document_need("rotor", error);
    if (!sw_argument_given(arguments, "--site"))
        return sw_document_need("site", error);
    return output != NULL ? sw_file_check_target(output, force, error) : SW_OK;
}

static sw_status read_files(const sw_cli *cli, const sw_arguments *arguments, match_files *files,
                            sw_error *error) {
    const char *rotor = sw_argument(arguments, "--rotor");
    const char *site = sw_argument(arguments, "--site");
    const char *load = sw_argument(arguments, "--load");
    const char *reference = cli->reference_dir;
    sw_status status = sw_motor_read(arguments->word[0], cli->units, &files->motor, error);
    status = sw_document_hint(status, arguments->word[0], "motor", error);
    if (status == SW_OK)
        status = sw_document_hint(sw_rotor_read(rotor, reference, cli->units, &files->rotor, error),
                                  rotor, "rotor", error);
    if (status == SW_OK)
        status = sw_document_hint(sw_site_read(site, reference, cli->units, &files->site, error),
                                  site, "site", error);
    if (status == SW_OK && load != NULL)
        status = sw_document_hint(sw_load_read(load, reference, cli->units, &files->load, error),
                                  load, "load", error);
    files->has_load = load != NULL;
    if (status == SW_OK)
        status = sw_shop_read(cli->reference_dir, &files->shop, error);
    return status;
}

/* After the documents: what is wrong with them is told first. */
static sw_status read_claim(const sw_cli *cli, const sw_arguments *arguments, sw_claim *claim,
                            sw_error *error) {
    const char *text = sw_argument(arguments, "--claimed");
    sw_error inner = {SW_OK, ""};
    if (text == NULL || sw_claim_parse(text, cli->units, claim, &inner) == SW_OK)
        return SW_OK;
    return sw_argument_fail("--claimed", &inner, error);
}

static void free_files(match_files *files) {
    sw_rotor_free(&files->rotor);
    sw_site_free(&files->site);
    sw_shop_free(&files->shop);
}

static sw_status read_sizes(const sw_cli *cli, const sw_arguments *arguments,
                            sw_match_request *request, sw_error *error) {
    sw_quantity wheel = sw_quantity_unknown();
    sw_quantity run_out = sw_quantity_unknown();
    sw_quantity mass = sw_quantity_unknown();
    const sw_quantity_option options[] = {
        {"--wheel", "mm", 5, 2000, &wheel},
        {"--run-out", "mm", 0, 200, &run_out},
        {"--mass", "kg", 0, 500, &mass},
    };
    sw_status status = sw_argument_quantities(arguments, options, sizeof options / sizeof *options,
                                              cli->units, error);
    request->wheel_mm = wheel.value;
    request->run_out_mm = run_out.value;
    request->moving_kg = mass.value;
    return status;
}

/* Of the draws that tell how sure the result is. */
static sw_status read_seed(const sw_cli *cli, const sw_arguments *arguments, unsigned long *seed,
                           sw_error *error) {
    sw_quantity given = sw_quantity_of(0, NAN, "1");
    sw_status status = sw_argument_quantity_in(arguments, "--seed", "1", 0, 4294967295.0,
                                               cli->units, &given, error);
    if (status == SW_OK && given.value != floor(given.value))
        return sw_fail(error, SW_USAGE, "--seed: found %g, expected a whole number", given.value);
    if (status == SW_OK)
        *seed = (unsigned long)given.value;
    return status;
}

/* More numbers belong to the parts: --details alone asks for all of them. */
static sw_status read_parts(const sw_cli *cli, const sw_arguments *arguments, sw_match_parts *parts,
                            sw_error *error) {
    const char *text = sw_argument(arguments, "--show");
    sw_error inner = {SW_OK, ""};
    *parts = cli->details ? SW_MATCH_ALL_PARTS : 0;
    if (text == NULL || sw_match_parts_read(text, parts, &inner) == SW_OK)
        return SW_OK;
    return sw_argument_fail("--show", &inner, error);
}

static sw_status show(const sw_cli *cli, const sw_arguments *arguments,
                      const sw_match_request *request, const sw_match *match, sw_error *error) {
    const char *output = sw_argument(arguments, "--output");
    sw_match_text_options options = {cli->us_units, cli->details, 0, arguments->word[0]};
    sw_text text = {0};
    sw_status status = read_parts(cli, arguments, &options.parts, error);
    if (status != SW_OK)
        return status;
    cJSON *root = sw_match_to_json(request, match);
    if (output != NULL)
        status = sw_json_save(root, output, sw_argument_given(arguments, "--force"), error);
    if (status == SW_OK && cli->json)
        status = sw_cli_print_json(root, error);
    cJSON_Delete(root);
    if (status != SW_OK || cli->json)
        return status;
    sw_match_text(request, match, &options, &text);
    status = sw_cli_print_text(&text, error);
    sw_text_free(&text);
    return status;
}

static sw_status match_files_with(const sw_cli *cli, const sw_arguments *arguments,
                                  const match_files *files, sw_error *error) {
    sw_match_request request = {.motor = &files->motor,
                                .rotor = &files->rotor,
                                .site = &files->site,
                                .load = files->has_load ? &files->load : NULL,
                                .shop = &files->shop,
                                .claimed = sw_argument_given(arguments, "--claimed") ? &files->claim
                                                                                     : NULL};
    sw_wishes wishes;
    sw_status status = read_sizes(cli, arguments, &request, error);
    if (status == SW_OK)
        status = read_seed(cli, arguments, &request.seed, error);
    if (status == SW_OK)
        status = sw_wishes_read(cli, arguments, request.load, &wishes, error);
    if (status == SW_OK) {
        request.thresholds = &wishes.thresholds;
        request.drives = wishes.drives;
        request.voltages = wishes.voltages;
        memcpy(request.voltage, wishes.voltage, sizeof request.voltage);
        request.machines = wishes.machines;
        request.start_by = wishes.start_by;
    }
    sw_match *match = calloc(1, sizeof *match);
    if (status == SW_OK && match == NULL)
        status = sw_fail(error, SW_MEMORY, "not enough memory to match");
    if (status == SW_OK)
        status = sw_match_run(&request, match, error);
    if (status == SW_OK)
        status = show(cli, arguments, &request, match, error);
    if (match != NULL)
        sw_match_free(match);
    free(match);
    return status;
}

static sw_status run(const sw_cli *cli, const sw_arguments *arguments, sw_error *error) {
    match_files files = {0};
    sw_status status = check_call(arguments, error);
    if (status == SW_OK)
        status = read_files(cli, arguments, &files, error);
    if (status == SW_OK)
        status = read_claim(cli, arguments, &files.claim, error);
    if (status == SW_OK)
        status = match_files_with(cli, arguments, &files, error);
    free_files(&files);
    return status;
}

const sw_command sw_command_match = {
    .name = "match",
    .summary = "a motor on your rotor at your site -> worth it or not, wheel, wiring, energy",
    .usage = "spinworth match MOTOR.json --rotor R.json --site S.json [OPTIONS]",
    .about =
        "Says whether the motor is worth using on this rotor at this site, with which wheel "
        "(or chain, belt) and wiring, what a year gives, what can hurt and what to measure "
        "next: a page, and more of each when --show asks for it. Drag, cogging and inductance that "
        "nobody measured are taken as usual for a motor of its size, within a factor of two or "
        "so: then the answer is at best a yes with ifs. It is a perhaps when chances are more "
        "than one in four that a year is not worth it.",
    .example = EXAMPLE,
    .options = OPTIONS,
    .run = run,
};
