#include "tests/support.h"

#include "shared/json_read.h"
#include "src/match/load/load.h"
#include "src/match/parts/reference.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static sw_status parse(void **state, const char *body, sw_load *load, sw_error *error) {
    char text[2000];
    cJSON *root = NULL;
    snprintf(text, sizeof text, "{\"document\":\"load\",\"version\":1,%s}", body);
    assert_ok(sw_json_parse(text, strlen(text), "load.json", &root, error), error);
    sw_status status = sw_load_parse(root, "load.json", TEST_REFERENCE_DIR, *state, load, error);
    cJSON_Delete(root);
    return status;
}

static void good(void **state, const char *body, sw_load *load) {
    sw_error error = {0};
    assert_ok(parse(state, body, load, &error), &error);
}

static void refused(void **state, const char *body, sw_status status, const char *says) {
    sw_error error = {0};
    sw_load load;
    assert_int_equal(parse(state, body, &load, &error), status);
    if (strstr(error.message, says) == NULL)
        fail_msg("\"%s\" does not say \"%s\"", error.message, says);
}

static void default_is_a_guessed_lead_battery(void **state) {
    (void)state;
    sw_load load = sw_load_default();
    sw_deliver_load seen = sw_load_electrical(&load);
    assert_int_equal(seen.kind, SW_LOAD_BATTERY);
    assert_close(seen.battery_v, 12.6, 1e-12);
    assert_close(seen.battery_ohm, load.resistance.value, 0);
    assert_true(load.voltage_guessed && load.resistance_guessed && load.diode_guessed);
    assert_close(seen.cable_dc_ohm, 0, 0);
}

/* The built-in default and the table's rows say the same. */
static void default_agrees_with_the_tables(void **state) {
    (void)state;
    sw_error error = {0};
    sw_diode diode;
    sw_battery_kind kind;
    sw_load load = sw_load_default();
    assert_ok(sw_diode_find("silicon", TEST_REFERENCE_DIR, &diode, &error), &error);
    assert_close(diode.is_a, load.diode.is_a, 0);
    assert_close(diode.n, load.diode.n, 0);
    assert_close(diode.rs_ohm, load.diode.rs_ohm, 0);
    assert_ok(sw_battery_find(TEST_REFERENCE_DIR, "lead", &kind, &error), &error);
    assert_close(kind.rest_v, load.voltage.value, 0);
    assert_close(kind.full_v, load.full_voltage.value, 0);
    assert_close(kind.ohm_ah / 100, load.resistance.value, 1e-12);
}

static void battery_as_stated(void **state) {
    sw_load load;
    good(state,
         "\"kind\":\"battery\",\"voltage\":\"25.2 V\",\"resistance\":\"30 "
         "mohm\",\"full_voltage\":28.8,\"max_current\":\"20 A\",\"when_full\":\"dump\","
         "\"cable_length\":\"10 m\",\"cable_area\":\"2.5 mm2\",\"standby_power\":0.5",
         &load);
    sw_deliver_load seen = sw_load_electrical(&load);
    assert_close(seen.battery_v, 25.2, 1e-12);
    assert_close(seen.battery_ohm, 0.03, 1e-12);
    assert_close(seen.cable_dc_ohm, 2 * 10 * 7.98e-3, 1e-9); /* there and back, class 5 */
    assert_close(seen.standby_w, 0.5, 1e-12);
    assert_int_equal(load.when_full, SW_WHEN_FULL_DUMP);
    assert_false(load.voltage_guessed || load.resistance_guessed);
    assert_true(load.diode_guessed);
    good(state,
         "\"kind\":\"battery\",\"voltage\":\"24 V\",\"cable_length\":\"10 m\",\"cable_area\":\"2.5 "
         "mm2\",\"cable_side\":\"ac\"",
         &load);
    seen = sw_load_electrical(&load);
    assert_close(seen.cable_ac_ohm, 10 * 7.98e-3, 1e-9); /* one conductor a line */
    assert_close(seen.cable_dc_ohm, 0, 0);
    assert_close(load.full_voltage.value, 28.8, 1e-9); /* two blocks */
}

static void battery_by_kind(void **state) {
    sw_load load;
    good(state,
         "\"kind\":\"battery\",\"battery\":\"lifepo4\",\"voltage\":\"24 V\",\"capacity\":\"50 Ah\"",
         &load);
    assert_close(load.voltage.value, 26.4, 1e-9);
    assert_close(load.full_voltage.value, 28.8, 1e-9);
    assert_close(load.resistance.value, 2 * 1.0 / 50, 1e-9);
    assert_true(load.resistance_guessed);
    assert_close(load.resistance.u, load.resistance.value / 2, 1e-12); /* factor of two */
    assert_close(load.max_current.value, 25, 1e-9);
}

