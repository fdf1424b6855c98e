#include "src/cli/simulate_spec.h"

#include "probes/profile.h"
#include "probes/simulate/faults.h"
#include "probes/simulate/simulate.h"
#include "probes/simulate/taps.h"
#include "probes/simulate/wishes.h"
#include "shared/json_read.h"
#include "shared/number.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static void option_name(const char *key, char *out, size_t room) {
    snprintf(out, room, "--%s", key);
    for (char *at = out; *at != '\0'; at++)
        if (*at == '_')
            *at = '-';
}

static sw_status read_number(const sw_arguments *arguments, const char *name, double low,
                             double high, double *out, sw_error *error) {
    const char *text = sw_argument(arguments, name);
    if (text == NULL)
        return SW_OK;
    double value = 0;
    if (!sw_number_parse(text, strlen(text), '.', &value) || value != floor(value) || value < low ||
        value > high)
        return sw_fail(error, SW_USAGE, "%s: found \"%.40s\", expected a whole number %.0f to %.0f",
                       name, text, low, high);
    *out = value;
    return SW_OK;
}

static sw_status read_whole(const sw_arguments *arguments, sw_sim_wishes *wishes, sw_error *error) {
    double seed = (double)wishes->seed;
    double channels = wishes->channels;
    double bits = wishes->bits;
    double marks = wishes->tach_marks;
    sw_status status = read_number(arguments, "--seed", 0, 4294967295.0, &seed, error);
    if (status == SW_OK)
        status = read_number(arguments, "--channels", 1, SW_SIM_PHASE_LIMIT, &channels, error);
    if (status == SW_OK)
        status = read_number(arguments, "--bits", 0, 24, &bits, error);
    if (status == SW_OK)
        status = read_number(arguments, "--tach-marks", 0, 100, &marks, error);
    const char *weak = sw_argument(arguments, "--weak-magnet");
    if (status == SW_OK && weak != NULL && !sw_sim_weak_magnet_parse(weak, wishes))
        return sw_fail(error, SW_USAGE,
                       "--weak-magnet: found \"%.40s\", expected for example 5:0.6", weak);
    wishes->tach_marks = (int)marks;
    wishes->seed = (unsigned long)seed;
    wishes->channels = (int)channels;
    wishes->bits = (int)bits;
    return status;
}

static sw_status read_quantities(const sw_cli *cli, const sw_arguments *arguments,
                                 sw_sim_wishes *wishes, sw_error *error) {
    sw_status status = SW_OK;
    const sw_sim_setting *setting = NULL;
    for (size_t i = 0; status == SW_OK && (setting = sw_sim_setting_at(i)) != NULL; i++) {
        char name[64];
        option_name(setting->key, name, sizeof name);
        status = sw_argument_quantity_in(arguments, name, setting->unit, setting->low,
                                         setting->high, cli->units, &wishes->quantity[i], error);
    }
    if (status == SW_OK)
        status = sw_argument_quantity_in(arguments, "--ramp-time", "s", 0, 600, cli->units,
                                         &wishes->ramp_time, error);
    if (status == SW_OK)
        status = sw_argument_quantity_in(arguments, "--hold-time", "s", 0, 3600, cli->units,
                                         &wishes->hold_time, error);
    return status;
}

static void read_switches(const sw_arguments *arguments, sw_sim_wishes *wishes) {
    const sw_sim_switch *one = NULL;
    for (size_t i = 0; (one = sw_sim_switch_at(i)) != NULL; i++) {
        char name[64];
        option_name(one->key, name, sizeof name);
        wishes->flag[i] = wishes->flag[i] || sw_argument_given(arguments, name);
    }
    wishes->hand = wishes->hand || sw_argument_given(arguments, "--hand");
    wishes->clean = wishes->clean || sw_argument_given(arguments, "--clean");
}

static sw_status read_document(const sw_cli *cli, const char *path, sw_sim_wishes *wishes,
                               sw_error *error) {
    cJSON *root = NULL;
    sw_status status = sw_json_read(path, &root, error);
    if (status != SW_OK)
        return status;
    sw_node top = sw_node_top(root, path, cli->units);
    status = sw_sim_wishes_read(&top, wishes, error);
    cJSON_Delete(root);
    return status;
}

static sw_status take_family(const char *option, const char *family, sw_sim_wishes *wishes,
                             sw_error *error) {
    for (size_t i = 0; sw_sim_family_name(i) != NULL; i++)
        if (strcmp(sw_sim_family_name(i), family) == 0) {
            snprintf(wishes->family, sizeof wishes->family, "%s", family);
            return SW_OK;
        }
    return sw_fail(error, SW_USAGE,
                   "%s: found \"%.40s\"; spinworth simulate --list shows those there are", option,
                   family);
}

static sw_status read_wishes(const sw_cli *cli, const sw_arguments *arguments,
                             sw_sim_wishes *wishes, sw_error *error) {
    *wishes = sw_sim_wishes_none();
    const char *document = sw_argument(arguments, "--document");
    const char *option = sw_argument_given(arguments, "--simulate") ? "--simulate" : "--family";
    const char *family = sw_argument(arguments, option);
    sw_status status = document != NULL ? read_document(cli, document, wishes, error) : SW_OK;
    if (status == SW_OK && family != NULL)
        status = take_family(option, family, wishes, error);
    if (status == SW_OK)
        status = read_whole(arguments, wishes, error);
    if (status == SW_OK)
        status = sw_argument_word(arguments, "--coast", SW_SIM_COAST_WORDS, &wishes->coast, error);
    if (status == SW_OK)
        status =
            sw_argument_word(arguments, "--between", SW_SIM_BETWEEN_WORDS, &wishes->between, error);
    if (status == SW_OK)
        status = sw_argument_word(arguments, "--fault", SW_SIM_FAULT_WORDS, &wishes->fault, error);
    if (status == SW_OK)
        status = read_quantities(cli, arguments, wishes, error);
    read_switches(arguments, wishes);
    return status;
}

sw_status sw_simulate_spec_from(const sw_cli *cli, const sw_arguments *arguments, sw_sim_spec *spec,
                                sw_error *error) {
    sw_sim_wishes wishes;
    sw_profile profile;
    const char *probe = sw_argument(arguments, "--probe");
    sw_status status = read_wishes(cli, arguments, &wishes, error);
    if (status == SW_OK)
        status = sw_sim_wishes_apply(&wishes, spec, error);
    if (status != SW_OK || probe == NULL)
        return status;
    status = sw_profile_read(probe, cli->units, &profile, error);
    if (status == SW_OK)
        sw_sim_wire_as(&profile, spec);
    return status;
}

sw_status sw_simulate_truth_path(const char *recording, char *out, size_t room, sw_error *error) {
    const char *dot = strrchr(recording, '.');
    const char *slash = strrchr(recording, '/');
    size_t stem = dot != NULL && dot != recording && (slash == NULL || dot > slash + 1)
                      ? (size_t)(dot - recording)
                      : strlen(recording);
    int length = snprintf(out, room, "%.*s.truth.json", (int)stem, recording);
    if (length < 0 || (size_t)length >= room)
        return sw_fail(error, SW_USAGE, "%.60s...: the path is too long", recording);
    return SW_OK;
}
