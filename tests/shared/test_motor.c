/* The motor record: through JSON and back bit by bit, and hand-written documents. */
#include "tests/support.h"

#include "shared/json_read.h"
#include "shared/json_write.h"
#include "shared/motor.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static sw_status parse_text(const char *text, const sw_units *units, sw_motor *motor,
                            sw_error *error) {
    cJSON *root = NULL;
    sw_status status = sw_json_parse(text, strlen(text), "m.json", &root, error);
    if (status == SW_OK)
        status = sw_motor_parse(root, "m.json", units, motor, error);
    cJSON_Delete(root);
    return status;
}

static char *print(const sw_motor *motor) {
    cJSON *root = sw_motor_to_json(motor);
    char *text = sw_json_print(root);
    cJSON_Delete(root);
    assert_non_null(text);
    return text;
}

static void fill_words(sw_motor *motor) {
    snprintf(motor->name, sizeof motor->name, "drum motor, \u00d8 300");
    snprintf(motor->note, sizeof motor->note, "third from the left \"dusty\"\tshelf");
    motor->kind = SW_MAGNET_AC;
    motor->phases = 3;
    motor->leads = 3;
    motor->slots = 36;
    motor->star_point = SW_NO;
    motor->connection = SW_DELTA;
    motor->coil_groups = 12;
    motor->magnet_kind = SW_MAGNET_NEODYMIUM;
    motor->can_rewire = SW_REWIRE_ENDS_REACHABLE;
    sw_motor_warn(motor, SW_WARN_OFFSET, "channel %d has an offset", 2);
    sw_motor_warn(motor, SW_WARN_SPEED_DOUBTFUL, "the drill's plate says otherwise");
}

static void fill_sources(sw_sources *sources) {
    static const sw_source TWO[] = {
        {"drum, the first.wav", "528a7bace2a440ba", 1, SW_USED_OPEN | SW_USED_RUN_DOWN,
         "--about\n300 rpm\n--level-untrusted\n"},
        {"", "", 1, SW_USED_BY_HAND, "--magnets\n48\n"},
    };
    memcpy(sources->source, TWO, sizeof TWO);
    sources->count = 2;
}

static void fill_poles(sw_pole_pairs *poles) {
    *poles = (sw_pole_pairs){.value = 24, .probability = 0.99 / 3 * 3.01, .candidates = 2};
    poles->candidate[0] = (sw_pole_candidate){24, 0.99 / 3 * 3.01};
    poles->candidate[1] = (sw_pole_candidate){23, 1 - 0.99 / 3 * 3.01};
    poles->evidences = 2;
    snprintf(poles->evidence[0], sizeof poles->evidence[0], "a line once a turn");
    snprintf(poles->evidence[1], sizeof poles->evidence[1], "usual counts");
    poles->againsts = 1;
    snprintf(poles->against[0], sizeof poles->against[0], "50 magnets counted");
}

/* Numbers without a short decimal form. */
static sw_quantity odd(double value, const char *unit) {
    return sw_quantity_of(value / 7, value / 7000.3, unit);
}

