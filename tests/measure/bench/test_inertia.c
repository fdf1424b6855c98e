/* Inertia by disc and by falling weight. */
#include "tests/support.h"

#include "src/measure/bench/inertia.h"

#include <gsl/gsl_const_mksa.h>
#include <math.h>
#include <string.h>

static sw_quantity exact(double value, const char *unit) {
    return sw_quantity_of(value, 0, unit);
}

/* u(J)/J of a solid disc: u(m)/m and 2 u(d)/d. */
static void disc_uncertainty(void **state) {
    (void)state;
    sw_disc disc = {sw_quantity_of(2, 0.02, "kg"), sw_quantity_of(300, 3, "mm"),
                    sw_quantity_unknown(), false};
    sw_quantity inertia;
    assert_ok(sw_disc_inertia(&disc, &inertia, NULL), NULL);
    assert_close(inertia.value, 2 * 0.15 * 0.15 / 2, 1e-12);
    assert_close(inertia.u / inertia.value, hypot(0.01, 0.02), 1e-4);
    disc.rough = true; /* a rotor is no even disc */
    assert_ok(sw_disc_inertia(&disc, &inertia, NULL), NULL);
    assert_close(inertia.u / inertia.value, sqrt(0.01 * 0.01 + 0.02 * 0.02 + 0.1 * 0.1), 1e-3);
}

static void disc_unstated(void **state) {
    (void)state;
    sw_quantity inertia;
    sw_error error;
    sw_disc disc = {sw_quantity_of(1, NAN, "kg"), sw_quantity_of(100, NAN, "mm"),
                    sw_quantity_of(100, NAN, "mm"), false};
    assert_int_equal(sw_disc_inertia(&disc, &inertia, &error), SW_VALUE);
    disc.bore_mm = sw_quantity_of(20, NAN, "mm");
    assert_ok(sw_disc_inertia(&disc, &inertia, NULL), NULL);
    assert_true(inertia.u > 0.01 * inertia.value);
}

/* The fall of 0.5 kg on a drum of 20 mm that turns 0.01 kg m2 against 0.02 N m, made from
 * J dw/dt = (m (g - a)) r - T, a = r dw/dt. */
static sw_falling_weight a_fall(void) {
    double g = GSL_CONST_MKSA_GRAV_ACCEL;
    double a = (0.5 * g * 0.02 - 0.02) * 0.02 / (0.01 + 0.5 * 0.02 * 0.02);
    return (sw_falling_weight){
        exact(0.5, "kg"), exact(1.2, "m"),       exact(sqrt(2 * 1.2 / a), "s"),
        exact(20, "mm"),  sw_quantity_unknown(), sw_quantity_unknown()};
}

static void falls(void **state) {
    (void)state;
    sw_falling_weight weight = a_fall();
    sw_quantity inertia;
    weight.balance_kg = exact(0.02 / 0.02 / GSL_CONST_MKSA_GRAV_ACCEL, "kg");
    assert_ok(sw_falling_weight_inertia(&weight, &inertia, NULL), NULL);
    assert_close(inertia.value, 0.01, 1e-9);
    /* the slowing of the free shaft says the same: T / J */
    weight = a_fall();
    weight.slowing_rad_s2 = exact(2, "rad/s2");
    assert_ok(sw_falling_weight_inertia(&weight, &inertia, NULL), NULL);
    assert_close(inertia.value, 0.01, 1e-9);
    /* nothing known of the friction: the interval still holds it (20 % of the weight here) */
    weight = a_fall();
    assert_ok(sw_falling_weight_inertia(&weight, &inertia, NULL), NULL);
    assert_close(inertia.value, 0.01, 2 * inertia.u);
    assert_true(inertia.u > 0.03 * inertia.value);
}

/* A hand's stopwatch of 0.1 s: twice its share of the time. */
static void time_counts_twice(void **state) {
    (void)state;
    sw_falling_weight weight = a_fall();
    sw_quantity inertia;
    weight.slowing_rad_s2 = exact(0, "rad/s2");
    weight.time_s.u = 0.01 * weight.time_s.value;
    assert_ok(sw_falling_weight_inertia(&weight, &inertia, NULL), NULL);
    assert_close(inertia.u / inertia.value, 0.02, 0.001);
}

static void too_fast(void **state) {
    (void)state;
    sw_falling_weight weight = a_fall();
    sw_quantity inertia;
    sw_error error;
    weight.time_s = exact(0.4, "s"); /* 1.2 m: free fall takes 0.49 s */
    assert_int_equal(sw_falling_weight_inertia(&weight, &inertia, &error), SW_VALUE);
    assert_non_null(strstr(error.message, "free fall"));
    weight = a_fall();
    weight.balance_kg = exact(0.6, "kg"); /* more than the weight that falls */
    assert_int_equal(sw_falling_weight_inertia(&weight, &inertia, &error), SW_VALUE);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(disc_uncertainty),
        cmocka_unit_test(disc_unstated),
        cmocka_unit_test(falls),
        cmocka_unit_test(time_counts_twice),
        cmocka_unit_test(too_fast),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
