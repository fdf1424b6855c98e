/* Recordings made of several files, differences, missing and clipped samples, thinning. */
#include "tests/support.h"

#include "probes/clean.h"
#include "probes/load.h"
#include "probes/recording.h"
#include "shared/constants.h"
#include "tests/probes/sound_maker.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void write_csv(const char *name, double start_s, double step_s, size_t rows, double gain) {
    FILE *file = fopen(support_at(name), "wb");
    assert_non_null(file);
    fprintf(file, "time (s),CH1 (V)\n");
    for (size_t i = 0; i < rows; i++)
        fprintf(file, "%.9f,%.4f\n", start_s + (double)i * step_s, gain * sin(0.2 * (double)i));
    fclose(file);
}

static sw_status load(const char *const *paths, size_t count, int plus, int minus,
                      sw_recording *recording, sw_error *error) {
    sw_recording_request request = {
        .paths = paths, .count = count, .difference_plus = plus, .difference_minus = minus};
    return sw_recording_load(&request, recording, error);
}

static void files_become_channels(void **state) {
    (void)state;
    write_csv("a.csv", -0.01, 1e-4, 200, 1);
    write_csv("b.csv", -0.01, 1e-4, 190, -0.5);
    const char *paths[] = {support_at("a.csv"), support_at("b.csv")};
    sw_recording recording;
    sw_error error = {0};
    assert_ok(load(paths, 2, 0, 0, &recording, &error), &error);
    assert_int_equal(recording.waveform.channels, 2);
    assert_int_equal(recording.waveform.frames, 190);
    assert_non_null(strstr(sw_text_string(&recording.notes), "cut to the shortest, 190"));
    for (size_t i = 0; i < 190; i++)
        assert_close(recording.waveform.channel[1].samples[i],
                     -0.5 * recording.waveform.channel[0].samples[i], 1e-4);
    sw_recording_free(&recording);
}

static void a_difference_is_one_channel(void **state) {
    (void)state;
    write_csv("a.csv", 0, 1e-4, 200, 1);
    write_csv("b.csv", 0, 1e-4, 200, -0.5);
    const char *paths[] = {support_at("a.csv"), support_at("b.csv")};
    sw_recording recording;
    sw_error error = {0};
    assert_ok(load(paths, 2, 1, 2, &recording, &error), &error);
    assert_int_equal(recording.waveform.channels, 1);
    for (size_t i = 0; i < 200; i++)
        assert_close(recording.waveform.channel[0].samples[i], 1.5 * sin(0.2 * (double)i), 2e-4);
    sw_recording_free(&recording);
}

static void files_that_do_not_fit_are_told(void **state) {
    (void)state;
    write_csv("a.csv", 0, 1e-4, 200, 1);
    write_csv("rate.csv", 0, 2e-4, 200, 1);
    write_csv("late.csv", 0.5, 1e-4, 200, 1);
    FILE *file = fopen(support_at("hand.csv"), "wb");
    fputs("rpm,volts\n100,12\n", file);
    fclose(file);
    const char *rates[] = {support_at("a.csv"), support_at("rate.csv")};
    const char *starts[] = {support_at("a.csv"), support_at("late.csv")};
    const char *kinds[] = {support_at("a.csv"), support_at("hand.csv")};
    const char *one[] = {support_at("a.csv")};
    const char *gone[] = {support_at("a.csv"), support_at("gone.csv")};
    const char *pipes[] = {"-", "-"};
    sw_recording recording;
    sw_error error = {0};
    assert_int_equal(load(rates, 2, 0, 0, &recording, &error), SW_MISMATCH);
    assert_non_null(strstr(error.message, "rate.csv"));
    assert_int_equal(load(starts, 2, 0, 0, &recording, &error), SW_MISMATCH);
    assert_non_null(strstr(error.message, "begin together"));
    assert_int_equal(load(kinds, 2, 0, 0, &recording, &error), SW_UNSUPPORTED);
    assert_int_equal(load(one, 1, 1, 2, &recording, &error), SW_USAGE);
    assert_int_equal(load(one, 1, 1, 1, &recording, &error), SW_USAGE);
    assert_int_equal(load(one, 1, -1, 1, &recording, &error), SW_USAGE);
    assert_int_equal(load(one, 0, 0, 0, &recording, &error), SW_USAGE);
    assert_int_equal(load(gone, 2, 0, 0, &recording, &error), SW_NOT_FOUND);
    assert_int_equal(load(pipes, 2, 0, 0, &recording, &error), SW_USAGE);
}

