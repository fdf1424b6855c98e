/* Cogging and friction from readings on a lever; cogging steps a turn. */
#include "tests/support.h"

#include "src/measure/bench/cogging.h"

#include <gsl/gsl_const_mksa.h>
#include <gsl/gsl_math.h>
#include <math.h>

enum { POSITIONS = 12 };

/* Friction 0.2 N m and cogging 0.3 N m peak at positions over one step; torques on 200 mm. */
static sw_lever readings(bool both) {
    sw_lever lever = {.arm_mm = sw_quantity_of(200, 0, "mm"),
                      .reading_kg = sw_quantity_of(NAN, 0.002, "kg")};
    double per_kg = GSL_CONST_MKSA_GRAV_ACCEL * 0.2;
    for (int i = 0; i < POSITIONS; i++) {
        double cogging = 0.3 * cos(2 * M_PI * (i + 0.2) / POSITIONS);
        lever.clockwise_kg[i] = (0.2 + cogging) / per_kg;
        lever.counter_kg[i] = (0.2 - cogging) / per_kg;
    }
    lever.clockwise = POSITIONS;
    lever.counter = both ? POSITIONS : 0;
    return lever;
}

static void parts_friction_from_cogging(void **state) {
    (void)state;
    for (int both = 0; both < 2; both++) {
        sw_lever lever = readings(both);
        sw_lever_result result;
        assert_ok(sw_lever_torques(&lever, &result, NULL), NULL);
        assert_int_equal(result.paired, both);
        /* positions miss the top by at most 1 - cos(pi / 12) = 3.4 %, which u knows of */
        assert_close(result.cogging.value, 0.3, 0.034 * 0.3);
        assert_close(result.cogging.value, 0.3, 2 * result.cogging.u);
        assert_close(result.friction.value, 0.2, both ? 1e-9 : 0.034 * 0.3);
        assert_close(result.starting.value, 0.5, 0.034 * 0.3);
    }
}

/* No cogging at all: both ways alike, and the readings' uncertainty is what is left. */
static void no_cogging(void **state) {
    (void)state;
    sw_lever lever = {.arm_mm = sw_quantity_of(100, NAN, "mm"),
                      .reading_kg = sw_quantity_unknown(),
                      .clockwise = 2,
                      .clockwise_kg = {0.1, 0.1},
                      .counter = 2,
                      .counter_kg = {0.1, 0.1}};
    sw_lever_result result;
    assert_ok(sw_lever_torques(&lever, &result, NULL), NULL);
    assert_close(result.cogging.value, 0, 1e-12);
    assert_true(result.cogging.u > 0);
    assert_close(result.friction.value, 0.1 * 0.1 * GSL_CONST_MKSA_GRAV_ACCEL, 1e-9);
    /* a ruler's millimetre on 100 is 1 % */
    assert_true(result.friction.u > 0.01 * result.friction.value);
}

static void too_few(void **state) {
    (void)state;
    sw_lever lever = {.arm_mm = sw_quantity_of(100, NAN, "mm"), .clockwise = 1};
    sw_lever_result result;
    assert_int_equal(sw_lever_torques(&lever, &result, NULL), SW_TOO_SHORT);
}

/* Least common multiples of slots and poles; any multiple of both is one of it. */
static void periods(void **state) {
    (void)state;
    assert_int_equal(sw_cogging_periods(12, 7), 84);
    assert_int_equal(sw_cogging_periods(9, 4), 72);
    assert_int_equal(sw_cogging_periods(36, 24), 144);
    assert_int_equal(sw_cogging_periods(1000000, 999983), 0); /* beyond int */
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(parts_friction_from_cogging),
        cmocka_unit_test(no_cogging),
        cmocka_unit_test(too_few),
        cmocka_unit_test(periods),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
