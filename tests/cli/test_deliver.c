/* `spinworth deliver` as people and other programs call it. */
#include "tests/support.h"

#include "shared/files.h"

#include <cjson/cJSON.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

/* A washer-like motor: 0.14142 V/rpm line to line is 34.64 V peak a phase at 300 rpm. */
static const char *const motor_text =
    "{\"document\": \"motor\", \"version\": 1, \"kind\": \"magnet-ac\", \"phases\": 3,"
    " \"connection\": \"star\", \"voltage_constant\": \"0.141417 V/rpm\", \"pole_pairs\": 24,"
    " \"winding_resistance\": \"4 ohm\", \"winding_inductance\": \"20 mH\"}\n";

static const char *const brushed_text =
    "{\"document\": \"motor\", \"version\": 1, \"kind\": \"brushed\", \"voltage_constant\":"
    " \"0.05 V/rpm\", \"winding_resistance\": \"1.5 ohm\"}\n";

static int set_up(void **state) {
    (void)support_folder_setup(state);
    bool saved = sw_file_save(support_at("motor.json"), motor_text, strlen(motor_text), false,
                              NULL) == SW_OK &&
                 sw_file_save(support_at("brushed.json"), brushed_text, strlen(brushed_text), false,
                              NULL) == SW_OK;
    return saved ? 0 : -1;
}

static const char *call(const char *arguments) {
    char deliver[2000];
    snprintf(deliver, sizeof deliver, "deliver %s", arguments);
    assert_int_equal(support_call(deliver), 0);
    return support_out;
}

static cJSON *call_json(const char *arguments) {
    cJSON *root = cJSON_Parse(call(arguments));
    assert_non_null(root);
    return root;
}

static double value(const cJSON *root, const char *key, const char *unit) {
    const cJSON *item = cJSON_GetObjectItemCaseSensitive(root, key);
    assert_non_null(item);
    if (unit == NULL) {
        assert_true(cJSON_IsNumber(item));
        return item->valuedouble;
    }
    assert_string_equal(cJSON_GetObjectItemCaseSensitive(item, "unit")->valuestring, unit);
    return cJSON_GetObjectItemCaseSensitive(item, "value")->valuedouble;
}

/* The same case as in tests/match/deliver/test_deliver.c: 3.0143 A. */
static void one_speed_as_json(void **state) {
    (void)state;
    cJSON *root = call_json("motor.json --speed 300rpm --battery 25.6V --battery-ohms "
                            "0.05ohm --diode '{\"drop\": 0.9, \"rs\": 0.01}' --json");
    assert_close(value(root, "dc_current", "A"), 3.0143, 0.001);
    assert_close(value(root, "speed", "rpm"), 300.0, 0.0);
    const double parts = value(root, "battery_power", "W") + value(root, "resistance_loss", "W") +
                         value(root, "copper_loss", "W") + value(root, "diode_loss", "W") +
                         value(root, "drag_loss", "W");
    assert_close(value(root, "shaft_power", "W"), parts, 1e-3 * parts);
    assert_true(value(root, "shaft_torque", "N m") > 0.0);
    assert_true(value(root, "phase_current_rms", "A") > 0.0);
    assert_true(value(root, "diode_peak_inverse", "V") > 25.6);
    assert_close(value(root, "efficiency", NULL),
                 value(root, "battery_power", "W") / value(root, "shaft_power", "W"), 1e-9);
    assert_string_equal(cJSON_GetObjectItemCaseSensitive(root, "conduction")->valuestring,
                        "continuous");
    assert_true(cJSON_IsNull(cJSON_GetObjectItemCaseSensitive(root, "ac_power")));
    cJSON_Delete(root);
}

