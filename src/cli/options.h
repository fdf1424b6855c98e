/* Command-line options: a table per command, values kept as text until the command reads them
 * as quantities. No option globals. */
#ifndef SPINWORTH_CLI_OPTIONS_H
#define SPINWORTH_CLI_OPTIONS_H

#include "shared/quantity.h"
#include "shared/status.h"

#include <stdbool.h>
#include <stddef.h>

enum { SW_ARGUMENT_LIMIT = 256 };

typedef struct sw_option {
    const char *name;  /* "--speed" */
    const char *alias; /* "-s" or NULL */
    const char *value; /* name of its value ("SPEED"), NULL for a switch */
    const char *help;
} sw_option;

typedef struct sw_given {
    const sw_option *option;
    const char *value;
} sw_given;

typedef struct sw_arguments {
    size_t words; /* what is not an option, in order */
    const char *word[SW_ARGUMENT_LIMIT];
    size_t given;
    sw_given option[SW_ARGUMENT_LIMIT];
} sw_arguments;

/* Sort argv (without program and command) into words and options. "--" ends options, "-" alone
 * is a word. SW_USAGE names what is not known and offers the nearest option. */
sw_status sw_arguments_parse(const sw_option *own, const sw_option *common, int count, char **argv,
                             sw_arguments *arguments, sw_error *error);

/* Value of an option, NULL when not given (last one wins); "" for a switch. */
const char *sw_argument(const sw_arguments *arguments, const char *name);
bool sw_argument_given(const sw_arguments *arguments, const char *name);

/* The nth value of an option that may be repeated, NULL beyond the last. */
const char *sw_argument_nth(const sw_arguments *arguments, const char *name, size_t n);

/* Read an option as a quantity; not given leaves *out as it is. Messages begin "--speed: ". */
/* As above, within [low, high]. */
sw_status sw_argument_quantity_in(const sw_arguments *arguments, const char *name, const char *unit,
                                  double low, double high, const sw_units *units, sw_quantity *out,
                                  sw_error *error);

/* Several of them at once: a table of the options that a command reads as quantities. */
typedef struct sw_quantity_option {
    const char *name;
    const char *unit;
    double low, high;
    sw_quantity *out;
} sw_quantity_option;
sw_status sw_argument_quantities(const sw_arguments *arguments, const sw_quantity_option *options,
                                 size_t count, const sw_units *units, sw_error *error);

/* SW_USAGE with the option's name before what inner says. */
sw_status sw_argument_fail(const char *name, const sw_error *inner, sw_error *error);

/* One of the words in a NULL-terminated list; not given leaves *out. */
sw_status sw_argument_word(const sw_arguments *arguments, const char *name,
                           const char *const *words, int *out, sw_error *error);

#endif
