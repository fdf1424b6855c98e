/* The divider: parts that can be bought, and numbers that agree with each other and with circuit
 * theory, over many voltages and inputs. */
#include "probes/divider.h"
#include "tests/support.h"

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <string.h>

static const unsigned long SEED = 20240612;

static sw_divider_request plain(double volts, sw_input_kind input) {
    return (sw_divider_request){.volts = sw_quantity_of(volts, NAN, "V"),
                                .input = input,
                                .impedance = sw_quantity_unknown(),
                                .full_scale = sw_quantity_unknown(),
                                .tolerance = NAN,
                                .capacitor_uf = NAN,
                                .coil_ohm = NAN};
}

static double parallel(double a, double b) {
    return 1 / (1 / a + 1 / b);
}

static void is_preferred(const char *name, double value) {
    sw_preferred series;
    sw_error error = {0};
    assert_ok(sw_preferred_read(TEST_REFERENCE_DIR, name, &series, &error), &error);
    assert_close(sw_preferred_below(&series, value), value, 1e-9 * value);
}

/* What is promised holds for every voltage and input. */
static void designs_hold_their_promises(void **state) {
    (void)state;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, SEED);
    print_message("seed %lu\n", SEED);
    for (int i = 0; i < 300; i++) {
        double volts = exp(gsl_ran_flat(random, log(0.5), log(900)));
        sw_divider_request request = plain(volts, (sw_input_kind)gsl_rng_uniform_int(random, 3));
        sw_divider d;
        sw_error error = {0};
        assert_ok(sw_divider_design(TEST_REFERENCE_DIR, &request, &d, &error), &error);
        is_preferred("E24", d.part_ohm);
        is_preferred("E24", d.bottom_ohm);
        assert_true(request.input == SW_INPUT_LINE ? d.capacitor_uf == 0 : d.capacitor_uf > 0);
        if (d.capacitor_uf > 0)
            is_preferred("E6", d.capacitor_uf);
        double bottom = parallel(d.bottom_ohm, d.impedance.value);
        double ratio = (d.parts * d.part_ohm + bottom) / bottom;
        assert_close(d.ratio.value, ratio, 1e-9 * ratio);
        assert_close(d.load_ohm, d.parts * d.part_ohm + bottom, 1e-6 * d.load_ohm);
        assert_close(d.level, d.peak_v / ratio / d.full_scale.value, 1e-9);
        assert_true(d.level <= 0.7 + 1e-9);
        /* The widest step of E24 is 13 to 15; below that only the least ratio of 2 lowers the
         * level. */
        assert_true(d.level > 0.7 * 13 / 15 - 1e-9 || d.peak_v / d.full_scale.value < 0.7 * 2.3);
        assert_true(d.part_w <= 0.125 && d.part_v <= 200);
        assert_true(d.clamp_share <= 1e-3);
        assert_true(d.linear_limit >= d.level);
        assert_true(d.own_low_cut_hz <= 0.1);
        assert_true(d.profile.volts_per_unit.u >= 0.2 * d.profile.volts_per_unit.value);
        assert_close(d.profile.volts_per_unit.value, ratio * d.full_scale.value, 1e-6 * volts);
        assert_false(d.profile.calibrated);
    }
    gsl_rng_free(random);
}

/* The stated u of the ratio against dividers drawn from their tolerances: the standard deviation
 * of 20,000 draws is known to 0.5 %; linearisation and the parts going together leave 5 %. */
static void the_ratio_is_as_sure_as_said(void **state) {
    (void)state;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, SEED);
    sw_divider_request request = plain(40, SW_INPUT_LINE);
    sw_divider d;
    sw_error error = {0};
    request.impedance = sw_quantity_of(20e3, 2e3, "ohm");
    assert_ok(sw_divider_design(TEST_REFERENCE_DIR, &request, &d, &error), &error);
    assert_int_equal(d.parts, 1);
    double sum = 0;
    double squares = 0;
    int count = 20000;
    for (int i = 0; i < count; i++) {
        double top = d.part_ohm * (1 + gsl_ran_flat(random, -d.tolerance, d.tolerance));
        double low = d.bottom_ohm * (1 + gsl_ran_flat(random, -d.tolerance, d.tolerance));
        double bottom = parallel(low, 20e3 + gsl_ran_gaussian(random, 2e3));
        double off = (top + bottom) / bottom - d.ratio.value;
        sum += off;
        squares += off * off;
    }
    double sd = sqrt(squares / count - sum * sum / count / count);
    assert_close(d.ratio.u, sd, 0.05 * sd);
    gsl_rng_free(random);
}

