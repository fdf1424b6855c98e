/* Harmonic amplitudes and frequency of a recording against SciPy on the same samples: its
 * least_squares fits frequency, offset and harmonics of a steady wave, its get_window gives the
 * Hann window's coherent gain and noise bandwidth that the demodulation relies on. Skipped, and
 * says so, where python3 has no SciPy. */
#include "tests/support.h"

#include "src/measure/measure.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { SAMPLES = 4000, SKIPPED = 77 };

static const double rate_hz = 5000.0;
static const char *const python = "/usr/bin/python3";

static const char *const script =
    "import sys, numpy as np\n"
    "from scipy.optimize import least_squares\n"
    "from scipy.signal import get_window\n"
    "x = np.loadtxt(sys.argv[1]); r = float(sys.argv[2]); t = np.arange(len(x)) / r\n"
    "def cols(f): return np.array([np.ones_like(t)] + [g(2*np.pi*k*f*t) for k in range(1, 8)\n"
    "                              for g in (np.cos, np.sin)]).T\n"
    "def res(p):\n"
    "    c = cols(p[0]); return x - c @ np.linalg.lstsq(c, x, rcond=None)[0]\n"
    "f = least_squares(res, [float(sys.argv[3])], x_scale=1e-3, xtol=1e-15, ftol=1e-15,\n"
    "                  gtol=1e-15, diff_step=1e-7).x[0]\n"
    "c = np.linalg.lstsq(cols(f), x, rcond=None)[0]\n"
    "a = np.hypot(c[1::2], c[2::2]); w = get_window('hann', 256)\n"
    "print('%.9f %.9f %.9f %.9f %.9f %.9f' % (f, a[0], a[2] / a[0], a[4] / a[0], w.mean(),\n"
    "      len(w) * (w**2).sum() / w.sum()**2))\n";

static void write_inputs(const char *directory, const sw_waveform *waveform) {
    char path[600];
    snprintf(path, sizeof path, "%s/fit.py", directory);
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    fputs(script, file);
    fclose(file);
    snprintf(path, sizeof path, "%s/wave.txt", directory);
    file = fopen(path, "w");
    assert_non_null(file);
    for (size_t i = 0; i < waveform->frames; i++)
        fprintf(file, "%.17g\n", waveform->channel[0].samples[i]);
    fclose(file);
}

static sw_waveform recording(void) {
    sw_waveform waveform;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    assert_ok(sw_waveform_new(1, SAMPLES, rate_hz, &waveform, NULL), NULL);
    waveform.in_volts = 1;
    waveform.coupling = SW_COUPLING_DC;
    for (size_t i = 0; i < SAMPLES; i++) {
        double x = 2.0 * M_PI * 47.3 * (double)i / rate_hz + 0.4;
        waveform.channel[0].samples[i] = 3.0 * cos(x) + 0.36 * cos(3.0 * x + 0.7) +
                                         0.15 * cos(5.0 * x - 1.0) + gsl_ran_gaussian(random, 0.05);
    }
    gsl_rng_free(random);
    return waveform;
}

static void same_as_scipy(void **state) {
    (void)state;
    char directory[256];
    char command[1200];
    char out[400];
    support_temporary_directory(directory, sizeof directory);
    sw_waveform waveform = recording();
    write_inputs(directory, &waveform);
    snprintf(command, sizeof command, "%s %s/fit.py %s/wave.txt %g 47.3", python, directory,
             directory, rate_hz);
    assert_int_equal(support_run(command, out, sizeof out, NULL, 0), 0);
    support_remove_tree(directory);
    double value[6];
    char *at = out;
    for (int i = 0; i < 6; i++)
        value[i] = strtod(at, &at);
    sw_measure_request request = sw_measure_default();
    sw_motor motor;
    sw_error error = {0};
    assert_ok(sw_measure(&waveform, 0, &request, &motor, &error), &error);
    sw_waveform_free(&waveform);
    /* the same estimator: apart only by which insignificant harmonics are fitted along, a few
     * per cent of the standard uncertainty; 0.3 of it allowed */
    assert_close(motor.electrical_frequency.value, value[0], 0.3 * motor.electrical_frequency.u);
    /* mean over cycles (all but one) against the fit to all samples: two standard errors of
     * amplitude, sigma sqrt(2/N) = 0.0011 V, over the difference of the two sets */
    double peak = motor.volts_per_hertz.value * M_SQRT2 * motor.electrical_frequency.value;
    assert_close(peak, value[1], 0.0023);
    double third = NAN;
    double fifth = NAN;
    for (size_t i = 0; i < motor.harmonics; i++) {
        third = motor.harmonic[i].order == 3 ? motor.harmonic[i].relative : third;
        fifth = motor.harmonic[i].order == 5 ? motor.harmonic[i].relative : fifth;
    }
    assert_close(third, value[2], 0.0008);
    assert_close(fifth, value[3], 0.0008);
    /* coherent gain 1/2 and noise bandwidth 3/2 of the Hann window (F. J. Harris, Proc. IEEE 66,
     * 1978, table I) */
    assert_close(value[4], 0.5, 1e-9);
    assert_close(value[5], 1.5, 1e-9);
}

int main(void) {
    char command[200];
    snprintf(command, sizeof command, "%s -c 'import scipy.optimize'", python);
    if (support_run(command, NULL, 0, NULL, 0) != 0) {
        printf("skipped: %s has no SciPy (package python3-scipy)\n", python);
        return SKIPPED;
    }
    const struct CMUnitTest tests[] = {cmocka_unit_test(same_as_scipy)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
