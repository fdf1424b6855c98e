/* What every command file exports, and what it gets. Only this layer prints and exits. */
#ifndef SPINWORTH_CLI_COMMAND_H
#define SPINWORTH_CLI_COMMAND_H

#include "shared/quantity.h"
#include "shared/status.h"
#include "shared/text.h"
#include "src/cli/options.h"

#include <cjson/cJSON.h>
#include <stdbool.h>

typedef struct sw_cli {
    const sw_units *units;
    const char *reference_dir; /* where the published tables are */
    bool us_units;             /* --units us */
    bool json;                 /* --json */
    bool details;              /* --details */
} sw_cli;

typedef struct sw_command {
    const char *name;
    const char *summary;      /* one line for the list */
    const char *usage;        /* "spinworth measure RECORDING... [options]" */
    const char *about;        /* a paragraph or two */
    const char *example;      /* a worked example: what to type and what it says */
    const sw_option *options; /* ends with {0}; common ones are added by the frame */
    /* Returns SW_OK or a status with its message in error; the frame prints and exits. */
    sw_status (*run)(const sw_cli *cli, const sw_arguments *arguments, sw_error *error);
} sw_command;

/* Print to standard output; SW_IO when that fails (a closed pipe, a full disk). What ran out of
 * memory (SW_MEMORY) is not printed at all: half an answer looks like a whole one. */
sw_status sw_cli_print_text(const sw_text *text, sw_error *error);
sw_status sw_cli_print_json(const cJSON *root, sw_error *error);

#endif
