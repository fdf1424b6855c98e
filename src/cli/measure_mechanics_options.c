/* Discs, weights and levers as people give them. */
#include "src/cli/measure_mechanics.h"

#include <gsl/gsl_const_mksa.h>
#include <stdio.h>
#include <string.h>

typedef struct row {
    const char *option;
    const char *unit;
    double low;
    double high;
    sw_quantity *target;
    bool needed;
} row;

static sw_status read_rows(const sw_cli *cli, const sw_arguments *arguments, const row *rows,
                           size_t count, sw_error *error) {
    for (size_t i = 0; i < count; i++) {
        *rows[i].target = sw_quantity_unknown();
        if (rows[i].needed && !sw_argument_given(arguments, rows[i].option))
            return sw_fail(error, SW_USAGE, "%s needs %s too, for example %s %s", rows[0].option,
                           rows[i].option, rows[i].option, sw_unit_example(rows[i].unit));
        sw_status status =
            sw_argument_quantity_in(arguments, rows[i].option, rows[i].unit, rows[i].low,
                                    rows[i].high, cli->units, rows[i].target, error);
        if (status != SW_OK)
            return status;
    }
    return SW_OK;
}

sw_status sw_mechanics_disc(const sw_cli *cli, const sw_arguments *arguments, bool added,
                            sw_quantity *inertia, sw_error *error) {
    static const char *const NAMES[2][3] = {{"--disc-mass", "--disc-diameter", "--disc-bore"},
                                            {"--added-mass", "--added-diameter", "--added-bore"}};
    const char *const *name = NAMES[added];
    sw_disc disc = {.rough = !added};
    const row rows[] = {
        {name[0], "kg", 1e-5, 1e4, &disc.mass_kg, true},
        {name[1], "mm", 0.1, 1e5, &disc.diameter_mm, true},
        {name[2], "mm", 0, 1e5, &disc.bore_mm, false},
    };
    *inertia = sw_quantity_unknown();
    if (!sw_argument_given(arguments, name[0]) && !sw_argument_given(arguments, name[1]) &&
        !sw_argument_given(arguments, name[2]))
        return SW_OK;
    sw_status status = read_rows(cli, arguments, rows, 3, error);
    if (status == SW_OK)
        status = sw_disc_inertia(&disc, inertia, error);
    return status;
}

sw_status sw_mechanics_weight(const sw_cli *cli, const sw_arguments *arguments,
                              sw_falling_weight *weight, sw_error *error) {
    const row rows[] = {
        {"--falling-weight", "kg", 1e-4, 1e3, &weight->mass_kg, true},
        {"--drop", "m", 0.01, 100, &weight->drop_m, true},
        {"--drop-time", "s", 0.05, 1000, &weight->time_s, true},
        {"--drum-radius", "mm", 0.5, 1e4, &weight->drum_radius_mm, true},
        {"--balance-weight", "kg", 0, 1e3, &weight->balance_kg, false},
    };
    weight->slowing_rad_s2 = sw_quantity_unknown();
    return read_rows(cli, arguments, rows, sizeof rows / sizeof *rows, error);
}

/* ---- lists of weights ---- */

/* Kilograms, or what a spring scale shows in newtons. */
static sw_status read_weight(const sw_cli *cli, const char *name, const char *text, double *kg,
                             sw_error *error) {
    sw_quantity found;
    sw_error inner;
    sw_error other;
    if (sw_quantity_parse(cli->units, text, "kg", &found, &inner) == SW_OK)
        *kg = found.value;
    else if (sw_quantity_parse(cli->units, text, "N", &found, &other) == SW_OK)
        *kg = found.value / GSL_CONST_MKSA_GRAV_ACCEL;
    else
        return sw_fail(error, SW_USAGE, "%s: %s", name, inner.message);
    if (!(*kg > -1e3 && *kg < 1e3))
        return sw_fail(error, SW_USAGE, "%s: found %g kg, expected less than 1000", name, *kg);
    return SW_OK;
}

