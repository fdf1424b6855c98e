/* spinworth deliver: what a motor gives at a speed, through a rectifier, into a load. */
#include "shared/motor.h"
#include "shared/number.h"
#include "src/cli/command.h"
#include "src/cli/documents.h"
#include "src/match/load/load.h"
#include "src/report/deliver_json.h"
#include "src/report/deliver_text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { PART_ROOM = 64 };

static const sw_option OPTIONS[] = {
    {"--speed", NULL, "SPEED", "speed of the motor's shaft, such as 300rpm"},
    {"--sweep", NULL, "FROM:TO:STEP", "a table over speed instead, such as 50:600:10rpm"},
    {"--battery", NULL, "VOLTS", "battery: its voltage at rest"},
    {"--battery-ohms", NULL, "OHMS", "resistance of battery and its leads, such as 0.02ohm"},
    {"--resistor", NULL, "OHMS", "a resistor (without a rectifier: one across each line pair)"},
    {"--converter", NULL, "VOLTS", "a converter that holds its input at these volts"},
    {"--load", NULL, "FILE", "a load document instead of the four above"},
    {"--connection", NULL, "star|delta", "how the coils are wired in use (as measured)"},
    {"--rectifier", NULL, "KIND",
     "bridge, half-wave, doubler, centre-tap, blocking-diode (brushed) or none"},
    {"--diode", NULL, "NAME|JSON",
     "kind of diode, or {\"is\":A,\"n\":1.8,\"rs\":ohm}, {\"drop\":V}"},
    {"--capacitor", NULL, "FARADS", "across the resistor, or each of the doubler's: 4700uF"},
    {"--machines", NULL, "NUMBER", "equal motors in parallel on the load (1)"},
    {"--rewind", NULL, "FACTOR", "coils rewound with so many times the turns (1)"},
    {"--winding-temperature", NULL, "TEMPERATURE", "of the copper ('20 degC')"},
    {"--ambient", NULL, "TEMPERATURE", "of the air around the rectifier ('40 degC')"},
    {0},
};

/* Everything that one call asks. */
typedef struct request {
    sw_motor motor;
    sw_wiring wiring;
    sw_deliver_load load;
    bool battery_ohm_given;
} request;

/* ---- options ---- */

static sw_status count_loads(const sw_arguments *arguments, sw_error *error) {
    static const char *const NAMES[] = {"--battery", "--resistor", "--converter", "--load"};
    int given = 0;
    for (size_t i = 0; i < sizeof NAMES / sizeof NAMES[0]; i++)
        given += sw_argument_given(arguments, NAMES[i]) ? 1 : 0;
    if (given != 1)
        return sw_fail(error, SW_USAGE,
                       "found %d of --battery, --resistor, --converter and --load, expected one, "
                       "such as --battery 12V",
                       given);
    if (sw_argument_given(arguments, "--battery-ohms") &&
        !sw_argument_given(arguments, "--battery"))
        return sw_fail(error, SW_USAGE, "--battery-ohms goes with --battery");
    return SW_OK;
}

static sw_status read_load_file(const sw_cli *cli, const char *path, request *asked,
                                sw_error *error) {
    sw_load load = sw_load_default();
    const sw_status status = sw_load_read(path, cli->reference_dir, cli->units, &load, error);
    if (status != SW_OK)
        return sw_document_hint(status, path, "load", error);
    asked->load = sw_load_electrical(&load);
    asked->wiring.diode = load.diode;
    asked->battery_ohm_given = !load.resistance_guessed;
    return SW_OK;
}