static void resistor_and_converter(void **state) {
    sw_load load;
    good(state, "\"kind\":\"resistor\",\"resistance\":\"10 ohm\"", &load);
    assert_close(sw_load_electrical(&load).resistor_ohm, 10, 1e-12);
    good(state,
         "\"kind\":\"converter\",\"input_window\":[20,60],\"input_max_voltage\":\"75 V\","
         "\"efficiency\":0.9",
         &load);
    assert_close(load.window_low_v, 20, 0);
    assert_close(load.window_high_v, 60, 0);
    assert_close(sw_load_electrical(&load).battery_v, 40, 1e-12);
    assert_close(sw_load_electrical(&load).battery_ohm, 0, 0);
    good(state, "\"kind\":\"converter\",\"input_voltage\":\"30 V\"", &load);
    assert_close(load.window_low_v, 30, 0);
    assert_true(isinf(load.input_max_v));
    assert_true(load.efficiency < 1);
}

static double drop(const sw_diode *diode, double current_a) {
    /* v = n Vt ln(1 + i/is) + rs i, Vt = 25.865 mV at 27 degC */
    if (diode->is_a <= 0)
        return diode->drop_v;
    return diode->n * 0.025865 * log1p(current_a / diode->is_a) + diode->rs_ohm * current_a;
}

static void diodes_by_name_and_by_json(void **state) {
    sw_error error = {0};
    sw_diode diode;
    sw_load load;
    assert_ok(sw_diode_find("ideal", TEST_REFERENCE_DIR, &diode, &error), &error);
    assert_close(drop(&diode, 10), 0, 0);
    assert_ok(sw_diode_find("silicon", TEST_REFERENCE_DIR, &diode, &error), &error);
    /* data sheets of 35 A blocks: at most 1.1 V at 17.5 A; and no silicon below 0.6 V at 1 A */
    assert_true(drop(&diode, 17.5) < 1.1 && drop(&diode, 17.5) > 0.85);
    assert_true(drop(&diode, 1) > 0.6 && drop(&diode, 1) < 0.85);
    assert_ok(sw_diode_find("{\"is\":1e-9,\"n\":1.8,\"rs\":0.01}", NULL, &diode, &error), &error);
    assert_close(diode.is_a, 1e-9, 0);
    assert_ok(sw_diode_find(" {\"drop\":0.4}", NULL, &diode, &error), &error);
    assert_close(diode.is_a, 0, 0);
    assert_close(diode.drop_v, 0.4, 0);
    good(state, "\"kind\":\"battery\",\"diode\":{\"drop\":0.3}", &load);
    assert_close(load.diode.drop_v, 0.3, 0);
    assert_false(load.diode_guessed);
    good(state, "\"kind\":\"battery\",\"diode\":\"schottky\"", &load);
    assert_string_equal(load.diode.name, "schottky");
    assert_int_equal(sw_diode_find("{\"is\":1e-9,\"drop\":1}", NULL, &diode, &error), SW_VALUE);
    assert_int_equal(sw_diode_find("{}", NULL, &diode, &error), SW_VALUE);
    assert_int_equal(sw_diode_find("{\"is\":-1}", NULL, &diode, &error), SW_VALUE);
    assert_int_equal(sw_diode_find("{\"is\":1", NULL, &diode, &error), SW_FORMAT);
    assert_int_equal(sw_diode_find("germanium", TEST_REFERENCE_DIR, &diode, &error), SW_NOT_FOUND);
    assert_non_null(strstr(error.message, "schottky"));
}

static void bad_loads(void **state) {
    refused(state, "\"kind\":\"grid\"", SW_VALUE, "battery, resistor, converter");
    refused(state, "\"voltage\":\"12 V\"", SW_MISSING_KEY, "kind");
    refused(state, "\"kind\":\"battery\",\"voltage\":\"-12 V\"", SW_VALUE, "voltage");
    refused(state, "\"kind\":\"battery\",\"voltage\":\"12 A\"", SW_UNIT, "voltage");
    refused(state, "\"kind\":\"battery\",\"voltage\":\"24 V\",\"full_voltage\":\"14 V\"", SW_VALUE,
            "below");
    refused(state, "\"kind\":\"battery\",\"battery\":\"potato\"", SW_NOT_FOUND, "lifepo4");
    refused(state, "\"kind\":\"battery\",\"when_full\":\"explode\"", SW_VALUE, "disconnect");
    refused(state, "\"kind\":\"battery\",\"cable_length\":\"10 m\"", SW_MISSING_KEY, "cable_area");
    refused(state, "\"kind\":\"resistor\"", SW_MISSING_KEY, "resistance");
    refused(state, "\"kind\":\"converter\"", SW_MISSING_KEY, "input_voltage");
    refused(state, "\"kind\":\"converter\",\"input_window\":[60,20]", SW_VALUE, "lowest");
    refused(state, "\"kind\":\"converter\",\"input_window\":[20,60],\"input_max_voltage\":\"50 V\"",
            SW_VALUE, "below the top");
    refused(state, "\"kind\":\"converter\",\"input_voltage\":\"30 V\",\"efficiency\":1.2", SW_VALUE,
            "efficiency");
    refused(state, "\"kind\":\"battery\",\"volts\":12", SW_UNKNOWN_KEY, "volts");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(default_is_a_guessed_lead_battery),
        cmocka_unit_test(default_agrees_with_the_tables),
        cmocka_unit_test(battery_as_stated),
        cmocka_unit_test(battery_by_kind),
        cmocka_unit_test(resistor_and_converter),
        cmocka_unit_test(diodes_by_name_and_by_json),
        cmocka_unit_test(bad_loads),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
