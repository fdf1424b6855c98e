#include "src/match/rank.h"
#include "shared/files.h"
#include "shared/json_read.h"
#include "src/cli/command.h"
#include "src/cli/documents.h"
#include "src/cli/wishes.h"
#include "src/report/rank_text.h"

#include <stdlib.h>
#include <string.h>

enum { MOTOR_LIMIT = 200, ROTOR_LIMIT = 16 };

static const sw_option OPTIONS[] = {
    {"--rotor", NULL, "R.json", "the rotor; give it several times to compare rotors"},
    {"--site", NULL, "S.json", "the site: wind, altitude, storm"},
    {"--load", NULL, "L.json", "the load (without it: a 12 V lead battery)"},
    {"--wheel", NULL, "SIZE", "only this wheel, which sits on the rim already"},
    SW_WISH_OPTIONS,
    {0},
};

static const char EXAMPLE[] =
    "  spinworth rank shelf/ --rotor drum.json --site yard.json\n"
    "\n"
    "  Take stepper: about 220 kWh a year, coupled with a 260 mm wheel on the 1900\n"
    "  mm rim.\n"
    "\n"
    "   1. stepper: use it, if the guessed wind holds\n"
    "      220 kWh a year; 260 mm wheel; starts at 3.5 m/s, charges from 1.8 m/s\n"
    "  ...\n";

typedef struct shelf {
    size_t motors;
    sw_motor motor[MOTOR_LIMIT];
    char *file[MOTOR_LIMIT]; /* owned */
    const char *unread[MOTOR_LIMIT];
    sw_error error[MOTOR_LIMIT]; /* why it could not be read */
    size_t rotors;
    sw_rotor rotor[ROTOR_LIMIT];
    const char *rotor_file[ROTOR_LIMIT];
    sw_site site;
    sw_load load;
    sw_shop shop;
} shelf;

static void free_shelf(shelf *it) {
    for (size_t i = 0; i < it->motors; i++)
        free(it->file[i]);
    for (size_t i = 0; i < it->rotors; i++)
        sw_rotor_free(&it->rotor[i]);
    sw_site_free(&it->site);
    sw_shop_free(&it->shop);
    free(it);
}

static char *copy_of(const char *text) {
    size_t room = strlen(text) + 1;
    char *copy = malloc(room);
    if (copy != NULL)
        memcpy(copy, text, room);
    return copy;
}

