/* Documents that several matching tests use: a drum with a rim, a lift rotor, two motors, a site.
 */
#ifndef SPINWORTH_TESTS_MATCH_SCENE_H
#define SPINWORTH_TESTS_MATCH_SCENE_H

#include "tests/support.h"

#include "shared/json_read.h"
#include "shared/motor.h"
#include "src/match/drive/shop.h"
#include "src/match/load/load.h"
#include "src/match/match.h"
#include "src/match/rotor/rotor.h"
#include "src/match/site/site.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define SCENE_DRUM                                                                                 \
    "\"document\":\"rotor\",\"version\":1,\"kind\":\"curve\",\"width\":\"1.9 m\","                 \
    "\"height\":\"1.5 m\",\"rim_diameter\":\"1900 mm\",\"bearing_torque\":\"0.2 N m\","            \
    "\"static_torque_coefficient\":0.2,"                                                           \
    "\"curve\":{\"units\":{\"tip_speed_ratio\":\"1\",\"power_coefficient\":\"1\"},\"list\":["      \
    "{\"tip_speed_ratio\":0.3,\"power_coefficient\":0.09},"                                        \
    "{\"tip_speed_ratio\":0.6,\"power_coefficient\":0.165},"                                       \
    "{\"tip_speed_ratio\":0.9,\"power_coefficient\":0.18},"                                        \
    "{\"tip_speed_ratio\":1.2,\"power_coefficient\":0.13},"                                        \
    "{\"tip_speed_ratio\":1.6,\"power_coefficient\":0.0}]}"

#define SCENE_LIFT                                                                                 \
    "\"document\":\"rotor\",\"version\":1,\"kind\":\"curve\",\"width\":\"1.6 m\","                 \
    "\"height\":\"1.5 m\",\"bearing_torque\":\"0.05 N m\",\"static_torque_coefficient\":0.02,"     \
    "\"curve\":{\"units\":{\"tip_speed_ratio\":\"1\",\"power_coefficient\":\"1\"},\"list\":["      \
    "{\"tip_speed_ratio\":0.5,\"power_coefficient\":0.01},"                                        \
    "{\"tip_speed_ratio\":1.0,\"power_coefficient\":0.03},"                                        \
    "{\"tip_speed_ratio\":1.5,\"power_coefficient\":0.12},"                                        \
    "{\"tip_speed_ratio\":2.0,\"power_coefficient\":0.25},"                                        \
    "{\"tip_speed_ratio\":2.6,\"power_coefficient\":0.22},"                                        \
    "{\"tip_speed_ratio\":3.4,\"power_coefficient\":0.0}]}"

/* A three-phase wheel of 50 pole pairs, as a stepper-like ring. */
#define SCENE_RING                                                                                 \
    "\"document\":\"motor\",\"version\":1,\"name\":\"ring\",\"kind\":\"magnet-ac\",\"phases\":3,"  \
    "\"connection\":\"star\","                                                                     \
    "\"pole_pairs\":{\"value\":20,\"probability\":1,\"candidates\":[]},"                           \
    "\"voltage_constant\":{\"value\":0.06,\"unit\":\"V/rpm\",\"u\":0.0005},"                       \
    "\"winding_resistance\":{\"value\":2.2,\"unit\":\"ohm\",\"u\":0.03},"                          \
    "\"winding_inductance\":{\"value\":3.5,\"unit\":\"mH\",\"u\":0.2},"                            \
    "\"cogging_torque\":{\"value\":0.03,\"unit\":\"N m\",\"u\":0.005},"                            \
    "\"drag_torque\":{\"constant\":{\"value\":0.02,\"unit\":\"N m\",\"u\":0.003},"                 \
    "\"linear\":{\"value\":0.0004,\"unit\":\"N m s/rad\",\"u\":0.0001}}"