static void fill_numbers(sw_motor *motor) {
    motor->phase_angle = odd(840, "deg");
    motor->balance = sw_quantity_of(0.01 / 3, NAN, "1");
    motor->electrical_frequency = odd(700, "Hz");
    motor->stretch_from_s = 1.0 / 3;
    motor->stretch_to_s = 22.0 / 7;
    motor->speed = odd(1750, "rpm");
    motor->volts_per_hertz = odd(2.2, "V/Hz");
    motor->harmonics = 3;
    motor->harmonic[0] = (sw_harmonic){1, 1, 0};
    motor->harmonic[1] = (sw_harmonic){5, 0.1 / 3, -1000.0 / 7};
    motor->harmonic[2] = (sw_harmonic){7, 0.05 / 3, 100.0 / 7};
    motor->form_factor = sw_quantity_of(10 / 9.1, NAN, "1");
    motor->crest_factor = sw_quantity_of(10 / 7.1, NAN, "1");
    motor->distortion = sw_quantity_of(0.1 / 3, NAN, "1");
    motor->winding_resistance = odd(30, "ohm");
    motor->winding_inductance = odd(50, "mH");
    motor->drag_torque.constant = odd(0.3, "N m");
    motor->drag_torque.linear = odd(-0.001, "N m s/rad");
    motor->drag_torque.quadratic = odd(1e-5, "N m s2/rad2");
    motor->drag_torque.linear.u = 1e-5 / 3;
    motor->cogging_torque = odd(0.9, "N m");
    motor->inertia = odd(0.01, "kg m2");
    motor->diameter = odd(1800, "mm");
    motor->length = odd(420, "mm");
    motor->mass = odd(29, "kg");
    motor->limit_temperature = odd(700, "degC");
    motor->temperature = odd(150, "degC");
    motor->brush_drop = odd(10, "V");
    motor->limit_speed = odd(10000, "rpm");
    motor->limit_current = odd(20, "A");
    motor->nameplate_power = odd(3000, "W");
}

static void assert_same(sw_quantity found, sw_quantity expected, const char *what) {
    bool same = memcmp(&found.value, &expected.value, sizeof found.value) == 0 &&
                ((isnan(found.u) && isnan(expected.u)) || found.u == expected.u) &&
                strcmp(found.unit, expected.unit) == 0;
    if (!same)
        fail_msg("%s: %.17g u %.17g %s, expected %.17g u %.17g %s", what, found.value, found.u,
                 found.unit, expected.value, expected.u, expected.unit);
}

#define SAME(member) assert_same(found->member, expected->member, #member)

static void assert_same_quantities(const sw_motor *found, const sw_motor *expected) {
    SAME(phase_angle);
    SAME(balance);
    SAME(electrical_frequency);
    SAME(speed);
    SAME(volts_per_hertz);
    SAME(voltage_constant);
    SAME(constants.peak_line_v_per_krpm);
    SAME(constants.dc_bridge_v_per_krpm);
    SAME(constants.dc_bridge_smoothed_v_per_krpm);
    SAME(constants.rpm_per_volt_peak);
    SAME(constants.volt_second_per_radian_peak_line);
    SAME(constants.flux_linkage_wb);
    SAME(form_factor);
    SAME(crest_factor);
    SAME(distortion);
    SAME(winding_resistance);
    SAME(winding_inductance);
    SAME(drag_torque.constant);
    SAME(drag_torque.linear);
    SAME(drag_torque.quadratic);
    SAME(cogging_torque);
    SAME(inertia);
    SAME(diameter);
    SAME(length);
    SAME(mass);
    SAME(limit_temperature);
    SAME(temperature);
    SAME(brush_drop);
    SAME(limit_speed);
    SAME(limit_current);
    SAME(nameplate_power);
}

