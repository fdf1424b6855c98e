/* Sizes as shops and rulers have them. */
#include "tests/support.h"

#include "src/report/say.h"

static void sizes_in_millimetres_stay(void **state) {
    (void)state;
    assert_string_equal(sw_say_size(false, 260).text, "260 mm");
    assert_string_equal(sw_say_size(false, 6.35).text, "6.35 mm");
}

/* 1 in = 25.4 mm, to the nearest sixteenth in lowest terms. */
static void sizes_in_inches_are_fractions(void **state) {
    (void)state;
    static const struct {
        double inches;
        const char *said;
    } ROWS[] = {
        {10, "10 in"},       {10.25, "10 1/4 in"}, {2.5, "2 1/2 in"},       {0.8125, "13/16 in"},
        {0.375, "3/8 in"},   {2.7559, "2 3/4 in"}, {74.803, "74 13/16 in"}, {9.99, "10 in"},
        {0.0625, "1/16 in"}, {0.02, "0.02 in"},
    };
    for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; i++)
        assert_string_equal(sw_say_size(true, 25.4 * ROWS[i].inches).text, ROWS[i].said);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sizes_in_millimetres_stay),
        cmocka_unit_test(sizes_in_inches_are_fractions),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
