#include "tests/support.h"

#include "src/measure/signal/signal.h"

#include <gsl/gsl_math.h>
#include <math.h>

static sw_signal sine(double rate_hz, size_t count, double hz) {
    sw_signal s;
    assert_ok(sw_signal_new(rate_hz, count, &s, NULL), NULL);
    for (size_t i = 0; i < count; i++)
        s.value[i] = cos(2.0 * M_PI * hz * (double)i / rate_hz);
    return s;
}

/* Stop band and pass-band ripple of the Kaiser window with beta 8: 80 dB, so 2e-4. */
static const double ripple = 3e-4;

static void values_between_samples(void **state) {
    (void)state;
    sw_kernel *kernel;
    assert_ok(sw_kernel_new(&kernel, NULL), NULL);
    sw_signal s = sine(1000.0, 2000, 60.0);
    for (int i = 0; i < 50; i++) {
        double t = 0.8 + 0.00137 * i;
        assert_close(sw_signal_at(&s, kernel, t, 100.0), cos(2.0 * M_PI * 60.0 * t), ripple);
        /* above the cutoff nothing is left */
        assert_close(sw_signal_at(&s, kernel, t, 40.0), 0.0, ripple);
    }
    assert_close(sw_signal_at(&s, kernel, -5.0, 100.0), 0.0, 0.0);
    sw_signal_free(&s);
    sw_kernel_free(kernel);
}

static void halving_keeps_the_wave(void **state) {
    (void)state;
    sw_kernel *kernel;
    assert_ok(sw_kernel_new(&kernel, NULL), NULL);
    sw_signal s = sine(1000.0, 2001, 70.0);
    sw_signal half;
    assert_ok(sw_signal_halve(&s, kernel, &half, NULL), NULL);
    assert_close(half.rate_hz, 500.0, 0.0);
    assert_int_equal(half.count, 1001);
    for (size_t i = 30; i < 970; i++)
        assert_close(half.value[i], s.value[2 * i], ripple);
    sw_signal_free(&s);
    sw_signal_free(&half);
    sw_kernel_free(kernel);
}

/* |H| = 1/sqrt(1 + (fc/f)^2) with its phase is taken out down to a lower cut. */
static void low_cut_moves(void **state) {
    (void)state;
    double rate = 10000.0;
    double hz = 20.0;
    double cut = 8.0;
    double left = 0.4;
    sw_signal s;
    assert_ok(sw_signal_new(rate, 40000, &s, NULL), NULL);
    double gain = 1.0 / sqrt(1.0 + pow(cut / hz, 2.0));
    double lead = atan2(cut, hz);
    for (size_t i = 0; i < s.count; i++)
        s.value[i] = gain * cos(2.0 * M_PI * hz * (double)i / rate + lead);
    sw_signal_move_low_cut(&s, cut, left);
    double gain_left = 1.0 / sqrt(1.0 + pow(left / hz, 2.0));
    double lead_left = atan2(left, hz);
    /* the transient of the 0.4 Hz cut decays with 0.4 s: after 3.5 s exp(-9) of it is left */
    for (size_t i = 35000; i < s.count; i += 37)
        assert_close(s.value[i], gain_left * cos(2.0 * M_PI * hz * (double)i / rate + lead_left),
                     1e-3);
    sw_signal_free(&s);
}

static void centring(void **state) {
    (void)state;
    sw_signal s = sine(1000.0, 1000, 50.0);
    for (size_t i = 0; i < s.count; i++)
        s.value[i] += 3.0;
    assert_close(sw_signal_centre(&s), 3.0, 1e-12);
    assert_close(sw_signal_rms(&s), M_SQRT1_2, 1e-12);
    sw_signal_free(&s);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(values_between_samples),
        cmocka_unit_test(halving_keeps_the_wave),
        cmocka_unit_test(low_cut_moves),
        cmocka_unit_test(centring),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
