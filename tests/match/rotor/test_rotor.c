#include "tests/support.h"

#include "shared/json_read.h"
#include "src/match/rotor/cups.h"
#include "src/match/rotor/rotor.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static sw_status parse(void **state, const char *body, sw_rotor *rotor, sw_error *error) {
    char text[4000];
    cJSON *root = NULL;
    snprintf(text, sizeof text, "{\"document\":\"rotor\",\"version\":1,%s}", body);
    assert_ok(sw_json_parse(text, strlen(text), "rotor.json", &root, error), error);
    sw_status status = sw_rotor_parse(root, "rotor.json", TEST_REFERENCE_DIR, *state, rotor, error);
    cJSON_Delete(root);
    return status;
}

static void good(void **state, const char *body, sw_rotor *rotor) {
    sw_error error = {0};
    assert_ok(parse(state, body, rotor, &error), &error);
}

static void refused(void **state, const char *body, sw_status status, const char *says) {
    sw_error error = {0};
    sw_rotor rotor;
    assert_int_equal(parse(state, body, &rotor, &error), status);
    if (strstr(error.message, says) == NULL)
        fail_msg("\"%s\" does not say \"%s\"", error.message, says);
    assert_non_null(strstr(error.message, "rotor.json"));
}

static const char *const CURVE =
    "\"kind\":\"curve\",\"width\":\"1.2 m\",\"height\":\"1.5 m\",\"curve\":{\"units\":"
    "{\"tip_speed_ratio\":\"1\",\"power_coefficient\":\"1\"},\"list\":["
    "{\"tip_speed_ratio\":0.4,\"power_coefficient\":0.12},"
    "{\"tip_speed_ratio\":0.8,\"power_coefficient\":0.2},"
    "{\"tip_speed_ratio\":1.2,\"power_coefficient\":0.15},"
    "{\"tip_speed_ratio\":1.6,\"power_coefficient\":0.0}]}";

static const char *const CUPS =
    "\"kind\":\"cups\",\"vanes\":3,\"vane_width\":\"300 mm\",\"vane_height\":\"900 mm\","
    "\"arm\":\"650 mm\",\"drag_front\":1.42,\"drag_back\":0.38";

static void curve_meets_its_points(void **state) {
    sw_rotor rotor;
    good(state, CURVE, &rotor);
    assert_close(rotor.swept_area_m2, 1.8, 1e-12);
    assert_close(rotor.radius_m, 0.6, 1e-12);
    assert_close(sw_rotor_power_coefficient(&rotor, 0.4, 5), 0.12, 1e-12);
    assert_close(sw_rotor_power_coefficient(&rotor, 0.8, 5), 0.2, 1e-12);
    assert_close(sw_rotor_power_coefficient(&rotor, 1.2, 9), 0.15, 1e-12);
    assert_close(sw_rotor_power_coefficient(&rotor, 0, 9), 0, 1e-12);
    assert_close(rotor.no_load_tip_speed_ratio, 1.6, 1e-6);
    assert_true(sw_rotor_power_coefficient(&rotor, 1.8, 5) < 0);
    assert_true(rotor.peak_power >= 0.2 && rotor.peak_power < 0.21);
    sw_rotor_free(&rotor);
}

/* T w = 1/2 rho A v^3 Cp: power and torque are the same thing. */
static void torque_times_speed_is_power(void **state) {
    sw_rotor rotor;
    good(state, CURVE, &rotor);
    for (double wind = 2; wind < 20; wind += 1.7) {
        for (double ratio = 0.1; ratio < 1.6; ratio += 0.1) {
            double speed = ratio * wind / rotor.radius_m;
            double power = sw_rotor_torque_nm(&rotor, 1.2, wind, speed) * speed;
            double expected = 0.5 * 1.2 * rotor.swept_area_m2 * wind * wind * wind *
                              sw_rotor_power_coefficient(&rotor, ratio, wind);
            assert_close(power, expected, 1e-9 * (1 + fabs(expected)));
        }
    }
    sw_rotor_free(&rotor);
}

