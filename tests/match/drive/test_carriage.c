#include "tests/match/scene.h"

#include "src/match/contact/motor_bearing.h"
#include "src/match/contact/wheel_check.h"
#include "src/match/drive/carriage.h"

#include <math.h>

static sw_status read_one(const sw_units *units, const char *body, sw_carriage *carriage,
                          sw_error *error) {
    char text[800];
    snprintf(text, sizeof text, "\"friction_drive\":{%s}", body);
    cJSON *root = scene_json(text);
    sw_node node = sw_node_top(root, "rotor.json", units);
    *carriage = sw_carriage_unknown();
    sw_status status = sw_carriage_read(&node, "friction_drive", carriage, error);
    cJSON_Delete(root);
    return status;
}

static void keys_are_read(void **state) {
    sw_carriage it;
    sw_error error = {0};
    assert_ok(read_one(*state,
                       "\"surface\":\"rubber-steel\",\"side\":\"inside\",\"arm\":\"trailing\","
                       "\"arm_angle\":\"30 deg\",\"run_out\":\"2 mm\",\"lumps\":12,"
                       "\"spring_rate\":\"5 N/mm\",\"motor_bearing\":\"6201\","
                       "\"overhang\":\"1 in\"",
                       &it, &error),
              &error);
    assert_true(it.inside);
    assert_int_equal(it.arm, SW_ARM_TRAILING);
    assert_int_equal(it.lumps, 12);
    assert_close(it.spring_n_mm, 5, 1e-9);
    assert_close(it.overhang_mm, 25.4, 1e-9);
    assert_string_equal(it.surface, "rubber-steel");
    assert_string_equal(it.bearing, "6201");
    assert_true(isnan(it.moving_kg));
    /* tan 30 deg */
    assert_close(sw_carriage_arm_gain(&it), -0.57735, 1e-5);
}

static void bad_keys_are_named(void **state) {
    static const struct {
        const char *body;
        const char *said;
    } CASES[] = {{"\"side\":\"top\"", "friction_drive.side"},
                 {"\"arm_angle\":\"20 deg\"", "arm_angle"},
                 {"\"lumps\":0", "lumps"},
                 {"\"arm\":\"sideways\"", "trailing"},
                 {"\"overhang\":\"3 kg\"", "overhang"},
                 {"\"colour\":\"red\"", "colour"}};
    for (size_t i = 0; i < sizeof CASES / sizeof *CASES; i++) {
        sw_carriage it;
        sw_error error = {0};
        assert_int_not_equal(read_one(*state, CASES[i].body, &it, &error), SW_OK);
        assert_non_null(strstr(error.message, CASES[i].said));
    }
}

/* 300 N at 40 mm outside bearings 60 mm apart: 500 N on the near one. */
static void bearing_by_hand(void **state) {
    (void)state;
    assert_close(sw_bearing_nearest_n(300, 40, 60), 500, 1e-9);
}

static sw_wheel_check check_of(sw_plant *plant, const sw_press *press, double storm_rad_s) {
    static const sw_surface SURFACE = {{0.4, 0.8}, {0.1, 0.3}, {0.5, 1.5}, {0.01, 0.03}, {0, 0}};
    sw_wheel_check_request request = {.plant = plant,
                                      .press = press,
                                      .surface = &SURFACE,
                                      .run_out_mm = 4,
                                      .moving_kg = 5,
                                      .most_n = 300,
                                      .lumps = 10,
                                      .storm_rotor_rad_s = storm_rad_s,
                                      .storm_wind = 30};
    return sw_wheel_check_of(&request);
}

