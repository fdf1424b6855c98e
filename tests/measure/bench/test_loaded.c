/* R and L from loaded runs: records made from the law, with noise. */
#include "tests/support.h"

#include "src/measure/bench/loaded.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { CYCLES = 400 };

static const double FLUX = 0.8; /* V/Hz */
static const double OHM = 7;
static const double HENRY = 0.045;

typedef struct way {
    double load_ohm;   /* INFINITY = open */
    double saturation; /* share of the flux lost per ampere rms */
    double from_hz;
    double to_hz;
} way;

static double flux_of(const way *w, double hz) {
    double omega = 2 * M_PI * hz;
    double share =
        isfinite(w->load_ohm) ? w->load_ohm / hypot(w->load_ohm + OHM, omega * HENRY) : 1;
    double amps = FLUX * hz * share / M_SQRT2 / w->load_ohm;
    return FLUX * share * (1 - w->saturation * amps);
}

static void add(sw_loaded *loaded, const way *w, gsl_rng *random) {
    sw_course course = {.line_over_lead = 1};
    sw_error error;
    course.cycles.cycle = calloc(CYCLES, sizeof *course.cycles.cycle);
    assert_non_null(course.cycles.cycle);
    course.cycles.count = CYCLES;
    for (int i = 0; i < CYCLES; i++) {
        double hz = w->from_hz + (w->to_hz - w->from_hz) * i / CYCLES;
        course.cycles.cycle[i].length_s = 1 / hz;
        course.cycles.cycle[i].flux = flux_of(w, hz) * (1 + gsl_ran_gaussian(random, 1e-3));
    }
    sw_quantity load =
        isfinite(w->load_ohm) ? sw_quantity_of(w->load_ohm, 0, "ohm") : sw_quantity_unknown();
    assert_ok(sw_loaded_add(loaded, &course, load, &error), &error);
    sw_cycles_free(&course.cycles);
}

static sw_loaded_result fitted(const way *ways, size_t count, unsigned long seed) {
    sw_loaded loaded = {0};
    sw_loaded_result result;
    sw_error error;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, seed);
    for (size_t i = 0; i < count; i++)
        add(&loaded, &ways[i], random);
    gsl_rng_free(random);
    assert_ok(sw_loaded_fit(&loaded, &result, &error), &error);
    return result;
}

static void one_load(void **state) {
    (void)state;
    const way ways[] = {{INFINITY, 0, 20, 140}, {15, 0, 20, 140}};
    sw_loaded_result result = fitted(ways, 2, 1);
    assert_close(result.resistance.value, OHM, 3 * result.resistance.u);
    assert_close(result.inductance.value, 1000 * HENRY, 3 * result.inductance.u);
    assert_true(result.resistance.u < 0.02 * OHM);
    assert_true(result.correlation < -0.5); /* more of one means less of the other */
    assert_true(isnan(result.saturation));  /* one load cannot tell it from inductance */
}

static void two_loads_are_surer(void **state) {
    (void)state;
    const way ways[] = {{INFINITY, 0, 60, 140}, {15, 0, 60, 140}, {45, 0, 60, 140}};
    sw_loaded_result one = fitted(ways, 2, 2);
    sw_loaded_result two = fitted(ways, 3, 2);
    assert_close(two.resistance.value, OHM, 3 * two.resistance.u);
    assert_close(two.inductance.value, 1000 * HENRY, 3 * two.inductance.u);
    assert_true(two.resistance.u < one.resistance.u);
    assert_true(two.saturation == 0);
}

/* Intervals of k = 2 hold for 95.4 % of 200 records; 5 standard deviations of the binomial are
 * 7.4 %. */
static void coverage(void **state) {
    (void)state;
    const way ways[] = {{INFINITY, 0, 20, 140}, {15, 0, 20, 140}};
    size_t held = 0;
    for (unsigned long seed = 100; seed < 300; seed++) {
        sw_loaded_result result = fitted(ways, 2, seed);
        held += fabs(result.resistance.value - OHM) <= 2 * result.resistance.u;
    }
    assert_in_range(held, 176, 200);
}