static void assert_same_rest(const sw_motor *found, const sw_motor *expected) {
    assert_string_equal(found->name, expected->name);
    assert_string_equal(found->note, expected->note);
    assert_int_equal(found->kind, expected->kind);
    assert_int_equal(found->phases, expected->phases);
    assert_int_equal(found->leads, expected->leads);
    assert_int_equal(found->slots, expected->slots);
    assert_int_equal(found->star_point, expected->star_point);
    assert_int_equal(found->connection, expected->connection);
    assert_int_equal(found->coil_groups, expected->coil_groups);
    assert_int_equal(found->magnet_kind, expected->magnet_kind);
    assert_int_equal(found->can_rewire, expected->can_rewire);
    assert_int_equal(found->harmonics_of_phase, expected->harmonics_of_phase);
    assert_close(found->stretch_from_s, expected->stretch_from_s, 0);
    assert_close(found->stretch_to_s, expected->stretch_to_s, 0);
    assert_int_equal(found->harmonics, expected->harmonics);
    for (size_t i = 0; i < found->harmonics; i++) {
        assert_int_equal(found->harmonic[i].order, expected->harmonic[i].order);
        assert_close(found->harmonic[i].relative, expected->harmonic[i].relative, 0);
        assert_close(found->harmonic[i].angle_deg, expected->harmonic[i].angle_deg, 0);
    }
    assert_int_equal(found->pole_pairs.value, expected->pole_pairs.value);
    assert_close(found->pole_pairs.probability, expected->pole_pairs.probability, 0);
    assert_int_equal(found->pole_pairs.candidates, expected->pole_pairs.candidates);
    for (size_t i = 0; i < found->pole_pairs.candidates; i++)
        assert_close(found->pole_pairs.candidate[i].probability,
                     expected->pole_pairs.candidate[i].probability, 0);
    assert_int_equal(found->pole_pairs.evidences, expected->pole_pairs.evidences);
    assert_string_equal(found->pole_pairs.evidence[1], expected->pole_pairs.evidence[1]);
    assert_int_equal(found->pole_pairs.againsts, expected->pole_pairs.againsts);
    assert_string_equal(found->pole_pairs.against[0], expected->pole_pairs.against[0]);
    assert_int_equal(found->sources.count, expected->sources.count);
    for (size_t i = 0; i < found->sources.count; i++) {
        const sw_source *source = &found->sources.source[i];
        assert_string_equal(source->name, expected->sources.source[i].name);
        assert_string_equal(source->content, expected->sources.source[i].content);
        assert_string_equal(source->told, expected->sources.source[i].told);
        assert_int_equal(source->used_as, expected->sources.source[i].used_as);
    }
    assert_int_equal(found->warnings, expected->warnings);
    for (size_t i = 0; i < found->warnings; i++) {
        assert_int_equal(found->warning[i].code, expected->warning[i].code);
        assert_string_equal(found->warning[i].message, expected->warning[i].message);
    }
}

static void a_full_record_comes_back_bit_by_bit(void **state) {
    sw_motor motor;
    sw_motor back;
    sw_error error;
    for (int of_phase = 0; of_phase <= 1; of_phase++) {
        sw_motor_init(&motor);
        fill_words(&motor);
        fill_poles(&motor.pole_pairs);
        fill_sources(&motor.sources);
        fill_numbers(&motor);
        motor.harmonics_of_phase = of_phase == 1;
        sw_motor_derive(&motor);
        char *text = print(&motor);
        assert_ok(parse_text(text, *state, &back, &error), &error);
        assert_same_quantities(&back, &motor);
        assert_same_rest(&back, &motor);
        char *again = print(&back);
        assert_string_equal(again, text);
        cJSON_free(again);
        cJSON_free(text);
    }
}

static void an_empty_record_explains_every_null(void **state) {
    sw_motor motor;
    sw_motor back;
    sw_error error;
    sw_motor_init(&motor);
    cJSON *root = sw_motor_to_json(&motor);
    const cJSON *unknown = cJSON_GetObjectItemCaseSensitive(root, "unknown");
    const cJSON *item = NULL;
    cJSON_ArrayForEach(item, root) {
        bool remark = strcmp(item->string, "name") == 0 || strcmp(item->string, "note") == 0;
        if (!cJSON_IsNull(item) || remark)
            continue;
        const cJSON *reason = cJSON_GetObjectItemCaseSensitive(unknown, item->string);
        if (!cJSON_IsString(reason) || strlen(reason->valuestring) < 6)
            fail_msg("no reason for %s", item->string);
    }
    cJSON_ArrayForEach(item, unknown) {
        assert_true(cJSON_IsNull(cJSON_GetObjectItemCaseSensitive(root, item->string)));
    }
    assert_non_null(cJSON_GetObjectItemCaseSensitive(unknown, "winding_resistance"));
    char *text = sw_json_print(root);
    cJSON_Delete(root);
    assert_ok(parse_text(text, *state, &back, &error), &error);
    assert_false(sw_quantity_known(back.voltage_constant));
    assert_int_equal(back.pole_pairs.value, 0);
    assert_true(isnan(back.stretch_from_s));
    cJSON_free(text);
}

