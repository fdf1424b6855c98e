#include "src/cli/options.h"

#include "shared/near.h"

#include <stdio.h>
#include <string.h>

static const sw_option *find_in(const sw_option *table, const char *name) {
    for (; table != NULL && table->name != NULL; table++)
        if (strcmp(table->name, name) == 0 ||
            (table->alias != NULL && strcmp(table->alias, name) == 0))
            return table;
    return NULL;
}

/* Letters that agree at the start. */
static size_t common_start(const char *left, const char *right) {
    size_t count = 0;
    while (left[count] != '\0' && left[count] == right[count])
        count++;
    return count;
}

/* The option that begins as name does, in at least two letters. */
static const char *same_start(const char *name, const char *const *known) {
    enum { LEAST = 2 };
    const char *found = NULL;
    size_t best = LEAST - 1;
    for (; *known != NULL; known++) {
        size_t shared = common_start(*known, name);
        if (shared > best) {
            best = shared;
            found = *known;
        }
    }
    return found;
}

static sw_status unknown_option(const sw_option *own, const sw_option *common, const char *name,
                                sw_error *error) {
    enum { MOST = 100, DASHES = 2 };
    const char *known[MOST + 1];
    size_t count = 0;
    for (; own != NULL && own->name != NULL && count < MOST; own++)
        known[count++] = own->name + DASHES;
    for (; common != NULL && common->name != NULL && count < MOST; common++)
        known[count++] = common->name + DASHES;
    known[count] = NULL;
    const char *bare = name + strspn(name, "-");
    const char *close = sw_near_word(bare, known);
    if (close == NULL)
        close = same_start(bare, known);
    if (close != NULL)
        return sw_fail(error, SW_USAGE, "option %.60s is not known; did you mean --%s?", name,
                       close);
    return sw_fail(error, SW_USAGE, "option %.60s is not known; --help lists the options", name);
}

static sw_status keep_word(sw_arguments *arguments, const char *word, sw_error *error) {
    if (arguments->words >= SW_ARGUMENT_LIMIT)
        return sw_fail(error, SW_USAGE, "more than %d file names", SW_ARGUMENT_LIMIT);
    arguments->word[arguments->words++] = word;
    return SW_OK;
}

/* A negative number is a value, not an option. */
static bool looks_like_option(const char *word) {
    return word[0] == '-' && word[1] != '\0' && strchr("0123456789.,", word[1]) == NULL;
}

static sw_status take_option(const sw_option *own, const sw_option *common, int count, char **argv,
                             int *at, sw_arguments *arguments, sw_error *error) {
    const char *word = argv[*at];
    char name[64];
    const char *equals = strncmp(word, "--", 2) == 0 ? strchr(word, '=') : NULL;
    size_t length = equals != NULL ? (size_t)(equals - word) : strlen(word);
    if (length >= sizeof name)
        return sw_fail(error, SW_USAGE, "option %.60s... is not known", word);
    memcpy(name, word, length);
    name[length] = '\0';
    const sw_option *option = find_in(own, name);
    if (option == NULL)
        option = find_in(common, name);
    if (option == NULL)
        return unknown_option(own, common, name, error);
    const char *value = equals != NULL ? equals + 1 : "";
    if (option->value == NULL && equals != NULL)
        return sw_fail(error, SW_USAGE, "%s takes no value", option->name);
    if (option->value != NULL && equals == NULL) {
        if (*at + 1 >= count || (looks_like_option(argv[*at + 1]) &&
                                 (find_in(own, argv[*at + 1]) || find_in(common, argv[*at + 1]))))
            return sw_fail(error, SW_USAGE, "%s needs a value: %s", option->name, option->value);
        value = argv[++*at];
    }
    if (arguments->given >= SW_ARGUMENT_LIMIT)
        return sw_fail(error, SW_USAGE, "more than %d options", SW_ARGUMENT_LIMIT);
    arguments->option[arguments->given++] = (sw_given){option, value};
    return SW_OK;
}

