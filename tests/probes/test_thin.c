/* Thinning: what lies below 0.4 of the new rate passes unchanged and in time, what would fold
 * back is gone. */
#include "tests/support.h"

#include "probes/thin.h"
#include "shared/constants.h"

#include <math.h>
#include <stdlib.h>

enum { COUNT = 40000 };

static size_t thin(size_t factor, const double *samples, size_t block, double *out) {
    sw_thinner *thinner = NULL;
    assert_int_equal(sw_thinner_new(factor, &thinner, NULL), SW_OK);
    size_t written = 0;
    for (size_t at = 0; at < COUNT; at += block) {
        size_t part = COUNT - at < block ? COUNT - at : block;
        written += sw_thinner_push(thinner, samples + at, part, out + written);
    }
    size_t left = sw_thinner_left(thinner);
    assert_int_equal(sw_thinner_flush(thinner, out + written), left);
    written += left;
    sw_thinner_free(thinner);
    return written;
}

static void fill(double *samples, double cycles_a_sample) {
    for (size_t i = 0; i < COUNT; i++)
        samples[i] = sin(2 * M_PI * cycles_a_sample * (double)i + 0.4);
}

static void low_tones_pass_and_high_ones_do_not(void **state) {
    (void)state;
    double *in = malloc(COUNT * sizeof *in);
    double *out = malloc(COUNT * sizeof *out);
    static const size_t FACTORS[] = {2, 3, 7, 20};
    for (size_t k = 0; k < 4; k++) {
        size_t factor = FACTORS[k];
        fill(in, 0.35 / (double)factor);
        size_t written = thin(factor, in, 1000, out);
        assert_int_equal(written, (COUNT + factor - 1) / factor);
        /* Away from both ends; ripple of an 80 dB design is 1e-4. */
        for (size_t m = 30; m + 30 < written; m++)
            assert_close(out[m], in[m * factor], 2e-4);
        fill(in, 0.55 / (double)factor);
        written = thin(factor, in, 1000, out);
        for (size_t m = 30; m + 30 < written; m++)
            assert_close(out[m], 0, 2e-4);
    }
    free(in);
    free(out);
}

static void blocks_do_not_matter_and_steady_stays(void **state) {
    (void)state;
    double *in = malloc(COUNT * sizeof *in);
    double *one = malloc(COUNT * sizeof *one);
    double *other = malloc(COUNT * sizeof *other);
    fill(in, 0.011);
    size_t written = thin(5, in, COUNT, one);
    static const size_t BLOCKS[] = {1, 7, 4096, 4097};
    for (size_t k = 0; k < 4; k++) {
        assert_int_equal(thin(5, in, BLOCKS[k], other), written);
        for (size_t m = 0; m < written; m++)
            assert_close(other[m], one[m], 0);
    }
    for (size_t i = 0; i < COUNT; i++)
        in[i] = 2.5;
    written = thin(5, in, 333, one);
    for (size_t m = 0; m < written; m++)
        assert_close(one[m], 2.5, 1e-12); /* rounding of 251 products */
    free(in);
    free(one);
    free(other);
}

/* After each push, whatever its size, the rest is known: that much room must be there. */
static void the_rest_is_told_beforehand(void **state) {
    (void)state;
    static const size_t PIECES[] = {1, 2, 3, 50, 7, 4097, 1, 9000};
    double in[9000] = {0};
    double out[9000];
    for (size_t pieces = 0; pieces <= sizeof PIECES / sizeof *PIECES; pieces++) {
        sw_thinner *thinner = NULL;
        assert_int_equal(sw_thinner_new(6, &thinner, NULL), SW_OK);
        for (size_t i = 0; i < pieces; i++)
            (void)sw_thinner_push(thinner, in, PIECES[i], out);
        size_t left = sw_thinner_left(thinner);
        assert_int_equal(sw_thinner_flush(thinner, out), left);
        assert_int_equal(sw_thinner_left(thinner), 0);
        sw_thinner_free(thinner);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(low_tones_pass_and_high_ones_do_not),
        cmocka_unit_test(blocks_do_not_matter_and_steady_stays),
        cmocka_unit_test(the_rest_is_told_beforehand),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
