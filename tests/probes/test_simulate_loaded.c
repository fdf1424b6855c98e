/* A resistor across two lines of the simulated motor. */
#include "tests/support.h"

#include "probes/simulate/simulate.h"

#include <complex.h>
#include <gsl/gsl_math.h>
#include <math.h>

static sw_sim_spec drum(double load_ohm, double speed_rpm) {
    sw_sim_spec spec;
    assert_ok(sw_sim_family("drum-48", 3, &spec, NULL), NULL);
    sw_sim_idealise(&spec);
    spec.front.channels = 1;
    spec.motor.resistance_ohm = 9;
    spec.motor.inductance_h = 0.045;
    spec.spin.speed_rpm = speed_rpm;
    spec.front.load_ohm = load_ohm;
    return spec;
}

/* The fundamental, by projection over whole cycles once the pole has settled. */
static double complex fundamental(double load_ohm, double speed_rpm) {
    sw_sim_spec spec = drum(load_ohm, speed_rpm);
    sw_waveform waveform;
    assert_ok(sw_simulate(&spec, &waveform, NULL, NULL), NULL);
    double frequency_hz = speed_rpm / 60 * spec.motor.pole_pairs;
    double complex sum = 0;
    size_t from = waveform.frames / 2; /* one second, whole cycles, 100 time constants on */
    for (size_t i = from; i < waveform.frames; i++)
        sum += waveform.channel[0].samples[i] *
               cexp(-2 * M_PI * I * frequency_hz * (double)i / waveform.rate_hz);
    sw_waveform_free(&waveform);
    return 2 * sum / (double)(waveform.frames - from);
}

/* V / E = Rl / (Rl + R + i w L), amplitude and angle. */
static void divides(void **state) {
    (void)state;
    static const double CASES[][2] = {{20, 300}, {100, 600}, {5, 75}};
    for (size_t i = 0; i < sizeof CASES / sizeof *CASES; i++) {
        double load_ohm = CASES[i][0];
        double omega = 2 * M_PI * CASES[i][1] / 60 * 24;
        double complex expected = load_ohm / (load_ohm + 9 + I * omega * 0.045);
        double complex found = fundamental(load_ohm, CASES[i][1]) / fundamental(0, CASES[i][1]);
        /* the input is taken as straight between samples: (w T)^2 / 12 of the highest, 1e-4 */
        assert_close(creal(found), creal(expected), 2e-4);
        assert_close(cimag(found), cimag(expected), 2e-4);
    }
}

static void refuses(void **state) {
    (void)state;
    sw_waveform waveform;
    sw_error error;
    sw_sim_spec spec = drum(20, 300);
    spec.front.channels = 2;
    assert_int_equal(sw_simulate(&spec, &waveform, NULL, &error), SW_UNSUPPORTED);
    spec = drum(20, 300);
    spec.spin.coast = SW_SIM_COAST_FREE;
    spec.spin.release_s = 1;
    assert_int_equal(sw_simulate(&spec, &waveform, NULL, &error), SW_UNSUPPORTED);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(divides), cmocka_unit_test(refuses)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