static sw_status read_load(const sw_cli *cli, const sw_arguments *arguments, request *asked,
                           sw_error *error) {
    sw_quantity battery = sw_quantity_unknown();
    sw_quantity ohms = sw_quantity_of(0.0, NAN, "ohm");
    sw_quantity resistor = sw_quantity_unknown();
    sw_quantity converter = sw_quantity_unknown();
    sw_quantity capacitor = sw_quantity_of(0.0, NAN, "F");
    sw_status status = count_loads(arguments, error);
    if (status == SW_OK && sw_argument_given(arguments, "--load"))
        status = read_load_file(cli, sw_argument(arguments, "--load"), asked, error);
    const sw_quantity_option options[] = {
        {"--battery", "V", 1e-3, 1e5, &battery},     {"--battery-ohms", "ohm", 0, 1e6, &ohms},
        {"--resistor", "ohm", 1e-6, 1e9, &resistor}, {"--converter", "V", 1e-3, 1e5, &converter},
        {"--capacitor", "F", 0, 1e3, &capacitor},
    };
    if (status == SW_OK)
        status = sw_argument_quantities(arguments, options, sizeof options / sizeof *options,
                                        cli->units, error);
    if (status != SW_OK)
        return status;
    asked->load.capacitor_f = capacitor.value;
    if (sw_quantity_known(battery)) {
        asked->load.kind = SW_LOAD_BATTERY;
        asked->load.battery_v = battery.value;
        asked->load.battery_ohm = ohms.value;
        asked->battery_ohm_given = sw_argument_given(arguments, "--battery-ohms");
    } else if (sw_quantity_known(converter)) {
        asked->load.kind = SW_LOAD_CONVERTER;
        asked->load.battery_v = converter.value;
    } else if (sw_quantity_known(resistor)) {
        asked->load.kind = SW_LOAD_RESISTOR;
        asked->load.resistor_ohm = resistor.value;
    }
    return SW_OK;
}

static sw_status read_numbers(const sw_cli *cli, const sw_arguments *arguments, sw_wiring *wiring,
                              sw_error *error) {
    sw_quantity machines = sw_quantity_of(1, NAN, "1");
    sw_quantity rewind = sw_quantity_of(1, NAN, "1");
    sw_quantity heat = sw_quantity_of(20, NAN, "degC");
    const sw_quantity_option options[] = {
        {"--machines", "1", 1, 100, &machines},
        {"--rewind", "1", 0.01, 100, &rewind},
        {"--winding-temperature", "degC", -60, 250, &heat},
    };
    sw_status status = sw_argument_quantities(arguments, options, sizeof options / sizeof *options,
                                              cli->units, error);
    if (status == SW_OK && machines.value != floor(machines.value))
        status = sw_fail(error, SW_USAGE, "--machines: found %g, expected a whole number",
                         machines.value);
    if (status != SW_OK)
        return status;
    wiring->machines = (int)machines.value;
    wiring->rewind = rewind.value;
    wiring->winding_degc = heat.value;
    return SW_OK;
}

static sw_status read_wiring(const sw_cli *cli, const sw_arguments *arguments, request *asked,
                             sw_error *error) {
    static const char *const CONNECTIONS[] = {"star", "delta", NULL};
    int connection = -1;
    sw_error inner;
    sw_status status = sw_argument_word(arguments, "--connection", CONNECTIONS, &connection, error);
    if (status == SW_OK && connection >= 0)
        asked->wiring.connection = connection == 0 ? SW_STAR : SW_DELTA;
    const char *rectifier = sw_argument(arguments, "--rectifier");
    if (status == SW_OK && rectifier != NULL) {
        status = sw_rectifier_find(rectifier, &asked->wiring.rectifier, &inner);
        if (status != SW_OK)
            return sw_argument_fail("--rectifier", &inner, error);
    }
    const char *diode = sw_argument(arguments, "--diode");
    if (status == SW_OK && (diode != NULL || !sw_argument_given(arguments, "--load"))) {
        status = sw_diode_find(diode != NULL ? diode : "silicon", cli->reference_dir,
                               &asked->wiring.diode, &inner);
        if (status != SW_OK)
            return sw_argument_fail("--diode", &inner, error);
    }
    return status == SW_OK ? read_numbers(cli, arguments, &asked->wiring, error) : status;
}

