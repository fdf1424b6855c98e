/* Strict reading and exact writing of JSON documents. */
#include "tests/support.h"

#include "shared/json_read.h"
#include "shared/json_write.h"
#include "shared/text.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static cJSON *parse(const char *text) {
    cJSON *root = NULL;
    sw_error error;
    assert_ok(sw_json_parse(text, strlen(text), "t.json", &root, &error), &error);
    return root;
}

typedef struct refused_row {
    const char *text;
    sw_status status;
    const char *says;
} refused_row;

static void broken_text_is_refused_with_its_place(void **state) {
    (void)state;
    static const refused_row ROWS[] = {
        {"{\n  \"a\": 1,\n  \"b\": }\n", SW_FORMAT, "t.json: line 3, column 8"},
        {"{\"a\": 1} x", SW_FORMAT, "line 1, column 10"},
        {"{\"a\": 1,}", SW_FORMAT, "line 1"},
        {"{'a': 1}", SW_FORMAT, "line 1, column"},
        {"{\"a\": NaN}", SW_FORMAT, "line 1, column 7"},
        {"{\"a\": nan}", SW_FORMAT, "line 1"},
        {"{\"a\": 0x10}", SW_FORMAT, "line 1"},
        {"{\"a\": 1.5.2}", SW_FORMAT, "line 1"},
        {"{\"a\": [1, 2}", SW_FORMAT, "line 1"},
        {"{\"a\": \"b}", SW_FORMAT, "line 1"},
        {"", SW_FORMAT, "line 1"},
        {"   ", SW_FORMAT, "line 1"},
        {"hello", SW_FORMAT, "line 1, column 1"},
        {"{\"a\": 1e999}", SW_VALUE, "a: the number is too large"},
        {"{\"a\": 1, \"a\": 2}", SW_DUPLICATE_KEY, "\"a\""},
        {"{\"o\": [{\"bb\": 1, \"bb\": 1}]}", SW_DUPLICATE_KEY, "\"bb\""},
    };
    for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; i++) {
        cJSON *root = NULL;
        sw_error error = {SW_OK, ""};
        sw_status status =
            sw_json_parse(ROWS[i].text, strlen(ROWS[i].text), "t.json", &root, &error);
        if (status != ROWS[i].status || strstr(error.message, ROWS[i].says) == NULL)
            fail_msg("%s: %s \"%s\"", ROWS[i].text, sw_status_name(status), error.message);
        assert_null(root);
        assert_memory_equal(error.message, "t.json: ", 8);
    }
}

static void binary_and_deep_text_are_refused(void **state) {
    (void)state;
    cJSON *root = NULL;
    sw_error error;
    assert_int_equal(sw_json_parse("{\0}", 3, "t.json", &root, &error), SW_FORMAT);
    assert_non_null(strstr(error.message, "binary"));
    char deep[401];
    memset(deep, '[', 200);
    memset(deep + 200, ']', 200);
    deep[400] = '\0';
    assert_int_equal(sw_json_parse(deep, 400, "t.json", &root, &error), SW_FORMAT);
    assert_non_null(strstr(error.message, "deep"));
}

/* Without a limit, a megabyte of keys keeps the search for repeated ones busy for seconds. */
static void an_object_of_countless_keys_is_refused(void **state) {
    (void)state;
    cJSON *root = NULL;
    sw_error error;
    sw_text text = {0};
    for (int i = 0; i < 1001; i++)
        sw_text_add(&text, "%s\"k%d\": 1", i == 0 ? "{" : ", ", i);
    sw_text_add(&text, "}");
    assert_int_equal(sw_json_parse(sw_text_string(&text), text.length, "t.json", &root, &error),
                     SW_FORMAT);
    assert_non_null(strstr(error.message, "more than 1000 keys"));
    sw_text_free(&text);
}

