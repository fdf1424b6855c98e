/* Following the frequency: spectra, path and refinement together, and the track's arithmetic. */
#include "tests/support.h"

#include "tests/measure/wave.h"

#include "src/measure/path.h"
#include "src/measure/refine.h"
#include "src/measure/spectra.h"

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
        cmocka_unit_test(ramp_is_followed),      cmocka_unit_test(no_octave_error),
        cmocka_unit_test(few_cycles_are_enough), cmocka_unit_test(noise_is_silent),
        cmocka_unit_test(track_arithmetic),      cmocka_unit_test(too_short_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
