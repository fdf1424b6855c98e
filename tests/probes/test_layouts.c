/* Scope files in the layouts that instruments write: each opens with the right rate, start,
 * channels, names and values, or is refused with its reason. The files in data/ are written by
 * data/make_layouts.py; what must come out of them is computed here anew. */
#include "tests/support.h"

#include "probes/recording.h"
#include "shared/constants.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

typedef struct layout {
    const char *file;
    double asked_hz; /* --rate */
    double rate_hz;
    double rate_tolerance; /* what the printed digits of the times allow; 0 = 1e-9 of the rate */
    double start_s;
    size_t rows;
    size_t channels;
    const char *name; /* of channel 1 */
    double step;      /* quantisation of channel 1 */
    int second;       /* channel 1 holds signal 1 or 2 */
    size_t clipped;
} layout;

static const layout LAYOUTS[] = {
    {"index_start_increment.csv", 0, 5000, 0, -6e-3, 60, 2, "CH1", 0.08, 0, 0},
    {"start_increment_bare.csv", 0, 20000, 0, -1.5e-3, 60, 2, "CH1", 0.08, 0, 0},
    {"quoted_header_block.csv", 0, 25000, 0, 0, 60, 2, "Voltage", 0.08, 0, 0},
    /* five decimals at 30.303 us: 1e-5 / 59 rows / sqrt 12 of the step, three times */
    {"unit_in_name_rounded_times.csv", 0, 1 / 3.0303e-5, 160, -0.002, 60, 2, "CH 1", 0.08, 0, 0},
    {"bare_values.csv", 8000, 8000, 0, 0, 60, 1, "channel 1", 0.08, 0, 0},
    {"comment_preamble_math.csv", 0, 50000, 0, -0.0006, 60, 2, "CH1", 0.08, 0, 0},
    {"brackets_blank_row_ms.csv", 0, 1 / 0.04096e-3, 0, -1e-3, 60, 2, "Channel A", 0.08, 0, 0},
    {"keys_beside_values.csv", 0, 10000, 0, -0.003, 60, 1, "CH2", 0.08, 0, 0},
    /* seven decimals at 4.584 us from -0.3: 1e-8 */
    {"in_s_in_v.csv", 0, 1 / 4.584e-6, 7, -0.3, 60, 1, "C1", 0.08, 0, 0},
    {"index_from_minus_thirty.csv", 0, 10000, 0, -0.003, 60, 1, "CH1", 0.08, 0, 0},
    {"nameless_first_column.csv", 0, 2000, 0, 0, 60, 2, "CH1", 0.08, 0, 0},
    {"no_header_time_two_channels.csv", 0, 4000, 0, -0.01, 60, 2, "channel 1", 0.08, 0, 0},
    {"tabs_other_language.txt", 0, 5000, 0, 0, 60, 2, "Kanal A", 0.08, 0, 0},
    {"quoted_ms_exponent.csv", 0, 2000, 0, 0, 60, 1, "Channel 1", 0.08, 0, 0},
    {"semicolons_decimal_comma_infinity.csv", 0, 10000, 0, -0.003, 60, 2, "Channel A", 0.08, 0, 10},
    {"byte_order_mark.csv", 0, 5000, 0, 0, 60, 2, "ch_a", 0.08, 0, 0},
    {"label_values_interval_us.csv", 0, 25000, 0, -0.0012, 60, 1, "channel 1", 0.08, 0, 0},
    {"waveform_data_row.csv", 0, 25000, 0, 0, 60, 1, "CH1", 0.08, 0, 0},
    {"tab_padded_keys_mv.txt", 0, 2.5e6, 0, 0, 60, 1, "CH1", 0.08, 0, 0},
    {"pairs_side_by_side.csv", 0, 10000, 0, 0, 60, 2, "CH1", 0.08, 0, 0},
    /* 32-bit floats near 8 are 4.8e-7 apart; over 400 rows of 10 us, three standard errors */
    {"float32_times.csv", 0, 1e5, 4, 8, 400, 1, "channel 1", 0.08, 0, 0},
    {"coarse_times.csv", 0, 25000, 0, 0, 400, 1, "CH1", 0.08, 0, 0},
    {"bracketed_sections.csv", 0, 12500, 0, 0, 60, 2, "A", 0.08, 0, 0},
    {"utf16.csv", 0, 50000, 0, 0, 60, 1, "Ch 1", 0.08, 0, 0},
    {"return_only_ends.csv", 0, 1000, 0, 0, 60, 1, "channel 1", 0.08, 0, 0},
    {"spaces.txt", 0, 1000, 0, 0, 60, 1, "volts", 0.08, 0, 0},
    {"one_column_decimal_comma.csv", 0, 8000, 0, 0, 60, 1, "U", 0.04, 1, 0},
    {"quoted_decimal_comma.csv", 0, 500, 0, 0, 60, 1, "U1", 0.08, 0, 0},
};