static void keys_differ_by_case(void **state) {
    cJSON *root = parse("{\"a\": 1, \"A\": 2}");
    sw_node top = sw_node_top(root, "t.json", *state);
    double value = 0;
    assert_int_equal(sw_node_number(&top, "A", 0, 9, &value, NULL), SW_OK);
    assert_close(value, 2, 0);
    cJSON_Delete(root);
}

static void a_document_has_its_kind_and_version(void **state) {
    static const refused_row ROWS[] = {
        {"{\"document\": \"rotor\", \"version\": 1}", SW_OK, ""},
        {"{\"document\": \"site\", \"version\": 1}", SW_MISMATCH, "expected a \"rotor\""},
        {"{\"document\": \"rotor\", \"version\": 2}", SW_UNSUPPORTED, "found 2, expected 1"},
        {"{\"document\": \"rotor\", \"version\": \"1\"}", SW_FORMAT, "plain number"},
        {"{\"document\": \"rotor\"}", SW_MISSING_KEY, "\"version\" is missing"},
        {"{\"document\": 7, \"version\": 1}", SW_FORMAT, "document: expected text"},
        {"{\"version\": 1}", SW_MISSING_KEY, "\"document\" is missing"},
        {"{\"document\": null, \"version\": 1}", SW_MISSING_KEY, "\"document\" is missing"},
        {"[1]", SW_FORMAT, "expected a JSON object"},
        {"7", SW_FORMAT, "expected a JSON object"},
    };
    for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; i++) {
        cJSON *root = parse(ROWS[i].text);
        sw_node top = sw_node_top(root, "t.json", *state);
        sw_error error = {SW_OK, ""};
        sw_status status = sw_node_expect_document(&top, "rotor", &error);
        if (status != ROWS[i].status || strstr(error.message, ROWS[i].says) == NULL)
            fail_msg("%s: %s \"%s\"", ROWS[i].text, sw_status_name(status), error.message);
        cJSON_Delete(root);
    }
}

static void an_unknown_key_gets_the_nearest_known(void **state) {
    static const char *const KEYS[] = {"swept_area", "radius", NULL};
    cJSON *root = parse("{\"swept_aera\": 1}");
    sw_node top = sw_node_top(root, "t.json", *state);
    sw_error error;
    assert_int_equal(sw_node_allow(&top, KEYS, &error), SW_UNKNOWN_KEY);
    assert_non_null(strstr(error.message, "did you mean \"swept_area\"?"));
    cJSON_Delete(root);
    root = parse("{\"colour\": 1}");
    top = sw_node_top(root, "t.json", *state);
    assert_int_equal(sw_node_allow(&top, KEYS, &error), SW_UNKNOWN_KEY);
    assert_non_null(strstr(error.message, "known are swept_area, radius"));
    cJSON_Delete(root);
}

typedef struct quantity_row {
    const char *text; /* the value of key "q", wanted in mm */
    sw_status status;
    double value;
    double u; /* NaN = not stated */
} quantity_row;

