/* Roots of torque balances against closed forms and against brute force on a fine grid. */
#include "tests/support.h"

#include "src/match/balance.h"

#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdio.h>

/* T = a - b w */
typedef struct line {
    double a;
    double b;
} line;

static double line_at(const void *context, double speed) {
    const line *it = context;
    return it->a - it->b * speed;
}

/* A battery's clamp: nothing up to the cut-in speed, then rising and saturating. */
typedef struct clamp {
    double cut_in;
    double most;
    double width;
    double drag;
} clamp;

static double clamp_at(const void *context, double speed) {
    const clamp *it = context;
    double above = speed - it->cut_in;
    return it->drag + (above > 0 ? it->most * above / (above + it->width) : 0);
}

/* A lift rotor: hardly any torque at low speed, a hump, then falling to zero at top. */
typedef struct hump {
    double low;
    double high;
    double at;
    double width;
    double top;
} hump;

static double hump_at(const void *context, double speed) {
    const hump *it = context;
    double x = (speed - it->at) / it->width;
    return (it->low + it->high * exp(-x * x)) * (1 - speed / it->top);
}

static void line_meets_line(void **state) {
    (void)state;
    line driving = {10, 1};
    line load = {2, -1};
    sw_balance_request request = {{line_at, &driving}, {line_at, &load}, 10, 2, 10, {0}, 0, 0};
    sw_balance balance = sw_balance_find(&request);
    assert_int_equal(balance.roots, 1);
    assert_true(balance.root[0].stable);
    /* 10 - w = 2 + w; bisection ends at a relative width of 1e-13 */
    assert_close(balance.root[0].speed_rad_s, 4, 1e-11);
    assert_close(balance.from_rest_rad_s, 4, 1e-11);
    assert_close(balance.running_rad_s, 4, 1e-11);
    assert_close(balance.root[0].torque_nm, 6, 1e-11);
}

static void too_weak_to_start(void **state) {
    (void)state;
    line driving = {10, 1};
    line load = {2, -1};
    sw_balance_request request = {{line_at, &driving}, {line_at, &load}, 1.9, 2, 10, {0}, 0, 0};
    sw_balance balance = sw_balance_find(&request);
    assert_false(balance.starts);
    assert_close(balance.from_rest_rad_s, 0, 0);
    assert_close(balance.running_rad_s, 4, 1e-11); /* but it keeps running */
}

static void comes_to_rest(void **state) {
    (void)state;
    line driving = {1, 0.1};
    line load = {2, 0};
    sw_balance_request request = {{line_at, &driving}, {line_at, &load}, 3, 2, 10, {0}, 0, 0};
    sw_balance balance = sw_balance_find(&request);
    assert_int_equal(balance.roots, 0);
    assert_close(balance.running_rad_s, 0, 0);
    assert_close(balance.from_rest_rad_s, 0, 0); /* it jerks once and stops */
}

static void clamp_has_three(void **state) {
    (void)state;
    hump driving = {1.0, 6, 12, 4, 30};
    clamp load = {4, 3, 1, 0.2};
    sw_balance_request request = {{hump_at, &driving}, {clamp_at, &load}, 1, 0.2, 30, {4}, 1, 0};
    sw_balance balance = sw_balance_find(&request);
    assert_int_equal(balance.roots, 3);
    assert_true(balance.root[0].stable);
    assert_false(balance.root[1].stable);
    assert_true(balance.root[2].stable);
    assert_close(balance.from_rest_rad_s, balance.root[0].speed_rad_s, 0);
    assert_close(balance.running_rad_s, balance.root[2].speed_rad_s, 0);
}

/* Sign changes on a grid a hundred times finer than the search's. */
static size_t brute_force(const sw_balance_request *request, double *root, size_t room) {
    const size_t steps = 20000;
    size_t count = 0;
    double last = NAN;
    for (size_t i = 0; i <= steps; i++) {
        double speed = request->top_rad_s * (i == 0 ? 1e-6 : (double)i / (double)steps);
        double net = request->driving.at(request->driving.context, speed) -
                     request->load.at(request->load.context, speed);
        if (i > 0 && (net > 0) != (last > 0) && count < room)
            root[count++] = speed;
        last = net;
    }
    return count;
}

static void all_roots_as_by_brute_force(void **state) {
    const unsigned long seed = 20260;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    (void)state;
    gsl_rng_set(random, seed);
    for (int i = 0; i < 400; i++) {
        double root[SW_ROOT_LIMIT];
        hump driving = {gsl_rng_uniform(random) * 2, 1 + 6 * gsl_rng_uniform(random),
                        2 + 20 * gsl_rng_uniform(random), 1 + 5 * gsl_rng_uniform(random), 30};
        clamp load = {1 + 15 * gsl_rng_uniform(random), 4 * gsl_rng_uniform(random),
                      0.2 + 2 * gsl_rng_uniform(random), gsl_rng_uniform(random)};
        sw_balance_request request = {
            {hump_at, &driving}, {clamp_at, &load}, 1, 0.2, 30, {load.cut_in}, 1, 0};
        sw_balance balance = sw_balance_find(&request);
        size_t expected = brute_force(&request, root, SW_ROOT_LIMIT);
        if (balance.roots != expected)
            print_message("seed %lu, case %d\n", seed, i);
        assert_int_equal(balance.roots, expected);
        for (size_t j = 0; j < expected; j++) /* one step of the brute force's grid */
            assert_close(balance.root[j].speed_rad_s, root[j], 30.0 / 20000 * 1.01);
    }
    gsl_rng_free(random);
}

static void stability_alternates(void **state) {
    const unsigned long seed = 7;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    (void)state;
    gsl_rng_set(random, seed);
    for (int i = 0; i < 200; i++) {
        hump driving = {gsl_rng_uniform(random), 5 * gsl_rng_uniform(random),
                        25 * gsl_rng_uniform(random), 3, 30};
        clamp load = {20 * gsl_rng_uniform(random), 4 * gsl_rng_uniform(random), 1, 0.1};
        sw_balance_request request = {
            {hump_at, &driving}, {clamp_at, &load}, 1, 0.2, 30, {load.cut_in}, 1, 0};
        sw_balance balance = sw_balance_find(&request);
        for (size_t j = 0; j < balance.roots; j++)
            assert_int_equal(balance.root[balance.roots - 1 - j].stable, j % 2 == 0);
    }
    gsl_rng_free(random);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(line_meets_line),
        cmocka_unit_test(too_weak_to_start),
        cmocka_unit_test(comes_to_rest),
        cmocka_unit_test(clamp_has_three),
        cmocka_unit_test(all_roots_as_by_brute_force),
        cmocka_unit_test(stability_alternates),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