static void resistors_doublers_and_brushed(void **state) {
    (void)state;
    cJSON *root = call_json("motor.json --speed 300rpm --resistor 30ohm --rectifier none --json");
    const double watts = value(root, "ac_power", "W");
    assert_close(value(root, "shaft_power", "W"), watts + value(root, "copper_loss", "W"),
                 1e-9 * watts);
    assert_true(cJSON_IsNull(cJSON_GetObjectItemCaseSensitive(root, "dc_current")));
    cJSON_Delete(root);
    root = call_json("motor.json --speed 200rpm --battery 24V --rectifier doubler "
                     "--capacitor 4700uF --json");
    assert_true(value(root, "dc_current", "A") > 0.0);
    cJSON_Delete(root);
    root = call_json("brushed.json --speed 400rpm --battery 12V --battery-ohms 0.5ohm "
                     "--rectifier blocking-diode --diode '{\"drop\": 0.6}' --json");
    assert_close(value(root, "dc_current", "A"), (20.0 - 12.6) / 2.0, 1e-9);
    cJSON_Delete(root);
}

/* Delta lowers the volts by sqrt 3, so cut-in comes at sqrt 3 times the speed. */
static void delta_starts_later(void **state) {
    (void)state;
    cJSON *star = call_json("motor.json --speed 300rpm --battery 24V --json");
    cJSON *delta = call_json("motor.json --speed 300rpm --battery 24V --connection delta --json");
    assert_close(value(delta, "cut_in_speed", "rpm"),
                 sqrt(3.0) * value(star, "cut_in_speed", "rpm"), 1e-6);
    assert_true(cJSON_IsNull(cJSON_GetObjectItemCaseSensitive(delta, "circulating_loss")));
    cJSON_Delete(star);
    cJSON_Delete(delta);
}

static void a_sweep(void **state) {
    (void)state;
    cJSON *root = call_json("motor.json --sweep 100:300:50rpm --battery 24V --json --details");
    const cJSON *list = cJSON_GetObjectItemCaseSensitive(root, "list");
    assert_int_equal(cJSON_GetArraySize(list), 5);
    assert_close(value(cJSON_GetArrayItem(list, 4), "speed", NULL), 300.0, 1e-9);
    assert_true(value(cJSON_GetArrayItem(list, 4), "best_voltage_power", NULL) >=
                value(cJSON_GetArrayItem(list, 4), "dc_power", NULL) * 0.999);
    const cJSON *units = cJSON_GetObjectItemCaseSensitive(root, "units");
    assert_string_equal(cJSON_GetObjectItemCaseSensitive(units, "dc_current")->valuestring, "A");
    assert_non_null(cJSON_GetObjectItemCaseSensitive(root, "efficiency_map"));
    cJSON_Delete(root);
    const char *text = call("motor.json --sweep 100:300:50rpm --battery 24V");
    assert_non_null(strstr(text, "Cut-in"));
    assert_non_null(strstr(text, "    300 "));
}

/* The answer comes first; lines stay below 80 columns. */
static void text_for_people(void **state) {
    (void)state;
    const char *text = call("motor.json --speed 300rpm --battery 24V");
    assert_true(strncmp(text, "At 300 rpm it puts ", 19) == 0);
    assert_non_null(strstr(text, "To check:"));
    for (const char *line = text; line != NULL && *line != '\0';) {
        const char *end = strchr(line, '\n');
        assert_true(end != NULL && end - line < 84); /* bytes; a ± is two */
        line = end + 1;
    }
    text = call("motor.json --speed 60rpm --battery 24V");
    assert_true(strncmp(text, "Nothing comes out at 60", 23) == 0);
}

/* --units us reaches torques too, in one speed and in a sweep. */
static void us_units_reach_the_torque(void **state) {
    (void)state;
    const char *text = call("motor.json --speed 300rpm --battery 24V --units us");
    assert_non_null(strstr(text, " lbf ft"));
    assert_null(strstr(text, "N m"));
    text = call("motor.json --sweep 100:300:50rpm --battery 24V --units us");
    assert_non_null(strstr(text, " lbf ft"));
    assert_null(strstr(text, "N m"));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_speed_as_json),  cmocka_unit_test(resistors_doublers_and_brushed),
        cmocka_unit_test(delta_starts_later), cmocka_unit_test(a_sweep),
        cmocka_unit_test(text_for_people),    cmocka_unit_test(us_units_reach_the_torque),
    };
    return cmocka_run_group_tests(tests, set_up, support_folder_teardown);
}