static void quantities_in_every_form(void **state) {
    static const quantity_row ROWS[] = {
        {"\"1900mm\"", SW_OK, 1900, NAN},
        {"\"75 in\"", SW_OK, 1905, NAN},
        {"\"1.9 m \\u00b1 0.02\"", SW_OK, 1900, 10},
        {"{\"value\": 1.9, \"unit\": \"m\"}", SW_OK, 1900, NAN},
        {"{\"value\": 1.9, \"unit\": \"m\", \"u\": 0.01}", SW_OK, 1900, 10},
        {"{\"value\": 0.3, \"unit\": \"mm\", \"u\": 0.1}", SW_OK, 0.3, 0.1},
        {"null", SW_OK, -1, NAN}, /* left as it was */
        {"1900", SW_UNIT, 0, 0},
        {"\"1900\"", SW_UNIT, 0, 0},
        {"\"1900 V\"", SW_UNIT, 0, 0},
        {"\"furlong\"", SW_VALUE, 0, 0},
        {"true", SW_FORMAT, 0, 0},
        {"[1]", SW_FORMAT, 0, 0},
        {"{\"value\": 1.9}", SW_MISSING_KEY, 0, 0},
        {"{\"unit\": \"m\"}", SW_MISSING_KEY, 0, 0},
        {"{\"value\": \"1.9\", \"unit\": \"m\"}", SW_FORMAT, 0, 0},
        {"{\"value\": 1.9, \"unit\": \"V\"}", SW_UNIT, 0, 0},
        {"{\"value\": 1.9, \"unit\": \"\"}", SW_UNIT, 0, 0},
        {"{\"value\": 1.9, \"unit\": 5}", SW_FORMAT, 0, 0},
        {"{\"value\": 1.9, \"unit\": \"m\", \"u\": -1}", SW_VALUE, 0, 0},
        {"{\"value\": 1.9, \"unit\": \"m\", \"k\": 2}", SW_UNKNOWN_KEY, 0, 0},
        {"{\"value\": 1e308, \"unit\": \"km\"}", SW_VALUE, 0, 0},
    };
    for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; i++) {
        char text[200];
        snprintf(text, sizeof text, "{\"q\": %s}", ROWS[i].text);
        cJSON *root = parse(text);
        sw_node top = sw_node_top(root, "t.json", *state);
        sw_quantity found = sw_quantity_of(-1, NAN, "mm");
        sw_error error = {SW_OK, ""};
        sw_status status = sw_node_quantity(&top, "q", "mm", &found, &error);
        if (status != ROWS[i].status)
            fail_msg("%s: %s \"%s\"", text, sw_status_name(status), error.message);
        if (status == SW_OK) {
            /* 1e-9 of the value: rounding of one conversion, generously. */
            assert_close(found.value, ROWS[i].value, 1e-9 * fabs(ROWS[i].value));
            if (isnan(ROWS[i].u))
                assert_true(isnan(found.u));
            else
                assert_close(found.u, ROWS[i].u, 1e-9 * fabs(ROWS[i].value));
        } else {
            assert_memory_equal(error.message, "t.json: q", 9);
        }
        cJSON_Delete(root);
    }
}

static void a_value_outside_its_range_is_refused(void **state) {
    cJSON *root = parse("{\"d\": \"-70mm\", \"n\": 1.5, \"f\": 3, \"w\": \"sta\"}");
    sw_node top = sw_node_top(root, "t.json", *state);
    static const char *const WORDS[] = {"star", "delta", NULL};
    sw_quantity found;
    sw_error error;
    int count = 0;
    bool flag = false;
    assert_int_equal(sw_node_quantity_in(&top, "d", "mm", 1, 1e4, &found, &error), SW_VALUE);
    assert_string_equal(error.message, "t.json: d: found -70 mm, expected 1 to 10000");
    assert_int_equal(sw_node_integer(&top, "n", 1, 9, &count, &error), SW_VALUE);
    assert_non_null(strstr(error.message, "whole number"));
    assert_int_equal(sw_node_flag(&top, "f", &flag, &error), SW_FORMAT);
    assert_int_equal(sw_node_word(&top, "w", WORDS, &count, &error), SW_VALUE);
    assert_non_null(strstr(error.message, "expected one of star, delta"));
    cJSON_Delete(root);
}

static void the_path_of_a_list_item_is_in_the_message(void **state) {
    cJSON *root = parse("{\"curve\": {\"list\": [{\"c\": 1}, {\"c\": \"x\"}]}}");
    sw_node top = sw_node_top(root, "t.json", *state);
    sw_node curve;
    sw_node list;
    sw_error error;
    double value = 0;
    assert_ok(sw_node_object(&top, "curve", &curve, &error), &error);
    assert_ok(sw_node_array(&curve, "list", &list, &error), &error);
    assert_int_equal(sw_node_count(&list), 2);
    sw_node item = sw_node_item(&list, 1);
    assert_int_equal(sw_node_number(&item, "c", 0, 1, &value, &error), SW_FORMAT);
    assert_string_equal(error.message, "t.json: curve.list[1].c: expected a plain number");
    assert_int_equal(sw_node_object(&curve, "list", &list, &error), SW_FORMAT);
    assert_int_equal(sw_node_array(&top, "curve", &list, &error), SW_FORMAT);
    cJSON_Delete(root);
}