static double signal(int second, size_t row) {
    double x = 2 * M_PI * (double)row / 23;
    return second ? round(-1.5 * cos(x) / 0.04) * 0.04
                  : round((3.2 * sin(x + 0.3) + 0.1) / 0.08) * 0.08;
}

static sw_status load(const char *file, double rate_hz, sw_recording *recording, sw_error *error) {
    static char path[512];
    const char *paths[] = {path};
    snprintf(path, sizeof path, TEST_SOURCE_DIR "/probes/data/%s", file);
    sw_recording_request request = {.paths = paths, .count = 1, .rate_hz = rate_hz};
    return sw_recording_load(&request, recording, error);
}

static void check_samples(const layout *expected, const sw_waveform *waveform) {
    for (size_t c = 0; c < waveform->channels; c++)
        for (size_t i = 0; i < waveform->frames; i++) {
            double level = signal(expected->second || c == 1, i);
            /* Clipped cells stand at the highest or lowest level that was not. */
            bool cut = expected->clipped > 0 && c == 0 && (level > 3.2 || level < -3);
            assert_close(waveform->channel[c].samples[i], level, cut ? 0.4 : 1e-5);
        }
}

static void every_layout_opens(void **state) {
    (void)state;
    for (size_t k = 0; k < sizeof LAYOUTS / sizeof *LAYOUTS; k++) {
        const layout *expected = &LAYOUTS[k];
        sw_recording recording;
        sw_error error = {0};
        printf("%s\n", expected->file);
        assert_ok(load(expected->file, expected->asked_hz, &recording, &error), &error);
        const sw_waveform *waveform = &recording.waveform;
        double tolerance = expected->rate_tolerance;
        assert_string_equal(recording.kind, "scope file");
        assert_close(waveform->rate_hz, expected->rate_hz,
                     tolerance > 0 ? tolerance : 1e-9 * expected->rate_hz);
        assert_close(waveform->start_s, expected->start_s, 0.6 / expected->rate_hz);
        assert_int_equal(waveform->frames, expected->rows);
        assert_int_equal(waveform->channels, expected->channels);
        assert_int_equal(waveform->coupling, SW_COUPLING_DC);
        assert_string_equal(waveform->channel[0].name, expected->name);
        assert_close(waveform->channel[0].step, expected->step, 1e-5);
        assert_int_equal(recording.clipped, expected->clipped);
        assert_int_equal(recording.missing, 0);
        check_samples(expected, waveform);
        sw_recording_free(&recording);
    }
}

static void the_stated_uncertainty_covers_the_rate(void **state) {
    (void)state;
    for (size_t k = 0; k < sizeof LAYOUTS / sizeof *LAYOUTS; k++) {
        sw_recording recording;
        sw_error error = {0};
        assert_ok(load(LAYOUTS[k].file, LAYOUTS[k].asked_hz, &recording, &error), &error);
        double u = recording.rate_u_hz;
        assert_close(recording.waveform.rate_hz, LAYOUTS[k].rate_hz,
                     4 * u + 1e-9 * LAYOUTS[k].rate_hz);
        sw_recording_free(&recording);
    }
}

static void what_cannot_be_read_says_why(void **state) {
    (void)state;
    sw_recording recording;
    sw_error error = {0};
    assert_int_equal(load("zero_crossing_log.csv", 0, &recording, &error), SW_UNSUPPORTED);
    assert_non_null(strstr(error.message, "zero crossings"));
    assert_int_equal(load("zero_crossing_log.csv", 1000, &recording, &error), SW_UNSUPPORTED);
    assert_int_equal(load("bare_values.csv", 0, &recording, &error), SW_USAGE);
    assert_non_null(strstr(error.message, "--rate"));
}

static void notes_say_what_was_understood(void **state) {
    (void)state;
    sw_recording recording;
    sw_error error = {0};
    assert_ok(load("semicolons_decimal_comma_infinity.csv", 0, &recording, &error), &error);
    const char *notes = sw_text_string(&recording.notes);
    assert_non_null(strstr(notes, "semicolon"));
    assert_non_null(strstr(notes, "decimal comma"));
    assert_non_null(strstr(notes, "values from line 4"));
    assert_non_null(strstr(notes, "time: column 1, in ms"));
    assert_non_null(strstr(notes, "channel 2: column 3, \"Channel B\", in V"));
    assert_non_null(strstr(notes, "rate: 10000 Hz"));
    sw_recording_free(&recording);
    assert_ok(load("comment_preamble_math.csv", 0, &recording, &error), &error);
    notes = sw_text_string(&recording.notes);
    assert_non_null(strstr(notes, "column 5 (\"M1\") was calculated by the scope; left out"));
    assert_non_null(strstr(notes, "column 1 numbers the rows"));
    sw_recording_free(&recording);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_layout_opens),
        cmocka_unit_test(the_stated_uncertainty_covers_the_rate),
        cmocka_unit_test(what_cannot_be_read_says_why),
        cmocka_unit_test(notes_say_what_was_understood),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
