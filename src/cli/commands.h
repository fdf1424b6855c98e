/* The list of commands. Adding one is one file and one line in commands.c. */
#ifndef SPINWORTH_CLI_COMMANDS_H
#define SPINWORTH_CLI_COMMANDS_H

#include "src/cli/command.h"

/* In the order of the help; ends with NULL. */
extern const sw_command *const SW_COMMANDS[];

/* NULL when there is no such command. */
const sw_command *sw_command_find(const char *name);

/* Options every command takes; ends with {0}. */
extern const sw_option SW_COMMON_OPTIONS[];

/* Help texts. */
void sw_help_overview(sw_text *text);
void sw_help_command(const sw_command *command, sw_text *text);

#endif