static void a_brushed_motor_has_direct_volts(void **state) {
    sw_motor motor;
    sw_error error;
    assert_ok(parse_text("{\"document\": \"motor\", \"version\": 1, \"kind\": \"brushed\","
                         " \"voltage_constant\": \"12 V/krpm\"}",
                         *state, &motor, &error),
              &error);
    assert_close(motor.voltage_constant.value, 0.012, 1e-15);
    assert_close(motor.constants.dc_bridge_v_per_krpm.value, 12, 1e-12);
    assert_close(motor.constants.peak_line_v_per_krpm.value, 12, 1e-12);
    assert_false(sw_quantity_known(motor.constants.flux_linkage_wb));
}

static void a_hand_written_motor_is_completed(void **state) {
    sw_motor motor;
    sw_error error;
    assert_ok(parse_text("{\"document\": \"motor\", \"version\": 1, \"kind\": \"magnet-ac\","
                         " \"phases\": 3, \"pole_pairs\": 15, \"winding_resistance\": \"0.35 ohm\","
                         " \"voltage_constants\": {\"rpm_per_volt_peak\": \"11.11 rpm/V\"}}",
                         *state, &motor, &error),
              &error);
    assert_close(motor.voltage_constant.value, 1 / 11.11 / sqrt(2), 1e-12);
    assert_close(motor.volts_per_hertz.value, 4 / 11.11 / sqrt(2), 1e-12);
    assert_close(motor.pole_pairs.probability, 1, 0);
    assert_close(motor.winding_resistance.value, 0.35, 1e-15);
    assert_true(isnan(motor.winding_resistance.u));
}

#define NINE(entry)                                                                                \
    entry "," entry "," entry "," entry "," entry "," entry "," entry "," entry "," entry

typedef struct bad_row {
    const char *members; /* besides document, version and kind */
    sw_status status;
    const char *says;
} bad_row;