static sw_status read_request(const sw_cli *cli, const sw_arguments *arguments, request *asked,
                              sw_error *error) {
    memset(asked, 0, sizeof *asked);
    if (arguments->words != 1)
        return sw_fail(error, SW_USAGE,
                       "found %zu file names, expected one motor document, such as motor.json",
                       arguments->words);
    if (sw_argument_given(arguments, "--speed") == sw_argument_given(arguments, "--sweep"))
        return sw_fail(error, SW_USAGE,
                       "expected either --speed, such as --speed 300rpm, or --sweep 50:600:10rpm");
    sw_status status = sw_motor_read(arguments->word[0], cli->units, &asked->motor, error);
    if (status != SW_OK)
        return status;
    asked->wiring = sw_wiring_default(&asked->motor);
    asked->battery_ohm_given = true;
    status = read_load(cli, arguments, asked, error);
    if (status == SW_OK)
        status = read_wiring(cli, arguments, asked, error);
    if (status == SW_OK && asked->wiring.rectifier == SW_RECTIFIER_DOUBLER &&
        !(asked->load.capacitor_f > 0.0))
        return sw_fail(error, SW_USAGE,
                       "--rectifier doubler needs --capacitor, the size of each of its two, such "
                       "as --capacitor 4700uF");
    return status;
}

/* ---- one speed ---- */

/* Ratings of a diode that is in the table; one given by its model has none. */
static sw_status find_heat(const sw_cli *cli, const sw_arguments *arguments, const request *asked,
                           const sw_deliver_answer *answer, sw_diode_heat *heat, sw_error *error) {
    sw_diode_rating rating = {NAN, NAN, NAN, NAN};
    sw_quantity air = sw_quantity_of(40.0, NAN, "degC");
    sw_status status =
        sw_argument_quantity_in(arguments, "--ambient", "degC", -60, 120, cli->units, &air, error);
    if (status != SW_OK)
        return status;
    if (sw_diode_rating_find(cli->reference_dir, asked->wiring.diode.name, &rating, NULL) != SW_OK)
        rating = (sw_diode_rating){NAN, NAN, NAN, NAN};
    *heat = sw_diode_heat_of(&asked->motor, &asked->wiring, &answer->point, answer->open_v, &rating,
                             air.value);
    return SW_OK;
}

static sw_status run_speed(const sw_cli *cli, const sw_arguments *arguments, const request *asked,
                           sw_error *error) {
    sw_quantity speed = sw_quantity_unknown();
    sw_deliver_answer answer;
    sw_status status =
        sw_argument_quantity_in(arguments, "--speed", "rpm", 0, 1e6, cli->units, &speed, error);
    if (status == SW_OK)
        status = sw_deliver_answer_at(&asked->motor, &asked->wiring, &asked->load, speed.value,
                                      &answer, error);
    sw_diode_heat heat;
    if (status == SW_OK)
        status = find_heat(cli, arguments, asked, &answer, &heat, error);
    if (status != SW_OK)
        return status;
    const sw_diode_heat *shown = heat.diodes > 0 ? &heat : NULL;
    if (!asked->battery_ohm_given)
        sw_deliver_answer_guess(&answer, "battery_ohms");
    if (cli->json) {
        cJSON *root = sw_deliver_json(&asked->motor, &asked->wiring, &asked->load, &answer, shown);
        status = sw_cli_print_json(root, error);
        cJSON_Delete(root);
        return status;
    }
    sw_text text = {0};
    const sw_deliver_text_options options = {cli->us_units, cli->details};
    sw_deliver_text(&asked->motor, &asked->wiring, &asked->load, &answer, shown, &options, &text);
    status = sw_cli_print_text(&text, error);
    sw_text_free(&text);
    return status;
}

/* ---- a sweep ---- */

/* Cut "50:600:10rpm" at its colons; false unless there are three parts. */
static bool cut_parts(const char *given, char parts[3][PART_ROOM]) {
    for (int i = 0; i < 3; i++) {
        const char *end = strchr(given, ':');
        const size_t length = end != NULL ? (size_t)(end - given) : strlen(given);
        if ((end == NULL) != (i == 2) || length == 0 || length >= PART_ROOM)
            return false;
        memcpy(parts[i], given, length);
        parts[i][length] = '\0';
        given = end != NULL ? end + 1 : given;
    }
    return true;
}

