/* Motors without magnets whose little voltage is mostly hum and noise: nothing worth wiring up. */
#include "tests/support.h"

#include "probes/simulate/simulate.h"
#include "src/measure/measure.h"
#include "tests/measure/wave.h"

static sw_motor simulated(const char *family, unsigned long seed) {
    static const sw_sim_calibration HONEST = {0.002, 0.03, 20e-6};
    sw_sim_spec spec;
    sw_sim_truth truth;
    sw_waveform waveform;
    sw_motor motor;
    sw_error error;
    assert_ok(sw_sim_family(family, seed, &spec, &error), &error);
    assert_ok(sw_simulate(&spec, &waveform, &truth, &error), &error);
    sw_measure_request request = sw_measure_default();
    request.profile = sw_sim_profile(&truth, &HONEST);
    request.evidence.about_rpm = 430;
    assert_ok(sw_measure(&waveform, truth.clipped, &request, &motor, &error), &error);
    sw_waveform_free(&waveform);
    return motor;
}

/* These were taken for a recorder that levels: volts that do not follow the speed. */
static void hum_is_no_automatic_level(void **state) {
    (void)state;
    static const struct {
        const char *family;
        unsigned long seed;
    } CASES[] = {{NULL, 21698}, {"no-magnets", 1017}};
    for (size_t i = 0; i < sizeof CASES / sizeof *CASES; i++) {
        sw_motor motor = simulated(CASES[i].family, CASES[i].seed);
        assert_int_equal(motor.kind, SW_NO_GENERATOR);
        assert_false(sw_motor_warned(&motor, SW_WARN_AUTOMATIC_LEVEL));
        assert_int_equal(motor.pole_pairs.candidates, 0);
    }
}

/* 0.4 Hz of 0.1 V behind the input's low cut of 3 Hz. */
static sw_motor slow_swings(double seconds) {
    wave w = {.rate_hz = 2000,
              .seconds = seconds,
              .hold_hz = 0.4,
              .flux = 0.1 * 3 / 0.4 / 0.4,
              .low_cut_hz = 3,
              .noise = 0.01};
    sw_waveform waveform = wave_record(&w, NULL, 1);
    sw_measure_request request = sw_measure_default();
    request.profile.low_cut_hz = sw_quantity_of(3, 0.03, "Hz");
    request.evidence.about_rpm = 610;
    sw_motor motor;
    sw_error error;
    assert_ok(sw_measure(&waveform, 0, &request, &motor, &error), &error);
    sw_waveform_free(&waveform);
    return motor;
}

/* A few swings are the input's own drift; many alike are a shaft that turns slowly. */
static void drift_is_no_motor(void **state) {
    (void)state;
    sw_motor motor = slow_swings(15);
    assert_int_equal(motor.kind, SW_NO_GENERATOR);
    assert_true(sw_motor_warned(&motor, SW_WARN_FREEWHEEL));
    assert_int_equal(motor.pole_pairs.candidates, 0);
    assert_int_equal(slow_swings(40).kind, SW_MAGNET_AC);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hum_is_no_automatic_level),
        cmocka_unit_test(drift_is_no_motor),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