static void nothing_known_means_400_volts(void **state) {
    (void)state;
    sw_divider_request request = plain(1, SW_INPUT_LINE);
    sw_divider d;
    sw_error error = {0};
    request.volts = sw_quantity_unknown();
    assert_ok(sw_divider_design(TEST_REFERENCE_DIR, &request, &d, &error), &error);
    assert_close(d.volts, 400, 0);
    assert_true(d.warning[SW_DIVIDER_UNKNOWN_VOLTS]);
    assert_true(d.warning[SW_DIVIDER_OPEN_VOLTS]);
    assert_true(d.parts > 1);
}

static void warnings_stand_where_they_belong(void **state) {
    (void)state;
    sw_divider_request request = plain(20, SW_INPUT_LINE);
    sw_divider d;
    sw_error error = {0};
    assert_ok(sw_divider_design(TEST_REFERENCE_DIR, &request, &d, &error), &error);
    assert_true(d.warning[SW_DIVIDER_MAINS_ADAPTER] && d.warning[SW_DIVIDER_ONE_HAND]);
    assert_false(d.warning[SW_DIVIDER_OPEN_VOLTS] || d.warning[SW_DIVIDER_MICROPHONE_BIAS]);
    assert_false(d.warning[SW_DIVIDER_UNKNOWN_VOLTS] || d.warning[SW_DIVIDER_LOADING]);
    request.input = SW_INPUT_HEADSET;
    request.capacitor_uf = 1;
    request.coil_ohm = 2000;
    assert_ok(sw_divider_design(TEST_REFERENCE_DIR, &request, &d, &error), &error);
    assert_true(d.warning[SW_DIVIDER_MICROPHONE_BIAS] && d.warning[SW_DIVIDER_LOADING]);
    assert_true(d.warning[SW_DIVIDER_LOW_CUT]);
    /* 1 uF into 2 kohm and the divider's own 100 ohm. */
    assert_close(d.own_low_cut_hz, 1 / (2 * acos(-1) * 2095e-6), 0.5);
}

static void what_cannot_be_built_is_refused(void **state) {
    (void)state;
    sw_divider_request request = plain(1000, SW_INPUT_LINE);
    sw_divider d;
    sw_error error = {0};
    request.impedance = sw_quantity_of(1e7, NAN, "ohm");
    request.full_scale = sw_quantity_of(0.005, NAN, "V");
    assert_int_equal(sw_divider_design(TEST_REFERENCE_DIR, &request, &d, &error), SW_VALUE);
    assert_non_null(strstr(error.message, "1000 V"));
    assert_int_equal(sw_divider_design("/nowhere", &request, &d, &error), SW_NOT_FOUND);
}

static void preferred_numbers_above_and_below(void **state) {
    (void)state;
    sw_preferred e24;
    sw_error error = {0};
    assert_ok(sw_preferred_read(TEST_REFERENCE_DIR, "E24", &e24, &error), &error);
    assert_close(sw_preferred_below(&e24, 95), 91, 1e-9);
    assert_close(sw_preferred_above(&e24, 95), 100, 1e-9);
    assert_close(sw_preferred_above(&e24, 4700), 4700, 1e-6);
    assert_close(sw_preferred_below(&e24, 4700), 4700, 1e-6);
    assert_close(sw_preferred_below(&e24, 0.0245), 0.024, 1e-9);
    assert_int_equal(sw_preferred_read(TEST_REFERENCE_DIR, "E7", &e24, &error), SW_NOT_FOUND);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(designs_hold_their_promises),
        cmocka_unit_test(the_ratio_is_as_sure_as_said),
        cmocka_unit_test(nothing_known_means_400_volts),
        cmocka_unit_test(warnings_stand_where_they_belong),
        cmocka_unit_test(what_cannot_be_built_is_refused),
        cmocka_unit_test(preferred_numbers_above_and_below),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