static void unstated_uncertainty_is_never_zero(void **state) {
    sw_rotor rotor;
    good(state, CURVE, &rotor);
    assert_close(rotor.power_u_relative, 0.2, 0);
    assert_true(rotor.power_guessed && rotor.bearing_guessed && rotor.static_guessed);
    assert_true(rotor.bearing_torque.u > 0);
    sw_rotor_free(&rotor);
    char body[2000];
    snprintf(body, sizeof body, "%s,\"power_coefficient_u\":0.05,\"bearing_torque\":\"0.1 N m\"",
             CURVE);
    good(state, body, &rotor);
    assert_close(rotor.power_u_relative, 0.05, 0);
    assert_false(rotor.power_guessed || rotor.bearing_guessed);
    assert_true(rotor.bearing_torque.u > 0);
    sw_rotor_free(&rotor);
}

static void units_change_nothing(void **state) {
    sw_rotor metric;
    sw_rotor imperial;
    good(state, CUPS, &metric);
    good(state,
         "\"kind\":\"cups\",\"vanes\":3,\"vane_width\":\"11.811023622 in\",\"vane_height\":\"90 "
         "cm\",\"arm\":\"2.132545932 ft\",\"drag_front\":1.42,\"drag_back\":0.38",
         &imperial);
    assert_close(imperial.swept_area_m2, metric.swept_area_m2, 1e-6);
    assert_close(imperial.peak_power, metric.peak_power, 1e-6);
    sw_rotor_free(&metric);
    sw_rotor_free(&imperial);
}

static void static_torque_worst_angle(void **state) {
    sw_rotor rotor;
    good(state,
         "\"kind\":\"published\",\"name\":\"savonius-2-bucket\",\"width\":\"0.9 m\","
         "\"height\":\"1 m\"",
         &rotor);
    assert_true(rotor.static_torque_min > 0.03 && rotor.static_torque_min < 0.08);
    assert_false(rotor.static_guessed);
    assert_close(sw_rotor_start_torque_nm(&rotor, 1.225, 7),
                 0.5 * 1.225 * 0.9 * 0.45 * 49 * rotor.static_torque_min, 1e-9);
    sw_rotor_free(&rotor);
}

static void reynolds_changes_a_published_rotor(void **state) {
    sw_rotor rotor;
    good(state,
         "\"kind\":\"published\",\"name\":\"h-rotor-tapered\",\"width\":\"1 m\","
         "\"height\":\"0.8 m\"",
         &rotor);
    double light = sw_rotor_peak(&rotor, 6.3, NULL);   /* Re 4.3e5 */
    double strong = sw_rotor_peak(&rotor, 19.5, NULL); /* Re 1.3e6 */
    assert_close(light, 0.156, 0.004);                 /* the set's own peak, digits of the list */
    assert_close(strong, 0.3695, 0.004);
    double before = 0;
    for (double wind = 2; wind < 30; wind += 1) {
        double peak = sw_rotor_peak(&rotor, wind, NULL);
        assert_true(peak >= before - 1e-6);
        before = peak;
    }
    /* It does not start by itself: no torque at rest is claimed. */
    assert_close(rotor.static_torque_min, 0, 0);
    sw_rotor_free(&rotor);
}

static void every_rotor_obeys_betz(void **state) {
    (void)state;
    unsigned seed = 20260101;
    print_message("seed %u\n", seed);
    srand(seed);
    for (int i = 0; i < 60; i++) {
        double u[6];
        for (int j = 0; j < 6; j++)
            u[j] = rand() / (double)RAND_MAX;
        sw_cups cups = {.vanes = 1 + (int)(u[0] * 7.99),
                        .width_m = 0.1 + u[1],
                        .height_m = 0.5,
                        .drag_front = 0.3 + 2 * u[2],
                        .drag_back = 1.2 * u[3],
                        .shielded = u[4]};
        cups.arm_m = cups.width_m * (0.5 + 2 * u[5]);
        for (double ratio = 0; ratio < 1.5; ratio += 0.1) {
            double power = ratio * sw_cups_torque(&cups, ratio);
            /* Never more than each vane alone would catch: 4/27 Cd of its own area. */
            double own = cups.vanes * cups.width_m * cups.height_m / sw_cups_swept_area_m2(&cups);
            assert_true(power <= 16.0 / 27.0);
            assert_true(power <= 4.0 / 27.0 * cups.drag_front * own + 1e-12);
        }
    }
}

