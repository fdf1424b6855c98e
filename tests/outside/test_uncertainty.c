/* Propagation of uncertainty against the worked examples of JCGM 100:2008 annex H. */
#include "tests/support.h"

#include "shared/uncertainty.h"

#include <math.h>

/* H.1: length of an end gauge from that of a standard, their difference d, the expansion
 * coefficient of the standard a_s, mean temperature offset th, and the differences of coefficient
 * and temperature. l = ls + d - ls (da th + a_s dt). Lengths in nm. */
static double end_gauge(const double *x, const void *user) {
    (void)user;
    return x[0] + x[1] - x[0] * (x[2] * x[3] + x[4] * x[5]);
}

static void gum_h1(void **state) {
    (void)state;
    /* the difference: readings 5.8 (24), comparator's random 3.9 (5), systematic 6.7 (8) */
    double ud = sqrt(5.8 * 5.8 + 3.9 * 3.9 + 6.7 * 6.7);
    double nd = pow(ud, 4) / (pow(5.8, 4) / 24 + pow(3.9, 4) / 5 + pow(6.7, 4) / 8);
    assert_close(ud, 9.7, 0.05); /* printed to 0.1 nm */
    assert_close(nd, 25.6, 0.2); /* printed 25.6, from the rounded u(d) */
    const sw_input inputs[] = {
        {"standard", 50000623, 25, 18},
        {"difference", 215, ud, nd},
        {"difference of coefficients", 0, 1e-6 / sqrt(3), 50},
        {"mean temperature", -0.1, 0.41, INFINITY},
        {"coefficient", 11.5e-6, 1.2e-6, INFINITY},
        {"difference of temperatures", 0, 0.05 / sqrt(3), 2},
    };
    sw_propagated found;
    assert_ok(sw_propagate(end_gauge, NULL, inputs, 6, NULL, &found, NULL), NULL);
    assert_close(found.value, 50000838, 0.5);
    assert_close(found.u, 31.66, 0.05);     /* 32 nm printed; 31.66 from the same inputs */
    assert_close(found.freedom, 16.7, 0.1); /* printed 16.7, used as 16 */
    double factor = sw_coverage_factor(found.freedom, 0.99);
    assert_close(factor, 2.92, 0.005);       /* printed */
    assert_close(factor * found.u, 93, 0.9); /* printed 93 nm from the rounded 32 */
}

static double resistance(const double *x, const void *user) {
    (void)user;
    return x[0] / x[1] * cos(x[2]);
}
static double reactance(const double *x, const void *user) {
    (void)user;
    return x[0] / x[1] * sin(x[2]);
}
static double impedance(const double *x, const void *user) {
    (void)user;
    return x[0] / x[1];
}

/* JCGM 102, 6.2.1: of two results of the same three inputs, by their sensitivities. */
static double correlation(const sw_propagated *a, const sw_propagated *b, const sw_input *inputs,
                          const double *r) {
    double sum = 0;
    for (size_t i = 0; i < 3; i++)
        for (size_t k = 0; k < 3; k++)
            sum += a->sensitivity[i] * inputs[i].u * r[3 * i + k] * b->sensitivity[k] * inputs[k].u;
    return sum / (a->u * b->u);
}

/* H.2: R, X and Z from voltage, current and phase, read together five times: the inputs are
 * correlated. The five sets (from memory) reproduce the printed means and uncertainties. */
static void gum_h2(void **state) {
    (void)state;
    static const double VOLTS[] = {5.007, 4.994, 5.005, 4.990, 4.999};
    static const double AMPS[] = {19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3};
    static const double ANGLES[] = {1.0456, 1.0438, 1.0468, 1.0428, 1.0433};
    sw_input inputs[] = {sw_mean_of(VOLTS, 5), sw_mean_of(AMPS, 5), sw_mean_of(ANGLES, 5)};
    assert_close(inputs[0].value, 4.9990, 5e-5);
    assert_close(inputs[0].u, 0.0032, 5e-5);
    assert_close(inputs[1].value, 19.6610e-3, 5e-8);
    assert_close(inputs[1].u, 0.0095e-3, 5e-8);
    assert_close(inputs[2].value, 1.04446, 5e-6);
    assert_close(inputs[2].u, 0.00075, 5e-6);
    static const double R[] = {1, -0.355, 0.858, -0.355, 1, -0.645, 0.858, -0.645, 1};
    sw_propagated r;
    sw_propagated x;
    sw_propagated z;
    assert_ok(sw_propagate(resistance, NULL, inputs, 3, R, &r, NULL), NULL);
    assert_ok(sw_propagate(reactance, NULL, inputs, 3, R, &x, NULL), NULL);
    assert_ok(sw_propagate(impedance, NULL, inputs, 3, R, &z, NULL), NULL);
    assert_close(r.value, 127.732, 0.0005);
    assert_close(x.value, 219.847, 0.0005);
    assert_close(z.value, 254.260, 0.0005);
    assert_close(r.u, 0.071, 0.0005);
    assert_close(x.u, 0.295, 0.0015); /* 0.2956 from the correlations as printed, to 0.001 */
    assert_close(z.u, 0.236, 0.0015);
    /* the printed r are rounded to 0.001, which moves these by a few thousandths */
    assert_close(correlation(&r, &x, inputs, R), -0.588, 0.005);
    assert_close(correlation(&r, &z, inputs, R), -0.485, 0.005);
    assert_close(correlation(&x, &z, inputs, R), 0.993, 0.002);
    sw_propagated alone;
    assert_ok(sw_propagate(resistance, NULL, inputs, 3, NULL, &alone, NULL), NULL);
    assert_close(alone.u, 0.195, 0.001); /* what ignoring the correlations would give */
}

/* Two-sided 95 % points of Student's t: JCGM 100 table G.2. */
static void student(void **state) {
    (void)state;
    static const double TABLE[][2] = {{1, 12.71}, {2, 4.30},  {3, 3.18},  {5, 2.57},
                                      {8, 2.31},  {16, 2.12}, {20, 2.09}, {50, 2.01}};
    for (size_t i = 0; i < sizeof TABLE / sizeof *TABLE; i++)
        assert_close(sw_coverage_factor(TABLE[i][0] + 0.7, 0.95), TABLE[i][1], 0.005);
    assert_close(sw_coverage_factor(INFINITY, 0.95), 1.960, 0.0005);
}

static void refuses(void **state) {
    (void)state;
    const sw_input inputs[] = {{"volts", 1, 0.1, 5}, {"amps", 0, 0.1, 5}, {"angle", 0, 0, 5}};
    sw_propagated found;
    assert_int_equal(sw_propagate(impedance, NULL, inputs, 3, NULL, &found, NULL), SW_VALUE);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(gum_h1),
        cmocka_unit_test(gum_h2),
        cmocka_unit_test(student),
        cmocka_unit_test(refuses),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