static void load_uncertainty_scales(void **state) {
    (void)state;
    sw_loaded loaded = {0};
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    const way open = {INFINITY, 0, 20, 140};
    const way with = {15, 0, 20, 140};
    sw_loaded_result result;
    add(&loaded, &open, random);
    add(&loaded, &with, random);
    loaded.run[1].load_ohm.u = 0.1 * 15;
    assert_ok(sw_loaded_fit(&loaded, &result, NULL), NULL);
    assert_close(result.resistance.u / result.resistance.value, 0.1, 0.005);
    assert_true(result.correlation > 0.9); /* both follow the resistor */
    gsl_rng_free(random);
}

/* 2 % an ampere: at 15 ohm and 140 Hz about 3 A flow. */
static void saturation(void **state) {
    (void)state;
    const way ways[] = {{INFINITY, 0, 20, 140}, {15, 0.02, 20, 140}, {45, 0.02, 20, 140}};
    sw_loaded_result result = fitted(ways, 3, 4);
    double expected = 0.02 * result.current_a;
    assert_close(result.saturation, expected, 3 * result.saturation_u + 0.05 * expected);
    sw_motor motor;
    sw_motor_init(&motor);
    sw_loaded_tell(&result, sw_quantity_unknown(), &motor);
    assert_true(sw_motor_warned(&motor, SW_WARN_SATURATING));
}

/* An open run whose flux drifts says nothing of saturation. */
static void drift_is_no_saturation(void **state) {
    (void)state;
    sw_loaded loaded = {0};
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    const way open = {INFINITY, 0, 20, 140};
    const way with[] = {{15, 0, 20, 140}, {45, 0, 20, 140}};
    sw_loaded_result result;
    add(&loaded, &open, random);
    add(&loaded, &with[0], random);
    add(&loaded, &with[1], random);
    for (size_t r = 0; r < loaded.runs; r++) /* the probe, so in all of them */
        for (size_t i = 0; i < loaded.run[r].steps; i++)
            loaded.run[r].step[i].flux *= 1 - 1e-4 * loaded.run[r].step[i].frequency_hz;
    assert_ok(sw_loaded_fit(&loaded, &result, NULL), NULL);
    assert_true(result.saturation == 0);
    gsl_rng_free(random);
}

static void against_the_meter(void **state) {
    (void)state;
    const way ways[] = {{INFINITY, 0, 20, 140}, {15, 0, 20, 140}};
    sw_loaded_result result = fitted(ways, 2, 7);
    sw_motor motor;
    sw_motor_init(&motor);
    motor.winding_resistance = sw_quantity_of(7.05, 0.2, "ohm");
    sw_loaded_tell(&result, sw_quantity_of(20, 1, "degC"), &motor);
    assert_int_equal(motor.warnings, 0);
    assert_true(motor.winding_resistance.u < 0.2);
    motor.winding_resistance = sw_quantity_of(9, 0.05, "ohm");
    sw_loaded_tell(&result, sw_quantity_of(20, 1, "degC"), &motor);
    assert_true(sw_motor_warned(&motor, SW_WARN_METER_DOUBTFUL));
    assert_close(motor.winding_resistance.value, 9, 0);
}

/* A resistor written down ten times too large: R and L come out ten times too large, which only the
 * meter notices. It names the true one; L is not kept. */
static void mistyped_resistor(void **state) {
    (void)state;
    const struct {
        double factor;
        const char *says;
    } rows[] = {{10, "(about 15 ohm in place of 150 would fit)"},
                {0.1, "(about 15 ohm in place of 1.5 would fit)"}};
    for (size_t i = 0; i < 2; i++) {
        sw_loaded loaded = {0};
        sw_loaded_result result;
        gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
        const way open = {INFINITY, 0, 20, 140};
        const way with = {15, 0, 20, 140};
        add(&loaded, &open, random);
        add(&loaded, &with, random);
        gsl_rng_free(random);
        loaded.run[1].load_ohm.value *= rows[i].factor;
        assert_ok(sw_loaded_fit(&loaded, &result, NULL), NULL);
        /* as the law says, to the noise: 10 x 45 mH */
        assert_close(result.inductance.value, 1000 * HENRY * rows[i].factor,
                     3 * result.inductance.u);
        sw_motor motor;
        sw_motor_init(&motor);
        motor.winding_resistance = sw_quantity_of(OHM, 0.1, "ohm");
        sw_loaded_tell(&result, sw_quantity_unknown(), &motor);
        assert_true(sw_motor_warned(&motor, SW_WARN_LOAD_DOUBTFUL));
        assert_non_null(strstr(motor.warning[0].message, "wrong resistor value"));
        assert_non_null(strstr(motor.warning[0].message, rows[i].says));
        assert_non_null(strstr(motor.warning[0].message, "not kept"));
        assert_close(motor.winding_resistance.value, OHM, 0);
        assert_false(sw_quantity_known(motor.winding_inductance));
    }
}

