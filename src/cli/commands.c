#include "src/cli/commands.h"

#include <string.h>

extern const sw_command sw_command_ask;
extern const sw_command sw_command_calibrate;
extern const sw_command sw_command_compare;
extern const sw_command sw_command_deliver;
extern const sw_command sw_command_divider;
extern const sw_command sw_command_inputs;
extern const sw_command sw_command_measure;
extern const sw_command sw_command_match;
extern const sw_command sw_command_rank;
extern const sw_command sw_command_record;
extern const sw_command sw_command_simulate;
extern const sw_command sw_command_wires;

const sw_command *const SW_COMMANDS[] = {
    &sw_command_wires,
    &sw_command_divider,
    &sw_command_calibrate,
    &sw_command_inputs,
    &sw_command_record,
    &sw_command_measure,
    &sw_command_deliver,
    &sw_command_ask,
    &sw_command_match,
    &sw_command_rank,
    &sw_command_compare,
    &sw_command_simulate,
    NULL,
};

const sw_option SW_COMMON_OPTIONS[] = {
    {"--json", NULL, NULL, "print the result as JSON; errors too, on standard error"},
    {"--details", NULL, NULL, "more numbers, with probabilities"},
    {"--units", NULL, "si|us", "millimetres and m/s (si), or inches, pounds and mph (us)"},
    {"--help", "-h", NULL, "this help"},
    {0},
};

const sw_command *sw_command_find(const char *name) {
    for (size_t i = 0; SW_COMMANDS[i] != NULL; i++)
        if (strcmp(SW_COMMANDS[i]->name, name) == 0)
            return SW_COMMANDS[i];
    return NULL;
}