static void sound_files_of_different_width_go_together(void **state) {
    (void)state;
    double samples[800] = {0};
    for (size_t i = 0; i < 800; i++)
        samples[i] = 0.4 * sin(0.1 * (double)i);
    assert_true(
        write_sound(support_at("l.wav"), SF_FORMAT_WAV | SF_FORMAT_PCM_16, 8000, 1, samples, 800));
    assert_true(
        write_sound(support_at("r.wav"), SF_FORMAT_WAV | SF_FORMAT_PCM_24, 8000, 2, samples, 400));
    const char *paths[] = {support_at("l.wav"), support_at("r.wav")};
    sw_recording recording;
    sw_error error = {0};
    assert_ok(load(paths, 2, 0, 0, &recording, &error), &error);
    assert_int_equal(recording.waveform.channels, 3);
    assert_int_equal(recording.waveform.frames, 400);
    assert_string_equal(recording.waveform.channel[2].name, "channel 3");
    sw_recording_free(&recording);
}

/* ---- cleaning ---- */

static void infinite_and_missing_samples_are_filled(void **state) {
    (void)state;
    double samples[] = {NAN, 1, 2, INFINITY, 2, NAN, NAN, -1, -INFINITY, NAN};
    const double expected[] = {1, 1, 2, 2, 2, 1, 0, -1, -1, -1};
    sw_cleaner cleaner = {0};
    sw_clean(&cleaner, samples, 10);
    for (size_t i = 0; i < 10; i++)
        assert_close(samples[i], expected[i], 1e-12);
    assert_int_equal(cleaner.clipped, 2);
    assert_int_equal(cleaner.missing, 4);
}

/* Sine of an amplitude in steps, cut off at a limit. */
static size_t flat_of(double amplitude, double limit, double step, double noise) {
    enum { COUNT = 5000 };
    static double samples[COUNT];
    for (size_t i = 0; i < COUNT; i++) {
        double wobble = noise * sin(12.9898 * (double)(i * i % 7919));
        double value = amplitude * sin(0.0314 * (double)i) + wobble;
        samples[i] = fmax(-limit, fmin(limit, round(value / step) * step));
    }
    return sw_flat_tops(samples, COUNT, step);
}

static void flat_tops_are_found_and_round_ones_are_not(void **state) {
    (void)state;
    static const double STEPS[] = {0.08, 0.04, 0.01, 1e-4};
    for (size_t k = 0; k < 4; k++) {
        assert_int_equal(flat_of(1, 2, STEPS[k], 0), 0);
        assert_int_equal(flat_of(1, 2, STEPS[k], 0.03), 0);
        /* Cut at 0.8: acos(0.8) / (pi / 2) = 41 % of the samples lie flat. */
        double cut = round(0.8 / STEPS[k]) * STEPS[k];
        assert_close((double)flat_of(1, cut, STEPS[k], 0), 0.41 * 5000, 0.08 * 5000);
    }
}