#define SCENE_BRUSHED                                                                              \
    "\"document\":\"motor\",\"version\":1,\"name\":\"brushes\",\"kind\":\"brushed\","              \
    "\"voltage_constant\":{\"value\":0.03,\"unit\":\"V/rpm\",\"u\":0.0003},"                       \
    "\"winding_resistance\":{\"value\":0.9,\"unit\":\"ohm\",\"u\":0.02},"                          \
    "\"cogging_torque\":{\"value\":0.03,\"unit\":\"N m\",\"u\":0.01},"                             \
    "\"drag_torque\":{\"constant\":{\"value\":0.04,\"unit\":\"N m\",\"u\":0.01}}"

#define SCENE_SITE                                                                                 \
    "\"document\":\"site\",\"version\":1,\"mean_wind\":{\"value\":4.8,\"unit\":\"m/s\","           \
    "\"u\":0.2},\"weibull_k\":2,\"storm_wind\":{\"value\":35,\"unit\":\"m/s\",\"u\":1}"

#define SCENE_LOAD                                                                                 \
    "\"document\":\"load\",\"version\":1,\"kind\":\"battery\","                                    \
    "\"voltage\":{\"value\":12.6,\"unit\":\"V\",\"u\":0.2},"                                       \
    "\"resistance\":{\"value\":0.05,\"unit\":\"ohm\",\"u\":0.01}"

static inline cJSON *scene_json(const char *body) {
    char text[6000];
    cJSON *root = NULL;
    sw_error error = {0};
    snprintf(text, sizeof text, "{%s}", body);
    assert_ok(sw_json_parse(text, strlen(text), "scene.json", &root, &error), &error);
    return root;
}

static inline sw_rotor scene_rotor(const sw_units *units, const char *body) {
    sw_rotor rotor;
    sw_error error = {0};
    cJSON *root = scene_json(body);
    assert_ok(sw_rotor_parse(root, "rotor.json", TEST_REFERENCE_DIR, units, &rotor, &error),
              &error);
    cJSON_Delete(root);
    return rotor;
}

static inline sw_motor scene_motor(const sw_units *units, const char *body) {
    sw_motor motor;
    sw_error error = {0};
    cJSON *root = scene_json(body);
    assert_ok(sw_motor_parse(root, "motor.json", units, &motor, &error), &error);
    cJSON_Delete(root);
    return motor;
}

static inline sw_site scene_site(const sw_units *units, const char *body) {
    sw_site site;
    sw_error error = {0};
    cJSON *root = scene_json(body);
    assert_ok(sw_site_parse(root, "site.json", TEST_REFERENCE_DIR, units, &site, &error), &error);
    cJSON_Delete(root);
    return site;
}

static inline sw_load scene_load(const sw_units *units, const char *body) {
    sw_load load;
    sw_error error = {0};
    cJSON *root = scene_json(body);
    assert_ok(sw_load_parse(root, "load.json", TEST_REFERENCE_DIR, units, &load, &error), &error);
    cJSON_Delete(root);
    return load;
}

static inline sw_shop scene_shop(void) {
    sw_shop shop;
    sw_error error = {0};
    assert_ok(sw_shop_read(TEST_REFERENCE_DIR, &shop, &error), &error);
    return shop;
}

/* Everything that a match needs, of usual documents. */
typedef struct scene {
    sw_rotor rotor;
    sw_motor motor;
    sw_site site;
    sw_load load;
    sw_shop shop;
} scene;

static inline void scene_set_up(const sw_units *units, const char *rotor, const char *motor,
                                const char *site, scene *it) {
    *it = (scene){.rotor = scene_rotor(units, rotor),
                  .motor = scene_motor(units, motor),
                  .site = scene_site(units, site),
                  .load = scene_load(units, SCENE_LOAD),
                  .shop = scene_shop()};
}

static inline void scene_tear_down(scene *it) {
    sw_rotor_free(&it->rotor);
    sw_site_free(&it->site);
    sw_shop_free(&it->shop);
}

/* Of one wheel (NAN = any), all else as usual; it must outlive the request. */
static inline sw_match_request scene_request(const scene *it, double wheel_mm) {
    return (sw_match_request){.motor = &it->motor,
                              .rotor = &it->rotor,
                              .site = &it->site,
                              .load = &it->load,
                              .shop = &it->shop,
                              .wheel_mm = wheel_mm,
                              .run_out_mm = NAN,
                              .moving_kg = NAN};
}

#endif