static void cups_document(void **state) {
    sw_rotor rotor;
    good(state, CUPS, &rotor);
    assert_close(rotor.radius_m, 0.8, 1e-12);            /* arm + width / 2 */
    assert_close(rotor.swept_area_m2, 1.6 * 0.9, 1e-12); /* 2 (arm + width / 2) height */
    sw_cups cups = {3, 0.3, 0.9, 0.65, 1.42, 0.38, 0};
    for (double ratio = 0.02; ratio < 1; ratio += 0.07)
        assert_close(sw_rotor_torque_coefficient(&rotor, ratio, 5), sw_cups_torque(&cups, ratio),
                     5e-4); /* spline over steps of 0.02 */
    double lowest = 10;
    double sum = 0;
    for (int angle = 0; angle < 360; angle += 5) { /* the steps it is made of */
        lowest = fmin(lowest, sw_cups_static_torque(&cups, angle));
        sum += sw_cups_static_torque(&cups, angle) / 72;
    }
    assert_close(rotor.static_torque_min, lowest, 1e-12);
    assert_close(rotor.static_torque_mean, sum, 1e-12);
    assert_close(rotor.vane_force_area_m2, 1.42 * 0.27, 1e-12);
    assert_true(rotor.force_area_m2 >= rotor.vane_force_area_m2);
    assert_true(rotor.power_guessed);
    sw_rotor_free(&rotor);
    good(state,
         "\"kind\":\"cups\",\"vanes\":3,\"vane_width\":\"300 mm\",\"vane_height\":\"900 mm\","
         "\"arm\":\"650 mm\",\"shape\":\"cup\"",
         &rotor);
    sw_cups by_shape = {3, 0.3, 0.9, 0.65, 1.42, 0.38, 0};
    assert_close(sw_rotor_torque_coefficient(&rotor, 0.1, 5), sw_cups_torque(&by_shape, 0.1), 5e-4);
    sw_rotor_free(&rotor);
}

static void surface_is_no_swept_area(void **state) {
    sw_rotor rotor;
    char body[600];
    snprintf(body, sizeof body, "%s,\"surface\":\"5 m2\"", CUPS);
    good(state, body, &rotor);
    assert_close(rotor.swept_area_m2, 1.44, 1e-12);
    assert_non_null(strstr(rotor.note, "adds surface, not swept area"));
    sw_rotor_free(&rotor);
    snprintf(body, sizeof body, "%s,\"surface\":\"1 m2\"", CUPS);
    good(state, body, &rotor);
    assert_string_equal(rotor.note, "");
    sw_rotor_free(&rotor);
    snprintf(body, sizeof body, "%s,\"swept_area\":\"5 m2\"", CUPS);
    refused(state, body, SW_MISMATCH, "not the surface of the vanes");
    refused(state,
            "\"kind\":\"published\",\"name\":\"savonius-2-bucket\",\"width\":\"0.9 m\","
            "\"height\":\"1 m\",\"swept_area\":\"2 m2\"",
            SW_MISMATCH, "swept_area");
}

/* Readings made from a known torque line come back as that line. */
static void measured_rotor(void **state) {
    sw_rotor rotor;
    /* Rim 1.6 m, area 1.8 m2, R 0.6 m, rho 1.2, wind 5: scale 1/2 rho A R v^2 = 16.2 N m; the line
     * Ct = 0.4 - 0.25 lambda gives pulls of (16.2 Ct - 0.2) / 0.8 m. */
    char body[1500] = "";
    size_t used = (size_t)snprintf(
        body, sizeof body,
        "\"kind\":\"measured\",\"width\":\"1.2 m\",\"height\":\"1.5 m\",\"rim_diameter\":\"1600 "
        "mm\",\"bearing_torque\":\"0.2 N m\",\"density\":\"1.2 kg/m3\",\"readings\":{\"units\":{"
        "\"wind\":\"m/s\",\"speed\":\"rpm\",\"pull\":\"N\"},\"list\":[");
    for (int i = 0; i < 6; i++) {
        double ratio = 0.25 * i;
        double torque = 16.2 * (0.4 - 0.25 * ratio);
        used += (size_t)snprintf(body + used, sizeof body - used,
                                 "%s{\"wind\":5,\"speed\":%.9f,\"pull\":%.9f}", i ? "," : "",
                                 ratio * 5 / 0.6 * 30 / 3.14159265358979, (torque - 0.2) / 0.8);
    }
    snprintf(body + used, sizeof body - used, "]}");
    good(state, body, &rotor);
    assert_false(rotor.power_guessed);
    assert_close(rotor.no_load_tip_speed_ratio, 1.6, 1e-4);
    assert_close(sw_rotor_torque_coefficient(&rotor, 0.7, 5), 0.4 - 0.25 * 0.7, 1e-4);
    assert_close(rotor.peak_power, 0.16, 1e-4); /* Ct0^2 / (4 slope) */
    assert_close(rotor.power_u_relative, 0.09, 1e-6);
    sw_rotor_free(&rotor);
}