static void a_list_of_numbers_holds_only_numbers(void **state) {
    cJSON *root = parse("{\"good\": [1, 2.5, -3], \"bad\": [1, \"2\"], \"none\": []}");
    sw_node top = sw_node_top(root, "t.json", *state);
    double *values = NULL;
    size_t count = 0;
    sw_error error;
    assert_ok(sw_node_numbers(&top, "good", &values, &count, &error), &error);
    assert_int_equal(count, 3);
    assert_close(values[1], 2.5, 0);
    free(values);
    assert_int_equal(sw_node_numbers(&top, "bad", &values, &count, &error), SW_FORMAT);
    assert_non_null(strstr(error.message, "bad[1]"));
    assert_ok(sw_node_numbers(&top, "none", &values, &count, &error), &error);
    assert_int_equal(count, 0);
    cJSON_Delete(root);
}

static void numbers_are_written_with_every_digit(void **state) {
    static const double VALUES[] = {0.1, 1.0 / 3, 123456789.123, 5e-324, -1e300, 0};
    cJSON *root = cJSON_CreateObject();
    for (size_t i = 0; i < sizeof VALUES / sizeof *VALUES; i++) {
        char key[2] = {(char)('a' + i), '\0'};
        sw_json_add_quantity(root, key, sw_quantity_of(VALUES[i], fabs(VALUES[i]) / 7, "V"));
    }
    char *text = sw_json_print(root);
    cJSON_Delete(root);
    root = parse(text);
    sw_node top = sw_node_top(root, "t.json", *state);
    for (size_t i = 0; i < sizeof VALUES / sizeof *VALUES; i++) {
        char key[2] = {(char)('a' + i), '\0'};
        sw_quantity found;
        assert_int_equal(sw_node_quantity(&top, key, "V", &found, NULL), SW_OK);
        assert_close(found.value, VALUES[i], 0);
        assert_close(found.u, fabs(VALUES[i]) / 7, 0);
    }
    cJSON_Delete(root);
    cJSON_free(text);
}

static void what_is_not_known_is_null_with_its_reason(void **state) {
    (void)state;
    cJSON *root = sw_json_document("motor");
    sw_json_add_quantity(root, "a", sw_quantity_unknown());
    sw_json_add_number(root, "b", NAN);
    sw_json_add_number(root, "c", INFINITY);
    sw_json_add_text(root, "d", "");
    sw_json_add_unknown(root, "a", "nobody measured it");
    char *text = cJSON_PrintUnformatted(root);
    assert_string_equal(text, "{\"document\":\"motor\",\"version\":1,\"a\":null,\"b\":null,"
                              "\"c\":null,\"d\":null,\"unknown\":{\"a\":\"nobody measured it\"}}");
    cJSON_free(text);
    cJSON_Delete(root);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(broken_text_is_refused_with_its_place),
        cmocka_unit_test(binary_and_deep_text_are_refused),
        cmocka_unit_test(an_object_of_countless_keys_is_refused),
        cmocka_unit_test(keys_differ_by_case),
        cmocka_unit_test(a_document_has_its_kind_and_version),
        cmocka_unit_test(an_unknown_key_gets_the_nearest_known),
        cmocka_unit_test(quantities_in_every_form),
        cmocka_unit_test(a_value_outside_its_range_is_refused),
        cmocka_unit_test(the_path_of_a_list_item_is_in_the_message),
        cmocka_unit_test(a_list_of_numbers_holds_only_numbers),
        cmocka_unit_test(numbers_are_written_with_every_digit),
        cmocka_unit_test(what_is_not_known_is_null_with_its_reason),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