sw_status sw_arguments_parse(const sw_option *own, const sw_option *common, int count, char **argv,
                             sw_arguments *arguments, sw_error *error) {
    *arguments = (sw_arguments){0};
    bool only_words = false;
    for (int at = 0; at < count; at++) {
        sw_status status = SW_OK;
        if (only_words || !looks_like_option(argv[at]))
            status = keep_word(arguments, argv[at], error);
        else if (strcmp(argv[at], "--") == 0)
            only_words = true;
        else
            status = take_option(own, common, count, argv, &at, arguments, error);
        if (status != SW_OK)
            return status;
    }
    return SW_OK;
}

const char *sw_argument_nth(const sw_arguments *arguments, const char *name, size_t n) {
    for (size_t i = 0; i < arguments->given; i++)
        if (strcmp(arguments->option[i].option->name, name) == 0 && n-- == 0)
            return arguments->option[i].value;
    return NULL;
}

const char *sw_argument(const sw_arguments *arguments, const char *name) {
    const char *last = NULL;
    for (size_t i = 0; i < arguments->given; i++)
        if (strcmp(arguments->option[i].option->name, name) == 0)
            last = arguments->option[i].value;
    return last;
}

bool sw_argument_given(const sw_arguments *arguments, const char *name) {
    return sw_argument(arguments, name) != NULL;
}

sw_status sw_argument_fail(const char *name, const sw_error *inner, sw_error *error) {
    return sw_fail(error, SW_USAGE, "%s: %s", name, inner->message);
}

static sw_status read_quantity(const sw_arguments *arguments, const char *name, const char *unit,
                               const sw_units *units, sw_quantity *out, sw_error *error) {
    const char *text = sw_argument(arguments, name);
    if (text == NULL)
        return SW_OK;
    sw_error inner;
    if (sw_quantity_parse(units, text, unit, out, &inner) == SW_OK)
        return SW_OK;
    return sw_argument_fail(name, &inner, error);
}

sw_status sw_argument_quantity_in(const sw_arguments *arguments, const char *name, const char *unit,
                                  double low, double high, const sw_units *units, sw_quantity *out,
                                  sw_error *error) {
    if (!sw_argument_given(arguments, name))
        return SW_OK;
    sw_status status = read_quantity(arguments, name, unit, units, out, error);
    if (status != SW_OK)
        return status;
    bool plain = strcmp(unit, "1") == 0;
    if (!(out->value >= low && out->value <= high))
        return sw_fail(error, SW_USAGE, "%s: found %g%s%s, expected %g to %g", name, out->value,
                       plain ? "" : " ", plain ? "" : unit, low, high);
    return SW_OK;
}

sw_status sw_argument_quantities(const sw_arguments *arguments, const sw_quantity_option *options,
                                 size_t count, const sw_units *units, sw_error *error) {
    sw_status status = SW_OK;
    for (size_t i = 0; i < count && status == SW_OK; i++)
        status =
            sw_argument_quantity_in(arguments, options[i].name, options[i].unit, options[i].low,
                                    options[i].high, units, options[i].out, error);
    return status;
}

sw_status sw_argument_word(const sw_arguments *arguments, const char *name,
                           const char *const *words, int *out, sw_error *error) {
    const char *text = sw_argument(arguments, name);
    if (text == NULL)
        return SW_OK;
    char all[200] = "";
    size_t used = 0;
    for (int i = 0; words[i] != NULL; i++) {
        if (strcmp(words[i], text) == 0) {
            *out = i;
            return SW_OK;
        }
        if (used < sizeof all - 40)
            used += (size_t)snprintf(all + used, sizeof all - used, "%s%s", i > 0 ? ", " : "",
                                     words[i]);
    }
    return sw_fail(error, SW_USAGE, "%s: found \"%.40s\", expected one of %s", name, text, all);
}
