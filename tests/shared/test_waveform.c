/* Waveforms: memory, limits and the difference of two channels. */
#include "tests/support.h"

#include "shared/waveform.h"

#include <string.h>

static void a_new_waveform_is_silent_and_named(void **state) {
    (void)state;
    sw_waveform waveform;
    sw_error error;
    assert_ok(sw_waveform_new(3, 100, 48000, &waveform, &error), &error);
    assert_int_equal(waveform.channels, 3);
    assert_int_equal(waveform.frames, 100);
    assert_close(waveform.rate_hz, 48000, 0);
    assert_string_equal(waveform.channel[2].name, "channel 3");
    for (size_t c = 0; c < 3; c++)
        for (size_t i = 0; i < 100; i++)
            assert_close(waveform.channel[c].samples[i], 0, 0);
    sw_waveform_free(&waveform);
    assert_int_equal(waveform.channels, 0);
    sw_waveform_free(&waveform); /* twice does no harm */
}

static void impossible_sizes_are_refused(void **state) {
    (void)state;
    sw_waveform waveform;
    sw_error error;
    assert_int_equal(sw_waveform_new(0, 10, 1, &waveform, &error), SW_MISMATCH);
    assert_int_equal(sw_waveform_new(SW_CHANNEL_LIMIT + 1, 10, 1, &waveform, &error), SW_MISMATCH);
    assert_non_null(strstr(error.message, "9 channels"));
    assert_int_equal(sw_waveform_new(2, SIZE_MAX / 8, 1, &waveform, &error), SW_MEMORY);
    assert_int_equal(sw_waveform_new(2, SIZE_MAX, 1, &waveform, &error), SW_MEMORY);
    sw_waveform_free(&waveform);
    assert_ok(sw_waveform_new(1, 0, 1, &waveform, &error), &error);
    assert_non_null(waveform.channel[0].samples);
    sw_waveform_free(&waveform);
}

static void make_three(sw_waveform *waveform) {
    assert_int_equal(sw_waveform_new(3, 4, 1000, waveform, NULL), SW_OK);
    for (size_t c = 0; c < 3; c++) {
        waveform->channel[c].full_scale = (double)c + 1;
        for (size_t i = 0; i < 4; i++)
            waveform->channel[c].samples[i] = (double)((c + 1) * (i + 1) * (i + 1));
    }
}

static void a_difference_leaves_one_channel(void **state) {
    (void)state;
    for (size_t plus = 0; plus < 3; plus++) {
        for (size_t minus = 0; minus < 3; minus++) {
            sw_waveform waveform;
            sw_error error;
            make_three(&waveform);
            sw_status status = sw_waveform_difference(&waveform, plus, minus, &error);
            if (plus == minus) {
                assert_int_equal(status, SW_USAGE);
                assert_int_equal(waveform.channels, 3);
            } else {
                assert_ok(status, &error);
                assert_int_equal(waveform.channels, 1);
                double gain = (double)plus - (double)minus;
                for (size_t i = 0; i < 4; i++)
                    assert_close(waveform.channel[0].samples[i], gain * (double)((i + 1) * (i + 1)),
                                 0);
                assert_close(waveform.channel[0].full_scale, (double)(plus + minus + 2), 0);
            }
            sw_waveform_free(&waveform);
        }
    }
}

static void a_difference_with_a_channel_that_is_not_there_is_refused(void **state) {
    (void)state;
    sw_waveform waveform;
    sw_error error;
    make_three(&waveform);
    assert_int_equal(sw_waveform_difference(&waveform, 0, 3, &error), SW_USAGE);
    assert_non_null(strstr(error.message, "3 channels"));
    sw_waveform_free(&waveform);
}

/* Where one full scale is not known, that of the difference is not either. */
static void an_unknown_full_scale_stays_unknown(void **state) {
    (void)state;
    sw_waveform waveform;
    make_three(&waveform);
    waveform.channel[1].full_scale = 0;
    assert_int_equal(sw_waveform_difference(&waveform, 0, 1, NULL), SW_OK);
    assert_close(waveform.channel[0].full_scale, 0, 0);
    sw_waveform_free(&waveform);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_new_waveform_is_silent_and_named),
        cmocka_unit_test(impossible_sizes_are_refused),
        cmocka_unit_test(a_difference_leaves_one_channel),
        cmocka_unit_test(a_difference_with_a_channel_that_is_not_there_is_refused),
        cmocka_unit_test(an_unknown_full_scale_stays_unknown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