static bool has_digit(const char *word) {
    return strpbrk(word, "0123456789") != NULL;
}

/* The unit within "310g", "" in "310". */
static const char *unit_of(const char *word) {
    return word + strspn(word, "0123456789.,+-");
}

enum { WORD_ROOM = 40 };

/* The next word between blanks and semicolons, a comma at its end left out; false at the end. */
static bool next_word(const char **at, char out[WORD_ROOM]) {
    *at += strspn(*at, " \t;");
    size_t length = strcspn(*at, " \t;");
    size_t kept = length > 0 && (*at)[length - 1] == ',' ? length - 1 : length;
    snprintf(out, WORD_ROOM, "%.*s", (int)(kept < WORD_ROOM ? kept : WORD_ROOM - 1), *at);
    *at += length;
    return length > 0;
}

/* The last unit of a list, which holds for the numbers without one. */
static void last_unit(const char *text, char out[WORD_ROOM]) {
    char word[WORD_ROOM];
    out[0] = '\0';
    while (next_word(&text, word))
        if (*unit_of(word) != '\0')
            snprintf(out, WORD_ROOM, "%s", unit_of(word));
}

/* "310 g, 280 g", "310 280 290 g". */
static sw_status read_weights(const sw_cli *cli, const sw_arguments *arguments, const char *name,
                              double *kg, size_t *count, sw_error *error) {
    const char *at = sw_argument(arguments, name);
    char word[WORD_ROOM];
    char unit[WORD_ROOM];
    *count = 0;
    if (at == NULL)
        return SW_OK;
    last_unit(at, unit);
    while (next_word(&at, word)) {
        char following[WORD_ROOM] = "";
        char whole[3 * WORD_ROOM];
        const char *after = at;
        bool apart =
            *unit_of(word) == '\0' && next_word(&after, following) && !has_digit(following);
        const char *own = *unit_of(word) != '\0' ? "" : apart ? following : unit;
        snprintf(whole, sizeof whole, "%s %s", word, own);
        at = apart ? after : at;
        if (*count >= SW_LEVER_READINGS)
            return sw_fail(error, SW_USAGE, "%s: more than %d readings", name, SW_LEVER_READINGS);
        sw_status status = read_weight(cli, name, whole, &kg[*count], error);
        if (status != SW_OK)
            return status;
        (*count)++;
    }
    return SW_OK;
}

sw_status sw_mechanics_lever(const sw_cli *cli, const sw_arguments *arguments, sw_lever *lever,
                             sw_error *error) {
    *lever = (sw_lever){.reading_kg = sw_quantity_unknown()};
    const row rows[] = {{"--lever", "mm", 1, 1e5, &lever->arm_mm, true}};
    sw_status status = read_rows(cli, arguments, rows, 1, error);
    if (status == SW_OK)
        status = read_weights(cli, arguments, "--weights", lever->clockwise_kg, &lever->clockwise,
                              error);
    if (status == SW_OK)
        status = read_weights(cli, arguments, "--weights-back", lever->counter_kg, &lever->counter,
                              error);
    return status;
}

sw_status sw_mechanics_load_ohm(const sw_cli *cli, const sw_arguments *arguments, size_t n,
                                sw_quantity *ohm, sw_error *error) {
    const char *text = sw_argument_nth(arguments, "--load-ohm", n);
    sw_error inner;
    if (sw_argument_nth(arguments, "--loaded", n) == NULL || text == NULL)
        return sw_fail(error, SW_USAGE, "each --loaded has its own --load-ohm, in the same order");
    if (sw_quantity_parse(cli->units, text, "ohm", ohm, &inner) != SW_OK)
        return sw_fail(error, SW_USAGE, "--load-ohm: %s", inner.message);
    if (!(ohm->value > 0))
        return sw_fail(error, SW_USAGE, "--load-ohm: found %g ohm, expected more than 0",
                       ohm->value);
    return SW_OK;
}
