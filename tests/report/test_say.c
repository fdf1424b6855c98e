/* Sizes as shops and rulers have them. */
#include "tests/support.h"

#include "src/report/say.h"

#include <math.h>

static void sizes_in_millimetres_stay(void **state) {
    (void)state;
    assert_string_equal(sw_say_size(false, 260).text, "260 mm");
    assert_string_equal(sw_say_size(false, 6.35).text, "6.35 mm");
}

/* 1 in = 25.4 mm; sixteenths below 6 in, eighths below 20 in, then quarters, in lowest terms. */
static void sizes_in_inches_are_fractions(void **state) {
    (void)state;
    static const struct {
        double inches;
        const char *said;
    } ROWS[] = {
        {10, "10 in"},        {10.25, "10 1/4 in"}, {2.5, "2 1/2 in"},     {0.8125, "13/16 in"},
        {0.375, "3/8 in"},    {2.7559, "2 3/4 in"}, {74.803, "74 3/4 in"}, {9.99, "10 in"},
        {0.0625, "1/16 in"},  {0.02, "0.02 in"},    {10.04, "10 in"},      {15.32, "15 3/8 in"},
        {5.94, "5 15/16 in"},
    };
    for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; i++)
        assert_string_equal(sw_say_size(true, 25.4 * ROWS[i].inches).text, ROWS[i].said);
}

static void a_number_has_three_figures_at_most(void **state) {
    (void)state;
    static const struct {
        double value;
        double u;
        const char *unit;
        const char *said;
    } ROWS[] = {
        {13.379, 0.006, "V", "13.4 V"},
        {2.1923, 0.21, "A", "2.19 \u00b1 0.42 A"},
        {60.53, 7.4, "W", "61 \u00b1 15 W"},
        {1234.4, 60, "N", "1230 \u00b1 120 N"},
        {0.0123456, 0.0004, "ohm", "0.0123 \u00b1 0.0008 ohm"},
        {5, 0.5, "m/s", "5.0 \u00b1 1.0 m/s"},
        {34.4, NAN, "kWh", "34 kWh"},
        {1e-9, NAN, "kWh", "0 kWh"},
        {0, 0.02, "A", "0.000 \u00b1 0.040 A"},
        {1234567, NAN, "W", "1230000 W"},
        {INFINITY, NAN, "m/s", "never"},
        {NAN, NAN, "m/s", "not known"},
        {1.1e-8, NAN, "%", "0 %"},
        {-1e-9, NAN, "W", "0 W"},
        {0.00001234, NAN, "A", "0 A"},
    };
    for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; i++)
        assert_string_equal(
            sw_say(false, sw_quantity_of(ROWS[i].value, ROWS[i].u, ROWS[i].unit)).text,
            ROWS[i].said);
}

static void ranges_of_energy_have_two_figures(void **state) {
    (void)state;
    static const struct {
        double low;
        double high;
        const char *said;
    } ROWS[] = {
        {1e-12, 7.13, "0 to 7.1 kWh"},   {-3, 7.13, "0 to 7.1 kWh"},
        {0.016, 0.70, "0 to 0.7 kWh"},   {63.4, 144, "63 to 140 kWh"},
        {9.96, 10.4, "about 10 kWh"},    {0, 0.01, "less than 0.05 kWh"},
        {99.7, 1260, "100 to 1300 kWh"},
    };
    for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; i++)
        assert_string_equal(sw_say_energy_range(ROWS[i].low, ROWS[i].high).text, ROWS[i].said);
}

/* 1 lbf ft = 1.3558 N m, 1 lb ft2 = 0.04214 kg m2, 1 mph = 0.44704 m/s */
static void us_units_reach_torque_and_inertia(void **state) {
    (void)state;
    assert_string_equal(sw_say_value(true, 13.558, "N m").text, "10 lbf ft");
    assert_string_equal(sw_say_value(true, 4.214, "kg m2").text, "100 lb ft\u00b2");
    assert_string_equal(sw_say_value(true, 4.4704, "m/s").text, "10 mph");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sizes_in_millimetres_stay),
        cmocka_unit_test(sizes_in_inches_are_fractions),
        cmocka_unit_test(a_number_has_three_figures_at_most),
        cmocka_unit_test(ranges_of_energy_have_two_figures),
        cmocka_unit_test(us_units_reach_torque_and_inertia),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