/* The unit stands once, at the end. */
static sw_status read_part(const sw_cli *cli, const char *part, double *rpm, sw_error *error) {
    sw_quantity quantity;
    char with_unit[PART_ROOM + 8];
    double bare = 0.0;
    const bool plain = sw_number_parse(part, strlen(part), '.', &bare);
    snprintf(with_unit, sizeof with_unit, "%s%s", part, plain ? "rpm" : "");
    const sw_status status = sw_quantity_parse(cli->units, with_unit, "rpm", &quantity, error);
    if (status != SW_OK)
        return sw_fail_within(error, "--sweep");
    *rpm = quantity.value;
    return SW_OK;
}

static sw_status read_sweep(const sw_cli *cli, const char *given, double rpm[3], sw_error *error) {
    char parts[3][PART_ROOM];
    double bare = 0.0;
    if (!cut_parts(given, parts) || sw_number_parse(parts[2], strlen(parts[2]), '.', &bare))
        return sw_fail(error, SW_USAGE,
                       "--sweep: found \"%.60s\", expected from:to:step with a unit, such as "
                       "50:600:10rpm",
                       given);
    for (int i = 0; i < 3; i++) {
        const sw_status status = read_part(cli, parts[i], &rpm[i], error);
        if (status != SW_OK)
            return status;
    }
    return SW_OK;
}

static sw_status run_sweep(const sw_cli *cli, const sw_arguments *arguments, const request *asked,
                           sw_error *error) {
    double rpm[3] = {0.0, 0.0, 0.0};
    sw_sweep sweep;
    sw_status status = read_sweep(cli, sw_argument(arguments, "--sweep"), rpm, error);
    if (status == SW_OK) {
        status = sw_sweep_run(&asked->motor, &asked->wiring, &asked->load, rpm[0], rpm[1], rpm[2],
                              cli->json && cli->details, &sweep, error);
    }
    if (status != SW_OK)
        return status;
    if (cli->json) {
        cJSON *root = sw_sweep_json(&asked->motor, &asked->wiring, &asked->load, &sweep);
        status = sw_cli_print_json(root, error);
        cJSON_Delete(root);
    } else {
        sw_text text = {0};
        sw_sweep_text(&asked->wiring, &asked->load, &sweep, cli->us_units, &text);
        status = sw_cli_print_text(&text, error);
        sw_text_free(&text);
    }
    sw_sweep_free(&sweep);
    return status;
}

static sw_status run(const sw_cli *cli, const sw_arguments *arguments, sw_error *error) {
    request asked;
    sw_status status = read_request(cli, arguments, &asked, error);
    if (status != SW_OK)
        return status;
    status = sw_argument_given(arguments, "--sweep") ? run_sweep(cli, arguments, &asked, error)
                                                     : run_speed(cli, arguments, &asked, error);
    /* What the motor document lacks is said with its name. */
    return status == SW_MISSING_KEY ? sw_fail_within(error, arguments->word[0]) : status;
}

const sw_command sw_command_deliver = {
    .name = "deliver",
    .summary = "motor + speed + load -> what it delivers, and what that costs at the shaft",
    .usage = "spinworth deliver MOTOR.json --speed SPEED --battery VOLTS [OPTIONS]",
    .about = "Works out the steady state of the motor behind its own resistance and inductance, "
             "through a rectifier, into a battery, a resistor or a converter: current, power, "
             "where the losses go, and the torque at the shaft. The motor document needs "
             "voltage_constant, pole_pairs and winding_resistance; inductance and drag count as "
             "none until they are measured. With --json --details a sweep also holds a map of "
             "efficiency over speed and voltage.",
    .example = "spinworth deliver drum.json --speed 300rpm --battery 24V --battery-ohms 0.05ohm\n"
               "says how many amperes go into the battery and what the shaft must give.\n"
               "spinworth deliver drum.json --sweep 50:600:10rpm --battery 24V\n"
               "prints a table over speed.",
    .options = OPTIONS,
    .run = run,
};