static void published_rotors_open(void **state) {
    static const char *const NAMES[] = {"savonius-2-bucket",
                                        "savonius-2-bucket-overlap-0",
                                        "savonius-2-bucket-overlap-0.10",
                                        "savonius-2-bucket-overlap-0.20",
                                        "savonius-2-bucket-low-reynolds",
                                        "savonius-2-stage",
                                        "savonius-3-bucket",
                                        "h-rotor-3-blade-solidity-1.0",
                                        "h-rotor-3-blade-solidity-0.8",
                                        "h-rotor-tapered",
                                        "drag-shielded",
                                        "multi-blade"};
    for (size_t i = 0; i < sizeof NAMES / sizeof *NAMES; i++) {
        sw_rotor rotor;
        char body[300];
        snprintf(body, sizeof body,
                 "\"kind\":\"published\",\"name\":\"%s\",\"width\":\"1 m\",\"height\":\"1 m\","
                 "\"radius\":\"0.5 m\"",
                 NAMES[i]);
        good(state, body, &rotor);
        assert_true(rotor.peak_power > 0.05 && rotor.peak_power < 16.0 / 27.0);
        assert_true(rotor.no_load_tip_speed_ratio > rotor.peak_tip_speed_ratio);
        assert_true(sw_rotor_power_coefficient(&rotor, 1.3 * rotor.no_load_tip_speed_ratio, 7) < 0);
        assert_true(isfinite(rotor.force_area_m2) && rotor.force_area_m2 > 0);
        sw_rotor_free(&rotor);
    }
    sw_rotor rotor;
    good(state, "\"kind\":\"published\",\"name\":\"multi-blade\",\"radius\":\"1 m\"", &rotor);
    assert_true(rotor.horizontal);
    assert_close(rotor.swept_area_m2, 3.14159265, 1e-6);
    sw_rotor_free(&rotor);
}

#define CURVE_OF "\"kind\":\"curve\",\"width\":\"1 m\",\"height\":\"1 m\",\"curve\":"

