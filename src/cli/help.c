#include "src/cli/commands.h"

#include <stdio.h>
#include <string.h>

enum { LEFT_COLUMNS = 28, NAME_COLUMNS = 13, USAGE_COLUMNS = 7 };

/* Prose as the commands hold it: a single line break is only the source's, an empty line or a
 * line that begins with a space is meant. */
static void add_prose(sw_text *text, const char *prose) {
    sw_text piece = {0};
    while (*prose != '\0') {
        size_t length = strcspn(prose, "\n");
        sw_text_add(&piece, "%.*s", (int)length, prose);
        prose += length;
        const char *next = prose + (*prose == '\n');
        bool empty = length == 0 && piece.length == 0;
        bool goes_on = !empty && next != prose && strchr("\n ", *next) == NULL;
        if (goes_on)
            sw_text_add(&piece, " ");
        else {
            sw_text_paragraph(text, 0, "%s", sw_text_string(&piece));
            sw_text_carry(&piece, text);
        }
        prose = next;
    }
    sw_text_carry(&piece, text);
}

void sw_help_overview(sw_text *text) {
    sw_text_add(text, "spinworth: is this scrap motor worth using as a wind generator?\n\n");
    sw_text_add(text, "Usage: spinworth COMMAND [FILES] [OPTIONS]\n\n");
    for (size_t i = 0; SW_COMMANDS[i] != NULL; i++) {
        sw_text_add(text, "  %-10s ", SW_COMMANDS[i]->name);
        sw_text_paragraph(text, NAME_COLUMNS, "%s", SW_COMMANDS[i]->summary);
    }
    sw_text_add(text, "\nspinworth COMMAND --help explains one command with a worked example.\n"
                      "spinworth --version tells the version.\n\n");
    sw_text_paragraph(
        text, 0,
        "Values take their unit along: 1900mm, \"75 in\", 24V, 640rpm, "
        "'5.5 m/s', '48 turns in 10 s'. Only volts, amps, ohms, hertz and watts may go "
        "without. A file name of - is standard input.");
    sw_text_add(text, "\nExit status: 0 done (a bad verdict is no error), 2 wrong call, 3 bad\n"
                      "input, 4 a device or disk fault.\n");
}

static void add_option(const sw_option *option, sw_text *text) {
    char left[80];
    snprintf(left, sizeof left, "  %s%s%s%s%s", option->alias != NULL ? option->alias : "",
             option->alias != NULL ? ", " : "", option->name, option->value != NULL ? " " : "",
             option->value != NULL ? option->value : "");
    size_t wide = sw_text_columns(left);
    sw_text_add(text, "%s", left);
    if (wide + 2 > LEFT_COLUMNS)
        sw_text_add(text, "\n%*s", LEFT_COLUMNS, "");
    else
        sw_text_add(text, "%*s", (int)(LEFT_COLUMNS - wide), "");
    sw_text_paragraph(text, LEFT_COLUMNS, "%s", option->help);
}

/* One line a way to call it, each broken by itself. */
static void add_usage(const char *usage, sw_text *text) {
    for (const char *lead = "\nUsage: "; *usage != '\0'; lead = "       ") {
        usage += strspn(usage, " \n");
        size_t length = strcspn(usage, "\n");
        sw_text_add(text, "%s", lead);
        sw_text_paragraph(text, USAGE_COLUMNS, "%.*s", (int)length, usage);
        usage += length;
    }
}

void sw_help_command(const sw_command *command, sw_text *text) {
    sw_text_paragraph(text, 0, "%s: %s", command->name, command->summary);
    add_usage(command->usage, text);
    sw_text_add(text, "\n");
    add_prose(text, command->about);
    sw_text_add(text, "\nOptions:\n");
    for (const sw_option *option = command->options; option != NULL && option->name; option++)
        add_option(option, text);
    for (const sw_option *option = SW_COMMON_OPTIONS; option->name != NULL; option++)
        add_option(option, text);
    sw_text_add(text, "\nExample:\n%s\n", command->example);
}