/* Of two resistors the second was written down wrong: that one is named. */
static void one_of_two_mistyped(void **state) {
    (void)state;
    const way ways[] = {{INFINITY, 0, 20, 140}, {15, 0, 20, 140}, {45, 0, 20, 140}};
    sw_loaded loaded = {0};
    sw_loaded_result result;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    for (size_t i = 0; i < 3; i++)
        add(&loaded, &ways[i], random);
    gsl_rng_free(random);
    loaded.run[2].load_ohm.value = 450;
    assert_ok(sw_loaded_fit(&loaded, &result, NULL), NULL);
    sw_motor motor;
    sw_motor_init(&motor);
    motor.winding_resistance = sw_quantity_of(OHM, 0.1, "ohm");
    sw_loaded_tell(&result, sw_quantity_unknown(), &motor);
    assert_true(sw_motor_warned(&motor, SW_WARN_LOAD_DOUBTFUL));
    assert_non_null(strstr(motor.warning[0].message, "45 ohm in place of 450"));
    assert_false(sw_quantity_known(motor.winding_inductance));
}

/* 60 K warmer and a clip's half ohm are still leads and warmth: 7 x 1.236 + 0.5 = 9.15. */
static void leads_and_warmth_are_no_wrong_resistor(void **state) {
    (void)state;
    const way ways[] = {{INFINITY, 0, 20, 140}, {15, 0, 20, 140}};
    sw_loaded_result result = fitted(ways, 2, 8);
    const double meters[] = {9.15, 7 / 1.236 - 0.5};
    for (size_t i = 0; i < 2; i++) {
        sw_motor motor;
        sw_motor_init(&motor);
        motor.winding_resistance = sw_quantity_of(meters[i], 0.02, "ohm");
        sw_loaded_tell(&result, sw_quantity_of(20, 1, "degC"), &motor);
        assert_false(sw_motor_warned(&motor, SW_WARN_LOAD_DOUBTFUL));
        assert_true(sw_motor_warned(&motor, SW_WARN_METER_DOUBTFUL));
        assert_true(sw_quantity_known(motor.winding_inductance));
    }
}

static void refuses(void **state) {
    (void)state;
    sw_loaded loaded = {0};
    sw_loaded_result result;
    sw_error error;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    const way open = {INFINITY, 0, 20, 140};
    const way hardly = {1e6, 0, 20, 140};
    assert_int_equal(sw_loaded_fit(&loaded, &result, &error), SW_MISSING_KEY);
    add(&loaded, &open, random);
    assert_int_equal(sw_loaded_fit(&loaded, &result, &error), SW_MISSING_KEY);
    add(&loaded, &hardly, random);
    assert_int_equal(sw_loaded_fit(&loaded, &result, &error), SW_VALUE);
    assert_non_null(strstr(error.message, "smaller resistor"));
    sw_course empty = {.line_over_lead = 1};
    assert_int_equal(sw_loaded_add(&loaded, &empty, sw_quantity_unknown(), &error), SW_TOO_SHORT);
    gsl_rng_free(random);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_load),
        cmocka_unit_test(two_loads_are_surer),
        cmocka_unit_test(coverage),
        cmocka_unit_test(load_uncertainty_scales),
        cmocka_unit_test(saturation),
        cmocka_unit_test(drift_is_no_saturation),
        cmocka_unit_test(against_the_meter),
        cmocka_unit_test(mistyped_resistor),
        cmocka_unit_test(one_of_two_mistyped),
        cmocka_unit_test(leads_and_warmth_are_no_wrong_resistor),
        cmocka_unit_test(refuses),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