static const struct {
    const char *body;
    sw_status status;
    const char *says;
} BAD[] = {
    {"\"kind\":\"propeller\"", SW_VALUE, "curve, cups, measured, published"},
    {"\"name\":\"x\"", SW_MISSING_KEY, "kind"},
    {"\"kind\":\"curve\",\"width\":\"1 m\",\"height\":\"1 m\"", SW_MISSING_KEY, "curve"},
    {"\"kind\":\"curve\",\"curve\":{\"list\":[]}", SW_MISSING_KEY, "swept_area"},
    {"\"kind\":\"curve\",\"swept_area\":\"2 m2\",\"curve\":{\"list\":[]}", SW_MISSING_KEY,
     "radius"},
    {CURVE_OF "{\"list\":[{\"tip_speed_ratio\":1,\"power_coefficient\":0.1}]}", SW_TOO_SHORT,
     "at least 2"},
    {CURVE_OF "{\"list\":[{\"tip_speed_ratio\":1,\"power_coefficient\":20},{\"tip_speed_ratio\":2,"
              "\"power_coefficient\":10}]}",
     SW_VALUE, "percent"},
    {CURVE_OF "{\"list\":[{\"tip_speed_ratio\":1,\"power_coefficient\":0.2},{\"tip_speed_ratio\":1,"
              "\"power_coefficient\":0.1}]}",
     SW_VALUE, "twice"},
    {CURVE_OF "{\"list\":[{\"tip_speed_ratio\":1,\"power\":0.2}]}", SW_UNKNOWN_KEY,
     "curve.list[0]"},
    {"\"kind\":\"curve\",\"width\":1.2,\"height\":\"1 m\"", SW_UNIT, "width"},
    {"\"kind\":\"curve\",\"width\":\"-1 m\",\"height\":\"1 m\"", SW_VALUE, "width"},
    {"\"kind\":\"published\",\"name\":\"../../etc\",\"width\":\"1 m\"", SW_VALUE,
     "name of a table"},
    {"\"kind\":\"published\",\"name\":\"nope\",\"width\":\"1 m\",\"height\":\"1 m\"", SW_NOT_FOUND,
     "nope"},
    {"\"kind\":\"cups\",\"vanes\":3,\"vane_width\":\"900 mm\",\"vane_height\":\"900 "
     "mm\",\"arm\":\"300 mm\",\"shape\":\"cup\"",
     SW_VALUE, "middle of the vane"},
    {"\"kind\":\"cups\",\"vanes\":3,\"vane_width\":\"300 mm\",\"vane_height\":\"900 "
     "mm\",\"arm\":\"650 mm\",\"shape\":\"spoon\"",
     SW_NOT_FOUND, "half-pipe"},
    {"\"kind\":\"cups\",\"vane_width\":\"300 mm\"", SW_MISSING_KEY, "vanes"},
    {"\"kind\":\"cups\",\"vanes\":3,\"tip\":1", SW_UNKNOWN_KEY, "tip"},
    {"\"kind\":\"cups\",\"vanes\":3,\"shielded\":2,\"vane_width\":\"300 mm\",\"vane_height\":\"900 "
     "mm\",\"arm\":\"650 mm\",\"shape\":\"cup\"",
     SW_VALUE, "shielded"},
    /* Cups that drag more by their backs than by their fronts give nothing. */
    {"\"kind\":\"cups\",\"vanes\":3,\"vane_width\":\"300 mm\",\"vane_height\":\"900 "
     "mm\",\"arm\":\"650 mm\",\"drag_front\":0.3,\"drag_back\":1.4",
     SW_VALUE, "above 0"},
};

static void bad_rotors(void **state) {
    for (size_t i = 0; i < sizeof BAD / sizeof *BAD; i++)
        refused(state, BAD[i].body, BAD[i].status, BAD[i].says);
}

/* Characters changed at random in good documents: a rotor with finite values, or one line. */
static void damaged_documents(void **state) {
    static const char ODD[] = "0123456789.-eE{}[]\",: azm";
    unsigned seed = 99;
    print_message("seed %u\n", seed);
    srand(seed);
    for (int i = 0; i < 3000; i++) {
        char text[1200];
        sw_error error = {0};
        sw_rotor rotor;
        cJSON *root = NULL;
        int length = snprintf(text, sizeof text, "{\"document\":\"rotor\",\"version\":1,%s}",
                              i % 8 ? CURVE : CUPS);
        for (int j = rand() % 3; j >= 0; j--)
            text[40 + rand() % (length - 40)] = ODD[(size_t)rand() % (sizeof ODD - 1)];
        if (sw_json_parse(text, strlen(text), "r.json", &root, &error) == SW_OK &&
            sw_rotor_parse(root, "r.json", TEST_REFERENCE_DIR, *state, &rotor, &error) == SW_OK) {
            assert_true(isfinite(rotor.peak_power) && isfinite(rotor.no_load_tip_speed_ratio));
            assert_true(isfinite(sw_rotor_torque_nm(&rotor, 1.2, 8, 3)));
            sw_rotor_free(&rotor);
        } else {
            assert_true(error.message[0] != '\0' && strchr(error.message, '\n') == NULL);
        }
        cJSON_Delete(root);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(curve_meets_its_points),
        cmocka_unit_test(torque_times_speed_is_power),
        cmocka_unit_test(unstated_uncertainty_is_never_zero),
        cmocka_unit_test(units_change_nothing),
        cmocka_unit_test(static_torque_worst_angle),
        cmocka_unit_test(reynolds_changes_a_published_rotor),
        cmocka_unit_test(every_rotor_obeys_betz),
        cmocka_unit_test(cups_document),
        cmocka_unit_test(surface_is_no_swept_area),
        cmocka_unit_test(measured_rotor),
        cmocka_unit_test(published_rotors_open),
        cmocka_unit_test(bad_rotors),
        cmocka_unit_test(damaged_documents),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
