/* Numbers as files write them: strict, without the locale, and printed so that they read back. */
#include "tests/support.h"

#include "shared/number.h"

#include <float.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

typedef struct scan_row {
    const char *text;
    char decimal;
    size_t used; /* 0 = no number there */
    double value;
} scan_row;

static void a_number_is_taken_from_the_start_of_text(void **state) {
    (void)state;
    static const scan_row ROWS[] = {
        {"12", '.', 2, 12},
        {"-12.5", '.', 5, -12.5},
        {"+3", '.', 2, 3},
        {".5", '.', 2, 0.5},
        {"5.", '.', 2, 5},
        {"1.5e3", '.', 5, 1500},
        {"1E-2V", '.', 4, 0.01},
        {"2e", '.', 1, 2},
        {"2e+", '.', 1, 2},
        {"2em", '.', 1, 2},
        {"1,5", ',', 3, 1.5},
        {",5", ',', 2, 0.5},
        {"1.5", ',', 1, 1},
        {"1,5", '.', 1, 1},
        {"12;13", '.', 2, 12},
        {"007", '.', 3, 7},
        {"1.2.3", '.', 3, 1.2},
        {"", '.', 0, 0},
        {".", '.', 0, 0},
        {"-", '.', 0, 0},
        {"+-1", '.', 0, 0},
        {"e5", '.', 0, 0},
        {"inf", '.', 0, 0},
        {"nan", '.', 0, 0},
        {"-Infinity", '.', 0, 0},
        {"0x1F", '.', 1, 0},
        {" 1", '.', 0, 0},
        {"-.5e-1", '.', 6, -.05},
        {"4.9e-324", '.', 8, 5e-324},
    };
    for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; i++) {
        double value = 0;
        size_t used = sw_number_scan(ROWS[i].text, strlen(ROWS[i].text), ROWS[i].decimal, &value);
        if (used != ROWS[i].used)
            print_error("\"%s\": used %zu\n", ROWS[i].text, used);
        assert_int_equal(used, ROWS[i].used);
        if (used > 0)
            assert_close(value, ROWS[i].value, 0); /* the nearest double both times */
    }
}

static void nothing_beyond_the_length_is_read(void **state) {
    (void)state;
    static const char TEXT[] = {'1', '2', '.', '5', 'e', '3'}; /* no NUL behind it */
    double value = 0;
    for (size_t length = 0; length <= sizeof TEXT; length++) {
        char *exact = malloc(length + (length == 0)); /* the sanitizer sees a read past its end */
        assert_non_null(exact);
        memcpy(exact, TEXT, length);
        size_t used = sw_number_scan(exact, length, '.', &value);
        assert_true(used <= length);
        free(exact);
    }
    assert_int_equal(sw_number_scan("12345", 2, '.', &value), 2);
    assert_close(value, 12, 0);
}

static void a_cell_must_be_a_number_and_nothing_else(void **state) {
    (void)state;
    static const char *const GOOD[] = {"1", " 1 ", "\t-2.5\r", "1e300"};
    static const char *const BAD[] = {"",      " ",      "1 2",  "1V",  "nan",   "inf",
                                      "1e999", "-1e999", "0x10", "1,5", "1.5.2", "--1"};
    double value = 0;
    for (size_t i = 0; i < sizeof GOOD / sizeof *GOOD; i++)
        assert_true(sw_number_parse(GOOD[i], strlen(GOOD[i]), '.', &value));
    for (size_t i = 0; i < sizeof BAD / sizeof *BAD; i++) {
        if (sw_number_parse(BAD[i], strlen(BAD[i]), '.', &value))
            fail_msg("\"%s\" was read as %g", BAD[i], value);
    }
}

static void a_long_number_is_read_or_refused_but_not_cut(void **state) {
    (void)state;
    char text[200];
    memset(text, '1', sizeof text);
    double value = 0;
    size_t used = sw_number_scan(text, sizeof text, '.', &value);
    if (used > 0) {
        assert_int_equal(used, sizeof text);
        assert_true(value > 1e198);
    }
}

static void every_double_reads_back_the_same(void **state) {
    (void)state;
    enum { COUNT = 20000 };
    static const double EDGES[] = {0.1, 1.0 / 3, DBL_MAX, DBL_MIN, 5e-324, 1e21, 123456789, -0.5};
    char text[32];
    uint64_t bits = 20250101; /* the seed */
    for (size_t i = 0; i < COUNT; i++) {
        bits = bits * 6364136223846793005U + 1442695040888963407U; /* D. Knuth's MMIX generator */
        double value = 0;
        memcpy(&value, &bits, sizeof value);
        if (i < sizeof EDGES / sizeof *EDGES)
            value = EDGES[i];
        if (!isfinite(value))
            continue;
        double back = 0;
        sw_number_print(value, text, sizeof text);
        assert_true(sw_number_parse(text, strlen(text), '.', &back));
        if (memcmp(&back, &value, sizeof back) != 0)
            fail_msg("seed 20250101, number %zu: %.17g printed as %s", i, value, text);
    }
    sw_number_print(0.1, text, sizeof text);
    assert_string_equal(text, "0.1");
    sw_number_print(10, text, sizeof text);
    assert_string_equal(text, "10");
    sw_number_print(-3e8, text, sizeof text);
    assert_string_equal(text, "-300000000");
    sw_number_print(12345, text, sizeof text);
    assert_string_equal(text, "12345");
}

static void too_little_room_gives_no_half_number(void **state) {
    (void)state;
    char text[4] = "xyz";
    sw_number_print(1.25, text, sizeof text);
    assert_string_equal(text, "");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_number_is_taken_from_the_start_of_text),
        cmocka_unit_test(nothing_beyond_the_length_is_read),
        cmocka_unit_test(a_cell_must_be_a_number_and_nothing_else),
        cmocka_unit_test(a_long_number_is_read_or_refused_but_not_cut),
        cmocka_unit_test(every_double_reads_back_the_same),
        cmocka_unit_test(too_little_room_gives_no_half_number),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