static void a_bad_motor_is_refused_by_its_key(void **state) {
    static const bad_row ROWS[] = {
        {"\"polepairs\": 7", SW_UNKNOWN_KEY, "did you mean \"pole_pairs\"?"},
        {"\"pole_pairs\": 7.5", SW_VALUE, "pole_pairs: found 7.5, expected a whole number"},
        {"\"pole_pairs\": 0", SW_VALUE, "pole_pairs: found 0, expected 1 to 1000"},
        {"\"pole_pairs\": \"seven\"", SW_FORMAT, "pole_pairs"},
        {"\"phases\": 4", SW_VALUE, "phases: found 4, expected 1 to 3"},
        {"\"winding_resistance\": \"-1 ohm\"", SW_VALUE, "winding_resistance: found -1 ohm"},
        {"\"winding_inductance\": 4", SW_UNIT, "winding_inductance: 4 has no unit"},
        {"\"voltage_constant\": \"0.1 V/Hz\"", SW_UNIT, "voltage_constant"},
        {"\"connection\": \"triangle\"", SW_VALUE, "expected one of star, delta"},
        {"\"star_point\": \"yes\"", SW_FORMAT, "star_point: expected true or false"},
        {"\"harmonics\": {\"list\": [{\"order\": 5}]}", SW_MISSING_KEY, "harmonics.list[0]"},
        {"\"harmonics\": {\"of\": \"coil\"}", SW_VALUE, "harmonics.of"},
        {"\"drag_torque\": \"1 N m\"", SW_FORMAT, "drag_torque: expected an object"},
        {"\"drag_torque\": {\"cubic\": 1}", SW_UNKNOWN_KEY, "cubic"},
        {"\"warnings\": [{\"code\": \"smoky\"}]", SW_VALUE, "warnings[0].code"},
        {"\"limits\": {\"speed\": \"5 Hz\"}", SW_UNIT, "limits.speed"},
        {"\"sources\": [{\"name\": \"a.wav\"}]", SW_MISSING_KEY, "used_as"},
        {"\"sources\": [{\"used_as\": [\"shut\"]}]", SW_VALUE, "found \"shut\", expected open"},
        {"\"sources\": [{\"used_as\": [3]}]", SW_FORMAT, "sources[0].used_as[0]"},
        {"\"sources\": [{\"used_as\": [], \"content\": \"abc\"}]", SW_VALUE, "16 hexadecimal"},
        {"\"sources\": [{\"used_as\": [], \"told\": [\"a\\nb\"]}]", SW_VALUE, "line break"},
        {"\"sources\": [{\"used_as\": [], \"part\": 0}]", SW_VALUE, "sources[0].part"},
        {"\"temperature\": \"-300 degC\"", SW_VALUE, "temperature"},
        {"\"pole_pairs\": {\"candidates\": [" NINE("{\"value\": 7}") "]}", SW_VALUE,
         "pole_pairs.candidates: found 9 entries, expected at most 8"},
        {"\"pole_pairs\": {\"evidence\": [" NINE("\"x\"") "]}", SW_VALUE,
         "pole_pairs.evidence: found 9 entries"},
        {"\"harmonics\": {\"list\": [" NINE("1") "," NINE("1") "]}", SW_VALUE,
         "harmonics.list: found 18 entries, expected at most 13"},
        {"\"warnings\": [" NINE("1") "," NINE("1") "," NINE("1") "]", SW_VALUE,
         "warnings: found 27 entries"},
        {"\"kind\": \"steam\"", SW_DUPLICATE_KEY, "kind"},
    };
    for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; i++) {
        char text[400];
        sw_motor motor;
        sw_error error = {SW_OK, ""};
        snprintf(text, sizeof text,
                 "{\"document\": \"motor\", \"version\": 1, \"kind\": \"magnet-ac\", %s}",
                 ROWS[i].members);
        sw_status status = parse_text(text, *state, &motor, &error);
        if (status != ROWS[i].status || strstr(error.message, ROWS[i].says) == NULL)
            fail_msg("%s: %s \"%s\"", ROWS[i].members, sw_status_name(status), error.message);
    }
}

static void every_warning_has_a_name_of_its_own(void **state) {
    (void)state;
    for (int i = 0; i < SW_WARN_COUNT; i++) {
        const char *name = sw_warning_name((sw_warning_code)i);
        assert_non_null(name);
        assert_int_equal(strspn(name, "abcdefghijklmnopqrstuvwxyz_"), strlen(name));
        for (int j = 0; j < i; j++)
            assert_string_not_equal(name, sw_warning_name((sw_warning_code)j));
    }
}

static void warnings_beyond_the_limit_do_no_harm(void **state) {
    (void)state;
    sw_motor motor;
    sw_motor_init(&motor);
    for (int i = 0; i < 2 * SW_MOTOR_WARNING_LIMIT; i++)
        sw_motor_warn(&motor, SW_WARN_NOISY, "warning %d", i);
    assert_int_equal(motor.warnings, SW_MOTOR_WARNING_LIMIT);
    assert_true(sw_motor_warned(&motor, SW_WARN_NOISY));
    assert_false(sw_motor_warned(&motor, SW_WARN_CLIPPED));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_full_record_comes_back_bit_by_bit),
        cmocka_unit_test(an_empty_record_explains_every_null),
        cmocka_unit_test(a_brushed_motor_has_direct_volts),
        cmocka_unit_test(a_hand_written_motor_is_completed),
        cmocka_unit_test(a_bad_motor_is_refused_by_its_key),
        cmocka_unit_test(every_warning_has_a_name_of_its_own),
        cmocka_unit_test(warnings_beyond_the_limit_do_no_harm),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
