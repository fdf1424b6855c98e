/* Motors turned slowly by hand into a scope that passes steady voltages: 1 to 4 Hz electrical, an
 * uneven pace, cogging that makes the shaft jerk, and rest before and after. The truth of a stretch
 * is the turns that the shaft made in it: the same motor is simulated up to its beginning and up to
 * its end. */
#include "tests/support.h"

#include "probes/simulate/simulate.h"
#include "src/measure/measure.h"

#include <gsl/gsl_math.h>
#include <math.h>
#include <stdio.h>

enum { SEEDS = 5 };

static sw_sim_spec hand_spec(const char *family, unsigned long seed, double hz, double seconds) {
    sw_sim_spec spec;
    sw_error error = {0};
    assert_ok(sw_sim_family(family, seed, &spec, &error), &error);
    sw_sim_turn_by_hand(&spec, 60.0 * hz / spec.motor.pole_pairs);
    spec.spin.lead_in_s = 0.5;
    spec.spin.seconds = seconds;
    spec.spin.release_s = 0.7 * seconds;
    spec.spin.coast = SW_SIM_COAST_DRILL;
    spec.front.scope = true;
    spec.front.channels = 1;
    spec.front.rate_hz = 2000;
    spec.front.low_cut_hz = 0;
    spec.front.volts_per_unit = 0;
    spec.front.level = 0.5;
    return spec;
}

static double cycles_until(sw_sim_spec spec, double time_s) {
    sw_waveform waveform = {0};
    sw_sim_truth truth = {0};
    sw_error error = {0};
    spec.spin.seconds = time_s;
    if (time_s < 0.01)
        return 0.0;
    assert_ok(sw_simulate(&spec, &waveform, &truth, &error), &error);
    sw_waveform_free(&waveform);
    return truth.turns * spec.motor.pole_pairs;
}

static void measure(const sw_sim_spec *spec, sw_motor *motor, sw_sim_truth *truth) {
    static const sw_sim_calibration calibration = {0.002, 0.03, 20e-6};
    sw_waveform waveform = {0};
    sw_error error = {0};
    assert_ok(sw_simulate(spec, &waveform, truth, &error), &error);
    sw_measure_request request = sw_measure_default();
    request.profile = sw_sim_profile(truth, &calibration);
    assert_ok(sw_measure(&waveform, truth->clipped, &request, motor, &error), &error);
    sw_waveform_free(&waveform);
}

typedef struct tally {
    int motors;
    int close; /* within 3 % */
    int covered;
    int volts_covered;
} tally;

static void one(const char *family, unsigned long seed, double hz, tally *t) {
    sw_sim_spec spec = hand_spec(family, seed, hz, 10.0);
    sw_motor motor;
    sw_sim_truth truth;
    measure(&spec, &motor, &truth);
    assert_int_equal(motor.kind, SW_MAGNET_AC);
    assert_true(sw_quantity_known(motor.electrical_frequency));
    double length_s = motor.stretch_to_s - motor.stretch_from_s;
    double cycles =
        cycles_until(spec, motor.stretch_to_s) - cycles_until(spec, motor.stretch_from_s);
    double expected = cycles / length_s;
    double off = motor.electrical_frequency.value - expected;
    double volts_off = motor.volts_per_hertz.value - truth.volts_per_hertz;
    /* the start of a cycle is uncertain by some hundredths of a cycle at each end, see steady.c */
    assert_true(cycles > 1.9);
    assert_close(motor.electrical_frequency.value, expected, 0.08 * expected);
    t->motors++;
    t->close += fabs(off) < 0.03 * expected;
    t->covered += fabs(off) <= 2.0 * motor.electrical_frequency.u;
    t->volts_covered += fabs(volts_off) <= 2.0 * motor.volts_per_hertz.u;
}

static void slow_turning_is_followed(void **state) {
    (void)state;
    static const char *const families[] = {"pump-6", "hub-20", "drum-48", "drum-56"};
    static const double hz[] = {1.0, 1.5, 4.0};
    tally t = {0};
    for (size_t f = 0; f < sizeof families / sizeof families[0]; f++)
        for (size_t h = 0; h < sizeof hz / sizeof hz[0]; h++)
            for (unsigned long seed = 1; seed <= SEEDS; seed++)
                one(families[f], seed, hz[h], &t);
    printf("%d motors by hand (seeds 1 to %d): frequency within 3 %% %d, within k = 2 %d, volts "
           "per hertz within k = 2 %d\n",
           t.motors, SEEDS, t.close, t.covered, t.volts_covered);
    /* 95.45 % less 3.5 binomial standard deviations of 60 */
    double least = (0.9545 - 3.5 * sqrt(0.9545 * 0.0455 / t.motors)) * t.motors;
    assert_true(t.covered >= least);
    assert_true(t.volts_covered >= least);
    assert_true(t.close >= 0.95 * t.motors);
}

/* A run of less than two cycles tells no frequency, whatever is in it. */
static void less_than_two_cycles_tell_nothing(void **state) {
    (void)state;
    for (unsigned long seed = 1; seed <= SEEDS; seed++) {
        sw_sim_spec spec = hand_spec("drum-24", seed, 0.5, 5.0);
        sw_motor motor;
        sw_sim_truth truth;
        measure(&spec, &motor, &truth);
        assert_true(truth.turns * spec.motor.pole_pairs < 1.9);
        assert_false(sw_quantity_known(motor.electrical_frequency));
        assert_false(sw_quantity_known(motor.volts_per_hertz));
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(slow_turning_is_followed),
        cmocka_unit_test(less_than_two_cycles_tell_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
