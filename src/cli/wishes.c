#include "src/cli/wishes.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static sw_status bad_list(const char *text, sw_error *error) {
    return sw_fail(error, SW_USAGE,
                   "--load-voltages: found \"%.60s\", expected up to %d battery voltages of 2 to "
                   "200 V, for example 12,24,48",
                   text, (int)SW_VOLTAGE_LIMIT);
}

/* "12,24,48", a unit behind any of them. */
static sw_status read_voltages(const sw_cli *cli, const char *text, sw_wishes *wishes,
                               sw_error *error) {
    char item[32];
    wishes->voltages = 0;
    for (const char *at = text; at != NULL;) {
        size_t length = strcspn(at, ",");
        sw_quantity volts = sw_quantity_unknown();
        if (length == 0 || length + 3 > sizeof item || wishes->voltages == SW_VOLTAGE_LIMIT)
            return bad_list(text, error);
        snprintf(item, sizeof item, "%.*s", (int)length, at);
        if (sw_quantity_parse(cli->units, item, "V", &volts, NULL) != SW_OK ||
            !(volts.value >= 2 && volts.value <= 200))
            return bad_list(text, error);
        wishes->voltage[wishes->voltages++] = volts.value;
        at = at[length] == ',' ? at + length + 1 : NULL;
    }
    return SW_OK;
}

/* In the order of sw_drive_id. */
static const char *const DRIVES[SW_DRIVE_COUNT] = {"wheel", "belt", "chain", "direct"};

/* "wheel,chain" */
static sw_status read_drives(const char *text, sw_wishes *wishes, sw_error *error) {
    for (const char *at = text; at != NULL;) {
        size_t length = strcspn(at, ",");
        int found = SW_DRIVE_COUNT;
        for (int i = 0; i < SW_DRIVE_COUNT; i++)
            if (strlen(DRIVES[i]) == length && strncmp(at, DRIVES[i], length) == 0)
                found = i;
        if (found == SW_DRIVE_COUNT)
            return sw_fail(error, SW_USAGE,
                           "--drives: found \"%.60s\", expected some of wheel, belt, chain, "
                           "direct, with commas between them",
                           text);
        wishes->drives |= SW_DRIVE_BIT(found);
        at = at[length] == ',' ? at + length + 1 : NULL;
    }
    return SW_OK;
}

static void take_from_load(const sw_load *load, sw_wishes *wishes) {
    wishes->voltages = load->voltages;
    memcpy(wishes->voltage, load->possible_v, sizeof wishes->voltage);
}

/* From when on it is worth using; what is not given stays as usual. */
static sw_status read_thresholds(const sw_cli *cli, const sw_arguments *arguments,
                                 sw_thresholds *thresholds, sw_error *error) {
    sw_quantity worth = sw_quantity_unknown();
    sw_quantity share = sw_quantity_unknown();
    sw_quantity late = sw_quantity_unknown();
    const sw_quantity_option options[] = {
        {"--worth", "kWh", 0.1, 1e5, &worth},
        {"--least-share", "%", 0, 100, &share},
        {"--late-start", "1", 0.1, 10, &late},
    };
    sw_status status = sw_argument_quantities(arguments, options, sizeof options / sizeof *options,
                                              cli->units, error);
    if (sw_quantity_known(worth))
        *thresholds = sw_thresholds_worth(worth.value);
    if (sw_quantity_known(share))
        thresholds->spare_share = share.value / 100;
    if (sw_quantity_known(late))
        thresholds->late_start = late.value;
    return status;
}

sw_status sw_wishes_read(const sw_cli *cli, const sw_arguments *arguments, const sw_load *load,
                         sw_wishes *wishes, sw_error *error) {
    sw_quantity machines = sw_quantity_unknown();
    sw_quantity start_by = sw_quantity_unknown();
    const char *voltages = sw_argument(arguments, "--load-voltages");
    const char *drives = sw_argument(arguments, "--drives");
    sw_status status = SW_OK;
    *wishes = (sw_wishes){.machines = 1, .thresholds = SW_THRESHOLDS};
    if (load != NULL)
        take_from_load(load, wishes);
    if (voltages != NULL)
        status = read_voltages(cli, voltages, wishes, error);
    if (status == SW_OK && drives != NULL)
        status = read_drives(drives, wishes, error);
    if (status == SW_OK)
        status = sw_argument_quantity_in(arguments, "--machines", "1", 1, SW_MACHINE_LIMIT,
                                         cli->units, &machines, error);
    if (status == SW_OK && sw_quantity_known(machines) && machines.value != floor(machines.value))
        return sw_fail(error, SW_USAGE, "--machines: found %g, expected a whole number",
                       machines.value);
    if (status == SW_OK)
        status = sw_argument_quantity_in(arguments, "--start-by", "m/s", 0.5, 30, cli->units,
                                         &start_by, error);
    if (status == SW_OK)
        status = read_thresholds(cli, arguments, &wishes->thresholds, error);
    if (sw_quantity_known(machines))
        wishes->machines = (int)machines.value;
    if (sw_quantity_known(start_by))
        wishes->start_by = start_by.value;
    return status;
}