static sw_status add_motor(const sw_cli *cli, const char *path, shelf *it, sw_error *error) {
    if (it->motors == MOTOR_LIMIT)
        return sw_fail(error, SW_UNSUPPORTED, "more than %d motors at once", (int)MOTOR_LIMIT);
    size_t i = it->motors;
    it->file[i] = copy_of(path);
    if (it->file[i] == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for the list of motors");
    it->motors++;
    return sw_motor_read(path, cli->units, &it->motor[i], error);
}

/* One of a folder that cannot be read is listed with its reason; it does not end the ranking. */
static sw_status add_found(const sw_cli *cli, const char *path, shelf *it, sw_error *error) {
    size_t before = it->motors;
    sw_status status = add_motor(cli, path, it, error);
    if (status == SW_OK || it->motors == before || error->status == SW_MEMORY)
        return status;
    it->error[before] = *error;
    it->unread[before] = it->error[before].message;
    return SW_OK;
}

/* A folder may hold rotors and sites too: only motor documents count, and what is no JSON at all,
 * which might be one. */
static bool is_motor(const char *path) {
    cJSON *root = NULL;
    if (sw_json_read(path, &root, NULL) != SW_OK)
        return true;
    const cJSON *kind = cJSON_GetObjectItemCaseSensitive(root, "document");
    bool motor = cJSON_IsString(kind) && strcmp(kind->valuestring, "motor") == 0;
    cJSON_Delete(root);
    return motor;
}

static sw_status add_folder(const sw_cli *cli, const char *path, shelf *it, sw_error *error) {
    char **paths = NULL;
    size_t count = 0;
    size_t before = it->motors;
    sw_status status = sw_file_list(path, ".json", &paths, &count, error);
    for (size_t i = 0; i < count && status == SW_OK; i++)
        if (is_motor(paths[i]))
            status = add_found(cli, paths[i], it, error);
    sw_file_list_free(paths, count);
    if (status == SW_OK && it->motors == before)
        return sw_fail(error, SW_EMPTY, "%s: no motor document in this folder", path);
    return status;
}

static sw_status read_motors(const sw_cli *cli, const sw_arguments *arguments, shelf *it,
                             sw_error *error) {
    sw_status status = SW_OK;
    for (size_t i = 0; i < arguments->words && status == SW_OK; i++) {
        const char *path = arguments->word[i];
        status = sw_file_is_directory(path) ? add_folder(cli, path, it, error)
                                            : add_motor(cli, path, it, error);
    }
    return status;
}

static sw_status read_rotors(const sw_cli *cli, const sw_arguments *arguments, shelf *it,
                             sw_error *error) {
    for (size_t i = 0; sw_argument_nth(arguments, "--rotor", i) != NULL; i++) {
        const char *path = sw_argument_nth(arguments, "--rotor", i);
        if (i == ROTOR_LIMIT)
            return sw_fail(error, SW_UNSUPPORTED, "more than %d rotors at once", (int)ROTOR_LIMIT);
        sw_status status =
            sw_rotor_read(path, cli->reference_dir, cli->units, &it->rotor[i], error);
        if (status != SW_OK)
            return sw_document_hint(status, path, "rotor", error);
        it->rotor_file[i] = path;
        it->rotors = i + 1;
    }
    return SW_OK;
}

static sw_status check_call(const sw_arguments *arguments, sw_error *error) {
    if (arguments->words == 0)
        return sw_fail(error, SW_USAGE, "no motors given: name their folder or their documents");
    if (!sw_argument_given(arguments, "--rotor"))
        return sw_document_need("rotor", error);
    if (!sw_argument_given(arguments, "--site"))
        return sw_document_need("site", error);
    return SW_OK;
}

static sw_status read_shelf(const sw_cli *cli, const sw_arguments *arguments, shelf *it,
                            sw_error *error) {
    const char *site = sw_argument(arguments, "--site");
    const char *load = sw_argument(arguments, "--load");
    sw_status status = read_motors(cli, arguments, it, error);
    if (status == SW_OK)
        status = read_rotors(cli, arguments, it, error);
    if (status == SW_OK)
        status =
            sw_document_hint(sw_site_read(site, cli->reference_dir, cli->units, &it->site, error),
                             site, "site", error);
    if (status == SW_OK && load != NULL)
        status =
            sw_document_hint(sw_load_read(load, cli->reference_dir, cli->units, &it->load, error),
                             load, "load", error);
    if (status == SW_OK)
        status = sw_shop_read(cli->reference_dir, &it->shop, error);
    return status;
}

static sw_status show(const sw_cli *cli, const sw_rank_request *request, const shelf *it,
                      const sw_rank_row *rows, sw_error *error) {
    sw_rank_names names = {it->file, it->rotor_file};
    sw_text text = {0};
    if (cli->json) {
        cJSON *root = sw_rank_to_json(request, &names, rows);
        sw_status status = sw_cli_print_json(root, error);
        cJSON_Delete(root);
        return status;
    }
    sw_rank_text_options options = {cli->us_units, cli->details};
    sw_rank_text(request, &names, rows, &options, &text);
    sw_status status = sw_cli_print_text(&text, error);
    sw_text_free(&text);
    return status;
}

static sw_status rank_shelf(const sw_cli *cli, const sw_arguments *arguments, const shelf *it,
                            sw_error *error) {
    sw_rank_row *rows = NULL;
    bool load = sw_argument_given(arguments, "--load");
    sw_rank_request request = {.motor = it->motor,
                               .motors = it->motors,
                               .unread = it->unread,
                               .rotor = it->rotor,
                               .rotors = it->rotors,
                               .site = &it->site,
                               .load = load ? &it->load : NULL,
                               .shop = &it->shop};
    sw_wishes wishes;
    sw_quantity wheel = sw_quantity_unknown();
    sw_status status = sw_wishes_read(cli, arguments, request.load, &wishes, error);
    if (status == SW_OK)
        status =
            sw_argument_quantity_in(arguments, "--wheel", "mm", 5, 2000, cli->units, &wheel, error);
    if (status != SW_OK)
        return status;
    request.thresholds = &wishes.thresholds;
    request.drives = wishes.drives;
    request.voltages = wishes.voltages;
    memcpy(request.voltage, wishes.voltage, sizeof request.voltage);
    request.machines = wishes.machines;
    request.start_by = wishes.start_by;
    request.wheel_mm = wheel.value;
    status = sw_rank_run(&request, &rows, error);
    if (status == SW_OK)
        status = show(cli, &request, it, rows, error);
    free(rows);
    return status;
}

static sw_status run(const sw_cli *cli, const sw_arguments *arguments, sw_error *error) {
    sw_status status = check_call(arguments, error);
    if (status != SW_OK)
        return status;
    shelf *it = calloc(1, sizeof *it);
    if (it == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for the shelf");
    status = read_shelf(cli, arguments, it, error);
    if (status == SW_OK)
        status = rank_shelf(cli, arguments, it, error);
    free_shelf(it);
    return status;
}

const sw_command sw_command_rank = {
    .name = "rank",
    .summary = "a shelf of motors (and rotors) sorted by what a year would give",
    .usage = "spinworth rank FOLDER|MOTOR.json... --rotor R.json... --site S.json [OPTIONS]",
    .about = "Matches every motor of a folder, or every one named, with every rotor given, and "
             "sorts them by energy a year, each with its verdict and the reason that decides. What "
             "was not measured of a motor (drag, cogging, inductance) is taken as usual for one of "
             "its size; the order counts it so bad that only one motor in ten is worse, so that no "
             "motor gains a place by not being measured.",
    .example = EXAMPLE,
    .options = OPTIONS,
    .run = run,
};
