/* Following the frequency: spectra, path and refinement together, and the track's arithmetic. */
#include "tests/support.h"

#include "tests/measure/wave.h"

#include "src/measure/signal/path.h"
#include "src/measure/signal/refine.h"
#include "src/measure/signal/spectra.h"

#include <string.h>

static sw_track follow(const wave *w, sw_path *path) {
    sw_kernel *kernel;
    sw_signal s;
    sw_spectra spectra;
    sw_track track = {0};
    assert_ok(sw_kernel_new(&kernel, NULL), NULL);
    assert_ok(sw_signal_new(w->rate_hz, (size_t)(w->seconds * w->rate_hz), &s, NULL), NULL);
    wave_fill(w, s.value, s.count);
    assert_ok(sw_spectra_new(&s, kernel, &spectra, NULL), NULL);
    assert_ok(sw_path_find(&spectra, path, NULL), NULL);
    assert_ok(sw_refine(path, &s, kernel, &track, NULL), NULL);
    sw_spectra_free(&spectra);
    sw_signal_free(&s);
    sw_kernel_free(kernel);
    return track;
}

static void expect_frequency(const wave *w, const sw_track *track, double share) {
    size_t hint = 0;
    for (size_t i = 4; i + 4 < track->count; i++) {
        double f = sw_track_frequency(track, track->knot[i].cycles, &hint);
        assert_close(f, wave_hz(w, track->knot[i].time_s), share * f);
    }
}

/* 200 rpm/s at 24 pole pairs is 80 Hz/s. The corner where the ramp ends is rounded over the eight
 * cycles of a smoothing window: 1 %. */
static void ramp_is_followed(void **state) {
    (void)state;
    wave w = {.rate_hz = 24000,
              .seconds = 4,
              .start_hz = 1,
              .ramp_hz_per_s = 80,
              .hold_hz = 200,
              .flux = 0.01,
              .noise = 0.02,
              .seed = 3};
    w.relative[3] = 0.1;
    sw_path path;
    sw_track track = follow(&w, &path);
    assert_true(track.count > 900);
    expect_frequency(&w, &track, 0.01);
    /* begins within the first fifth of a second and goes on to the end */
    assert_true(track.knot[0].time_s < 0.25);
    assert_true(track.knot[track.count - 1].time_s > 3.95);
    sw_track_free(&track);
    sw_path_free(&path);
}

/* The same in numbers: error of the frequency along the steady part of the ramp, away from the ends
 * by the eight cycles of a smoothing window. Under even acceleration the angle is a parabola and
 * the local parabolas have no bias; what is left is noise. A knot's slope from 2 x 8 looks of
 * tricube weight, each a Hann window of two cycles with the angle variance 0.75 S f/A^2 (S = 2
 * sigma^2/rate, A = flux f), has the standard deviation sqrt(12 x that/L^3)/2 pi cycles a cycle, L
 * some six independent looks. Half of it more covers what the weights lose. */
static void error_along_a_ramp(void **state) {
    (void)state;
    static const double slopes[] = {80, -80};
    for (size_t i = 0; i < 2; i++) {
        wave w = {.rate_hz = 48000,
                  .seconds = 2.6,
                  .start_hz = 20,
                  .ramp_hz_per_s = 80,
                  .hold_hz = 220,
                  .flux = 0.01,
                  .noise = 0.02,
                  .seed = 11};
        if (slopes[i] < 0) {
            w.start_hz = 220;
            w.fall_s = 0.2;
        }
        w.relative[5] = 0.05;
        sw_path path;
        sw_track track = follow(&w, &path);
        double squares = 0.0;
        double sum = 0.0;
        double found = 0.0;
        double worst = 0.0;
        for (size_t k = 16; k + 16 < track.count; k++) {
            double t = track.knot[k].time_s;
            double f = wave_hz(&w, t);
            double lag_s = 10.0 / f;
            if (f < 40.0 || f > 200.0 || t < w.fall_s + lag_s || t > 2.35)
                continue;
            double amplitude = w.flux * f;
            double angle_u = sqrt(0.75 * 2.0 * w.noise * w.noise / w.rate_hz * f) / amplitude;
            double u = sqrt(12.0 / (6.0 * 6.0 * 6.0)) * angle_u / (2.0 * M_PI) * f;
            double off = (track.knot[k].frequency_hz - f) / u;
            squares += off * off;
            sum += off;
            found += 1.0;
            worst = fmax(worst, fabs(track.knot[k].frequency_hz - f));
        }
        printf("%+.0f Hz/s: %g cycles, rms error %.2f of the expected, mean %+.2f, worst %.4f Hz "
               "(seed %lu)\n",
               slopes[i], found, sqrt(squares / found), sum / found, worst, w.seed);
        assert_true(found > 150);
        assert_true(sqrt(squares / found) < 1.5);
        assert_close(sum / found, 0.0, 0.6);
        sw_track_free(&track);
        sw_path_free(&path);
    }
}

