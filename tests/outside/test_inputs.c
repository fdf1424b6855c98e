/* Sound inputs and dividers against published numbers. */
#include "probes/divider.h"
#include "tests/support.h"

#include <math.h>

/* IEC 60063: the E24 members between 10 and 100, by the divider's own reader. */
static void e24(void **state) {
    (void)state;
    static const double E24[] = {10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30,
                                 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91};
    sw_preferred series;
    sw_error error = {0};
    assert_ok(sw_preferred_read(TEST_REFERENCE_DIR, "E24", &series, &error), &error);
    assert_int_equal(series.count, 24);
    assert_close(series.tolerance, 0.05, 1e-12);
    for (size_t i = 0; i < 24; i++)
        assert_close(sw_preferred_below(&series, 1000 * E24[i]), 1000 * E24[i], 1e-6);
}

/* 1/(2 pi R C): 1 uF into 20 kohm is 8 Hz (textbook rule, from memory). */
static void coupling_corner(void **state) {
    (void)state;
    assert_close(sw_divider_corner_hz(20e3, 1), 8, 0.05);
}

/* Consumer line level: -10 dBV, 10^(-10/20) V = 0.316 V rms (from memory). A designed divider puts
 * the largest volts above it and below full scale. */
static void line_level(void **state) {
    (void)state;
    double nominal_v = pow(10, -10.0 / 20);
    assert_close(nominal_v, 0.316, 0.0005);
    sw_divider divider;
    sw_error error = {0};
    sw_divider_request request = {.volts = sw_quantity_of(60, 0, "V"),
                                  .input = SW_INPUT_LINE,
                                  .tolerance = NAN,
                                  .capacitor_uf = NAN,
                                  .coil_ohm = NAN};
    assert_ok(sw_divider_design(TEST_REFERENCE_DIR, &request, &divider, &error), &error);
    double at_input_v = 60 * sqrt(2) / divider.ratio.value;
    assert_true(at_input_v > nominal_v * sqrt(2));
    assert_true(at_input_v < divider.full_scale.value);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(e24),
        cmocka_unit_test(coupling_corner),
        cmocka_unit_test(line_level),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
