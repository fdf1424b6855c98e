#include "probes/profile.h"

#include "shared/day.h"
#include "shared/json_read.h"
#include "shared/json_write.h"

#include <math.h>
#include <stdio.h>

/* A crystal keeps its rate within some 50 parts in a million (common practice, no source). */
static const double CRYSTAL_U = 50e-6;

/* Sound inputs nobody measured cut somewhere between 2 and 16 Hz (common practice, no source):
 * the middle on a logarithmic scale, and a quarter of the range as standard uncertainty. */
static const double LOW_CUT_HZ = 5.7;
static const double LOW_CUT_U_HZ = 3.5;

static const double PARTS_IN_A_MILLION = 1e-6;
static const double VOLTS_LIMIT = 1e6;
static const double LOW_CUT_LIMIT_HZ = 1e4;
static const double CLOCK_LIMIT = 0.05;

/* A scope's vertical gain is good to 3 % either way, another one in each range; rectangular
 * (common practice, no source). */
static const double SCOPE_GAIN_U = 0.017;

sw_profile sw_profile_scope(void) {
    return (sw_profile){
        .volts_per_unit = sw_quantity_of(1, SCOPE_GAIN_U, "V"),
        .low_cut_hz = sw_quantity_of(0, 0, "Hz"),
        .clock_error = sw_quantity_of(0, CRYSTAL_U, "1"),
        .linear_limit = 1,
        .gain = NAN,
        .calibrated = true,
    };
}

sw_profile sw_profile_uncalibrated(void) {
    return (sw_profile){
        .volts_per_unit = sw_quantity_unknown(),
        .low_cut_hz = sw_quantity_of(LOW_CUT_HZ, LOW_CUT_U_HZ, "Hz"),
        .clock_error = sw_quantity_of(0, CRYSTAL_U, "1"),
        .linear_limit = 1,
        .gain = NAN,
        .calibrated = false,
    };
}

/* In parts in a million; a bare number means those, other units convert. */
static sw_status read_clock(const sw_node *node, sw_quantity *clock, sw_error *error) {
    const cJSON *item = cJSON_GetObjectItemCaseSensitive(node->json, "clock_error");
    sw_status status = SW_OK;
    if (cJSON_IsNumber(item)) {
        double parts = 0;
        status = sw_node_number(node, "clock_error", -CLOCK_LIMIT / PARTS_IN_A_MILLION,
                                CLOCK_LIMIT / PARTS_IN_A_MILLION, &parts, error);
        *clock = sw_quantity_of(parts * PARTS_IN_A_MILLION, CRYSTAL_U, "1");
    } else {
        status =
            sw_node_quantity_in(node, "clock_error", "1", -CLOCK_LIMIT, CLOCK_LIMIT, clock, error);
    }
    clock->u = sw_quantity_u_or(*clock, 0);
    return status;
}

static sw_status read_volts(const sw_node *node, sw_quantity *volts, sw_error *error) {
    sw_status status = sw_node_need(node, "volts_per_unit", "12.5", error);
    if (status == SW_OK)
        status = sw_node_quantity_in(node, "volts_per_unit", "V", -VOLTS_LIMIT, VOLTS_LIMIT, volts,
                                     error);
    if (status == SW_OK && !(volts->value > 0))
        return sw_node_fail(node, "volts_per_unit", error, SW_VALUE,
                            "found %g V, expected more than zero", volts->value);
    return status;
}

static sw_status read_day(const sw_node *node, long *day, sw_error *error) {
    const char *text = NULL;
    sw_status status = sw_node_text(node, "calibrated_on", &text, error);
    if (status == SW_OK && text != NULL && !sw_day_read(text, day))
        return sw_node_fail(node, "calibrated_on", error, SW_VALUE,
                            "found \"%.40s\", expected a day such as 2026-05-04", text);
    return status;
}

static sw_status read_keys(const sw_node *node, sw_profile *profile, sw_error *error) {
    const char *device = "";
    sw_status status = read_volts(node, &profile->volts_per_unit, error);
    if (status == SW_OK)
        status = sw_node_quantity_in(node, "low_cut", "Hz", 0, LOW_CUT_LIMIT_HZ,
                                     &profile->low_cut_hz, error);
    if (status == SW_OK)
        status = read_clock(node, &profile->clock_error, error);
    if (status == SW_OK)
        status = sw_node_number(node, "linear_limit", 0.001, 1, &profile->linear_limit, error);
    if (status == SW_OK)
        status = sw_node_number(node, "gain", -HUGE_VAL, HUGE_VAL, &profile->gain, error);
    if (status == SW_OK)
        status = sw_node_text(node, "device", &device, error);
    if (status == SW_OK)
        status = read_day(node, &profile->calibrated_day, error);
    snprintf(profile->device, sizeof profile->device, "%s", device);
    profile->calibrated = true;
    return status;
}

sw_status sw_profile_read(const char *path, const sw_units *units, sw_profile *profile,
                          sw_error *error) {
    static const char *const KEYS[] = {
        "document", "version", "volts_per_unit", "low_cut",       "clock_error", "linear_limit",
        "device",   "gain",    "note",           "calibrated_on", NULL};
    cJSON *root = NULL;
    *profile = sw_profile_uncalibrated();
    sw_status status = sw_json_read(path, &root, error);
    if (status != SW_OK)
        return status;
    sw_node top = sw_node_top(root, path, units);
    const char *note = NULL;
    status = sw_node_expect_document(&top, "probe", error);
    if (status == SW_OK)
        status = sw_node_allow(&top, KEYS, error);
    if (status == SW_OK)
        status = read_keys(&top, profile, error);
    if (status == SW_OK)
        status = sw_node_text(&top, "note", &note, error);
    cJSON_Delete(root);
    return status;
}

cJSON *sw_profile_to_json(const sw_profile *profile) {
    cJSON *root = sw_json_document("probe");
    sw_quantity clock = sw_quantity_of(profile->clock_error.value / PARTS_IN_A_MILLION,
                                       profile->clock_error.u / PARTS_IN_A_MILLION, "1e-6");
    sw_json_add_quantity(root, "volts_per_unit", profile->volts_per_unit);
    sw_json_add_quantity(root, "low_cut", profile->low_cut_hz);
    sw_json_add_quantity(root, "clock_error", clock);
    sw_json_add_number(root, "linear_limit", profile->linear_limit);
    sw_json_add_text(root, "device", profile->device);
    sw_json_add_number(root, "gain", profile->gain);
    char day[SW_DAY_ROOM];
    sw_day_write(profile->calibrated_day, day);
    if (profile->calibrated_day != 0)
        cJSON_AddStringToObject(root, "calibrated_on", day);
    else
        cJSON_AddNullToObject(root, "calibrated_on");
    return root;
}