static void wheel_in_use(void **state) {
    sw_rotor rotor = scene_rotor(*state, SCENE_DRUM);
    static const sw_surface SURFACE = {{0.4, 0.8}, {0.1, 0.3}, {0.5, 1.5}, {0.01, 0.03}, {0, 0}};
    sw_drive drive = sw_drive_of(sw_drive_kind_of(SW_DRIVE_FRICTION), &SURFACE, 1900, 100);
    sw_press press = {.tangential_n = 20, .spring_n_mm = 5, .mean_n = 100};
    drive.contact_n = 100;
    sw_plant plant = sw_plant_of(&rotor, NULL, NULL, drive, 1.2);
    sw_wheel_check calm = check_of(&plant, &press, 1);
    assert_true(isinf(calm.hop_rotor_rad_s));
    /* k e = 20 N at a crawl */
    assert_close(calm.storm_least_n, 80, 1e-9);
    assert_close(calm.wear_n_mm, 2.5, 1e-9);
    assert_close(calm.jammed_n, 100, 1e-9);
    /* 0.05 x 100 N of the 20 N asked for */
    assert_close(calm.frost_share, 0.25, 1e-9);
    /* m e W^2 = 100 + 20: W = sqrt(120 / 0.02) = 77.46, ten lumps: 7.746 rad/s of the rotor, which
     * a grid of a thousandth of 20 rad/s finds */
    sw_wheel_check wild = check_of(&plant, &press, 20);
    assert_close(wild.hop_rotor_rad_s, 7.746, 0.02);
    assert_close(wild.hop_wind_m_s, 30 * 7.746 / 20, 0.03);
    assert_close(wild.storm_least_n, 0, 0);
    plant.drive.arm_gain = 1.3;
    assert_true(check_of(&plant, &press, 1).locks);
    plant.drive.arm_gain = 0.5;
    /* 0.8 x 100 / (1 - 0.4) = 133.3 N of pull, half of it on top */
    assert_close(check_of(&plant, &press, 1).jammed_n, 166.67, 0.01);
    sw_rotor_free(&rotor);
}

static void inside_wants_a_small_wheel(void **state) {
    sw_rotor rotor = scene_rotor(*state, SCENE_DRUM ",\"friction_drive\":{\"side\":\"inside\"}");
    static const sw_surface SURFACE = {{0.4, 0.8}, {0.1, 0.3}, {0.5, 1.5}, {0.01, 0.03}, {0, 0}};
    sw_press press = {.tangential_n = 20, .spring_n_mm = 5, .mean_n = 100};
    const double sizes[2] = {200, 700};
    for (int i = 0; i < 2; i++) {
        sw_drive drive = sw_drive_of(sw_drive_kind_of(SW_DRIVE_FRICTION), &SURFACE, 1900, sizes[i]);
        drive.contact_n = 100;
        sw_plant plant = sw_plant_of(&rotor, NULL, NULL, drive, 1.2);
        assert_int_equal(check_of(&plant, &press, 1).does_not_fit, i == 1);
    }
    sw_rotor_free(&rotor);
}

static void names_are_looked_up(void **state) {
    static const char *const BAD[][2] = {{"\"surface\":\"ice\"", "friction_drive.surface"},
                                         {"\"motor_bearing\":\"9999\"", "motor_bearing"}};
    for (size_t i = 0; i < 2; i++) {
        char body[1200];
        sw_rotor rotor;
        sw_error error = {0};
        snprintf(body, sizeof body, "%s,\"friction_drive\":{%s}", SCENE_DRUM, BAD[i][0]);
        cJSON *root = scene_json(body);
        assert_int_not_equal(
            sw_rotor_parse(root, "rotor.json", TEST_REFERENCE_DIR, *state, &rotor, &error), SW_OK);
        assert_non_null(strstr(error.message, BAD[i][1]));
        cJSON_Delete(root);
    }
}

/* 0.12 kg x 9.80665 x 0.95 m = 1.118 N m */
static void a_weight_on_a_string(void **state) {
    sw_rotor rotor;
    sw_error error = {0};
    char body[1200];
    char drum[1000];
    snprintf(drum, sizeof drum, "%s", SCENE_DRUM);
    char *torque = strstr(drum, "\"bearing_torque\":\"0.2 N m\",");
    assert_non_null(torque);
    memmove(torque, torque + 27, strlen(torque + 27) + 1);
    snprintf(body, sizeof body, "%s,\"bearing_test\":{\"weight\":\"120 g\",\"radius\":\"950 mm\"}",
             drum);
    rotor = scene_rotor(*state, body);
    assert_close(rotor.bearing_torque.value, 0.12 * 9.80665 * 0.95, 1e-12);
    assert_false(rotor.bearing_guessed);
    sw_rotor_free(&rotor);
    snprintf(body, sizeof body, "%s,\"bearing_test\":{\"weight\":\"120 g\",\"radius\":\"950 mm\"}",
             SCENE_DRUM);
    cJSON *root = scene_json(body);
    assert_int_equal(sw_rotor_parse(root, "rotor.json", TEST_REFERENCE_DIR, *state, &rotor, &error),
                     SW_MISMATCH);
    assert_non_null(strstr(error.message, "bearing_test"));
    cJSON_Delete(root);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(keys_are_read),
        cmocka_unit_test(bad_keys_are_named),
        cmocka_unit_test(bearing_by_hand),
        cmocka_unit_test(names_are_looked_up),
        cmocka_unit_test(a_weight_on_a_string),
        cmocka_unit_test(wheel_in_use),
        cmocka_unit_test(inside_wants_a_small_wheel),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
