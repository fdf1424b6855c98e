/* What match and rank may choose from, and from when on a motor is worth it: options of both. */
#ifndef SPINWORTH_CLI_WISHES_H
#define SPINWORTH_CLI_WISHES_H

#include "src/cli/command.h"
#include "src/match/match.h"

/* Rows for a command's table of options. */
#define SW_WISH_OPTIONS                                                                            \
    {"--load-voltages", NULL, "LIST", "batteries that are possible, '12,24,48' volts"},            \
        {"--drives", NULL, "LIST", "only these: wheel, belt, chain, direct, with commas"},         \
        {"--machines", NULL, "N", "equal motors at hand for one rim, 1 to 4"},                     \
        {"--start-by", NULL, "WIND", "must start by itself at or below this wind"},                \
        {"--worth", NULL, "ENERGY", "a year, from which it is worth using (5 kWh)"},               \
        {"--least-share", NULL, "SHARE",                                                           \
         "of the rotor's best energy; below it is second choice (12%)"},                           \
    {                                                                                              \
        "--late-start", NULL, "TIMES", "the mean wind; starting later is second choice (1.5)"      \
    }

typedef struct sw_wishes {
    size_t voltages;
    double voltage[SW_VOLTAGE_LIMIT];
    unsigned drives; /* SW_DRIVE_BIT of each; 0 = all */
    int machines;
    double start_by; /* 0 = any */
    sw_thresholds thresholds;
} sw_wishes;

/* load: the document's own list of voltages counts when the option is not given; NULL = none. */
sw_status sw_wishes_read(const sw_cli *cli, const sw_arguments *arguments, const sw_load *load,
                         sw_wishes *wishes, sw_error *error);

#endif
