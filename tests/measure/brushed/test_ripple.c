/* The commutator's ripple of simulated brushed motors, and of a voltage made by hand. */
#include "tests/support.h"

#include "probes/simulate/simulate.h"
#include "src/measure/brushed/ripple.h"
#include "src/measure/measure.h"

#include <gsl/gsl_math.h>
#include <math.h>

/* 0.01 V/rpm, 600 rpm that wander by 5 %, 24 periods a turn of 2 %. */
static void made_by_hand(double sign, sw_ripple *ripple) {
    sw_error error;
    sw_signal volts;
    assert_ok(sw_signal_new(10000, 20000, &volts, &error), &error);
    for (size_t i = 0; i < volts.count; i++) {
        double t = (double)i / volts.rate_hz;
        double turns = 10 * t - 10 * 0.05 * cos(2 * M_PI * 0.7 * t) / (2 * M_PI * 0.7);
        double rpm = 600 * (1 + 0.05 * sin(2 * M_PI * 0.7 * t));
        volts.value[i] = sign * 0.01 * rpm * (1 + 0.02 * cos(2 * M_PI * 24 * turns));
    }
    assert_ok(sw_ripple_find(&volts, 0, 0, 2, sw_quantity_of(0.01, 1e-6, "V/rpm"), ripple, &error),
              &error);
    sw_signal_free(&volts);
}

static void test_wander_does_not_matter(void **state) {
    (void)state;
    for (int sign = -1; sign <= 1; sign += 2) {
        sw_ripple ripple;
        made_by_hand(sign, &ripple);
        assert_int_equal(ripple.per_turn, 24);
        /* a Hann window takes up to 15 % off a line between two bins */
        assert_close(ripple.relative, 0.02, 0.15 * 0.02);
    }
}

static void test_noise_has_none(void **state) {
    (void)state;
    sw_error error;
    sw_signal volts;
    sw_ripple ripple;
    unsigned long draw = 99;
    assert_ok(sw_signal_new(10000, 20000, &volts, &error), &error);
    for (size_t i = 0; i < volts.count; i++) {
        draw = (draw * 1103515245UL + 12345UL) % 2147483648UL;
        volts.value[i] = 6 + 0.1 * ((double)draw / 1073741824.0 - 1);
    }
    assert_ok(sw_ripple_find(&volts, 0, 0, 2, sw_quantity_of(0.01, 1e-6, "V/rpm"), &ripple, &error),
              &error);
    assert_int_equal(ripple.per_turn, 0);
    sw_signal_free(&volts);
}

/* Bars of simulated motors on a scope, speed from a mark on the shaft. A ripple that drowns may
 * stay unsaid, but none may be wrong. */
static void test_simulated(void **state) {
    (void)state;
    int right = 0;
    for (unsigned long seed = 1; seed <= 8; seed++) {
        sw_sim_spec spec;
        sw_error error;
        sw_waveform waveform;
        sw_sim_truth truth;
        sw_motor motor;
        sw_measure_request request = sw_measure_default();
        assert_ok(sw_sim_family(seed % 2 == 0 ? "brushed-2" : "brushed-4", seed, &spec, &error),
                  &error);
        spec.front.tach_marks = 1;
        spec.front.low_cut_hz = 0;
        spec.front.automatic_level = false;
        assert_ok(sw_simulate(&spec, &waveform, &truth, &error), &error);
        request.profile = sw_sim_profile(&truth, &(sw_sim_calibration){0.002, 0.03, 2e-5});
        request.tach_channel = 2;
        assert_ok(sw_measure(&waveform, 0, &request, &motor, &error), &error);
        sw_waveform_free(&waveform);
        assert_int_equal(motor.kind, SW_BRUSHED);
        print_message("%s %lu: ripple %d of %d, %.5f V/rpm of %.5f\n", spec.motor.family, seed,
                      motor.commutator_ripple, truth.ripple_per_turn, motor.voltage_constant.value,
                      truth.volts_per_rpm);
        if (motor.commutator_ripple > 0)
            assert_int_equal(motor.commutator_ripple, truth.ripple_per_turn);
        right += motor.commutator_ripple > 0;
        assert_close(motor.voltage_constant.value, truth.volts_per_rpm,
                     4 * motor.voltage_constant.u);
    }
    assert_true(right >= 3);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_wander_does_not_matter),
        cmocka_unit_test(test_noise_has_none),
        cmocka_unit_test(test_simulated),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
