#include "src/cli/command.h"

static const sw_option OPTIONS[] = {{0}};

static sw_status run(const sw_cli *cli, const sw_arguments *arguments, sw_error *error) {
    (void)cli;
    (void)arguments;
    return sw_fail(error, SW_UNSUPPORTED, "not in this build yet");
}

const sw_command sw_command_measure = {
    .name = "measure",
    .summary = "a recording of a spinning motor -> what the motor is",
    .usage = "spinworth measure RECORDING... [OPTIONS]",
    .about = "",
    .example = "",
    .options = OPTIONS,
    .run = run,
};