/* Strong even harmonics and a pattern every second cycle must not lead to an octave error. */
static void no_octave_error(void **state) {
    (void)state;
    wave w = {.rate_hz = 8000,
              .seconds = 2,
              .hold_hz = 61,
              .flux = 0.02,
              .noise = 0.01,
              .pattern = 2,
              .pattern_share = 0.1};
    w.relative[2] = 0.6;
    w.relative[3] = 0.3;
    sw_path path;
    sw_track track = follow(&w, &path);
    expect_frequency(&w, &track, 0.002);
    sw_track_free(&track);
    sw_path_free(&path);
}

static void few_cycles_are_enough(void **state) {
    (void)state;
    wave w = {.rate_hz = 25000, .seconds = 0.1, .hold_hz = 61.7, .flux = 0.06, .noise = 0.02};
    sw_path path;
    sw_track track = follow(&w, &path);
    assert_true(track.count >= 8);
    expect_frequency(&w, &track, 0.01);
    sw_track_free(&track);
    sw_path_free(&path);
}

static void noise_is_silent(void **state) {
    (void)state;
    wave w = {.rate_hz = 8000, .seconds = 3, .hold_hz = 50, .flux = 0, .noise = 0.1, .seed = 9};
    sw_path path;
    sw_track track = follow(&w, &path);
    assert_int_equal(path.count, 0);
    assert_int_equal(track.count, 0);
    sw_track_free(&track);
    sw_path_free(&path);
}

static void track_arithmetic(void **state) {
    (void)state;
    /* f = 10 + 2 t: cycles = 10 t + t^2 */
    sw_track track;
    assert_ok(sw_track_new(41, &track, NULL), NULL);
    for (size_t i = 0; i < track.count; i++) {
        double t = 0.1 * (double)i;
        track.knot[i] = (sw_knot){10.0 * t + t * t, t, 10.0 + 2.0 * t};
    }
    size_t hint = 0;
    for (int i = 1; i < 79; i++) {
        double t = 0.05 * i;
        double cycles = 10.0 * t + t * t;
        /* Hermite over one cycle of a square-root law: fourth derivative 15 f'^3/f^7 / 384 */
        assert_close(sw_track_time(&track, cycles, &hint), t, 1e-6);
        assert_close(sw_track_frequency(&track, cycles, &hint), 10.0 + 2.0 * t, 1e-3);
        assert_close(sw_track_cycles(&track, t), cycles, 1e-5);
    }
    assert_close(sw_track_time(&track, -5.0, &hint), -0.5, 1e-12);
    sw_track_free(&track);
}

static void too_short_is_told(void **state) {
    (void)state;
    sw_signal s;
    sw_spectra spectra;
    sw_kernel *kernel;
    sw_error error = {0};
    assert_ok(sw_kernel_new(&kernel, NULL), NULL);
    assert_ok(sw_signal_new(100.0, 5, &s, NULL), NULL);
    assert_int_equal(sw_spectra_new(&s, kernel, &spectra, &error), SW_TOO_SHORT);
    assert_non_null(strstr(error.message, "5 samples"));
    sw_signal_free(&s);
    sw_kernel_free(kernel);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ramp_is_followed),  cmocka_unit_test(error_along_a_ramp),
        cmocka_unit_test(no_octave_error),   cmocka_unit_test(few_cycles_are_enough),
        cmocka_unit_test(noise_is_silent),   cmocka_unit_test(track_arithmetic),
        cmocka_unit_test(too_short_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