static void quantisation_steps_are_found(void **state) {
    (void)state;
    enum { COUNT = 1000 };
    double values[COUNT];
    static const double STEPS[] = {0.08, 1.0 / 32768, 0.00038147, 5};
    for (size_t k = 0; k < 4; k++) {
        for (size_t i = 0; i < COUNT; i++)
            values[i] = round(40 * sin(0.37 * (double)i)) * STEPS[k];
        assert_close(sw_step_of(values, COUNT), STEPS[k], 1e-9 * STEPS[k]);
    }
    for (size_t i = 0; i < COUNT; i++)
        values[i] = 2.5;
    assert_close(sw_step_of(values, COUNT), 0, 0);
    for (size_t i = 0; i < COUNT; i++)
        values[i] = sin(1.0 + 0.61803398 * (double)(i * i));
    assert_close(sw_step_of(values, COUNT), 0, 0); /* levels without a common step */
}

/* ---- very long recordings ---- */

/* More samples than are kept, as bytes on disk: two minutes at 600 kHz, one byte each. */
static void very_long_recordings_are_thinned(void **state) {
    (void)state;
    enum { BLOCK = 600000, BLOCKS = 120, RATE = 600000 };
    SF_INFO info = {.samplerate = RATE, .channels = 1, .format = SF_FORMAT_WAV | SF_FORMAT_PCM_U8};
    SNDFILE *file = sf_open(support_at("long.wav"), SFM_WRITE, &info);
    double *block = malloc(BLOCK * sizeof *block);
    assert_non_null(file);
    for (size_t b = 0; b < BLOCKS; b++) {
        for (size_t i = 0; i < BLOCK; i++)
            block[i] = 0.8 * sin(2 * M_PI * 50 * (double)i / RATE);
        sf_writef_double(file, block, BLOCK);
    }
    sf_close(file);
    free(block);
    const char *paths[] = {support_at("long.wav")};
    sw_recording recording;
    sw_error error = {0};
    assert_ok(load(paths, 1, 0, 0, &recording, &error), &error);
    const sw_waveform *waveform = &recording.waveform;
    assert_true(waveform->frames <= SW_RECORDING_SAMPLE_LIMIT);
    assert_close(waveform->rate_hz, RATE / 2.0, 0);
    assert_int_equal(waveform->frames, (size_t)BLOCK * BLOCKS / 2);
    assert_non_null(strstr(sw_text_string(&recording.notes), "very long"));
    /* In time and in size: two steps of 1/128, one of rounding and one of the writer's scale. */
    for (size_t i = 1000; i < 100000; i += 37)
        assert_close(waveform->channel[0].samples[i],
                     0.8 * sin(2 * M_PI * 50 * (double)i / waveform->rate_hz), 2.0 / 128);
    sw_recording_free(&recording);
}

static void standard_input_is_read(void **state) {
    (void)state;
    char command[1400];
    char out[4000];
    write_csv("pipe.csv", 0, 1e-4, 300, 2);
    snprintf(command, sizeof command,
             "cat '%s' | '%s' measure - --explain 2>&1 | grep -c 'in V'; "
             "mkfifo '%s/fifo'; cat '%s' > '%s/fifo' & '%s' measure '%s/fifo' --explain 2>&1 | "
             "grep -c 'rate: 10000 Hz'",
             support_at("pipe.csv"), TEST_SPINWORTH, support_folder(), support_at("pipe.csv"),
             support_folder(), TEST_SPINWORTH, support_folder());
    support_run(command, out, sizeof out, NULL, 0);
    assert_string_equal(out, "1\n1\n");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(files_become_channels),
        cmocka_unit_test(a_difference_is_one_channel),
        cmocka_unit_test(files_that_do_not_fit_are_told),
        cmocka_unit_test(sound_files_of_different_width_go_together),
        cmocka_unit_test(infinite_and_missing_samples_are_filled),
        cmocka_unit_test(flat_tops_are_found_and_round_ones_are_not),
        cmocka_unit_test(quantisation_steps_are_found),
        cmocka_unit_test(very_long_recordings_are_thinned),
        cmocka_unit_test(standard_input_is_read),
    };
    return cmocka_run_group_tests(tests, support_folder_setup, support_folder_teardown);
}
