/* Quantities as people write them. Conversion factors: NIST SP 811 (inch, pound-force, mile). */
#include "tests/support.h"

#include <math.h>
#include <string.h>

typedef struct reading_row {
    const char *text;
    const char *unit;
    double value;
} reading_row;

static const reading_row READINGS[] = {
    {"1900mm", "mm", 1900},
    {"27.5 in", "mm", 698.5},
    {"27-1/2 in", "mm", 698.5},
    {"27 1/2 in", "mm", 698.5},
    {"3/4 in", "mm", 19.05},
    {"75in", "m", 1.905},
    {"6' 3 1/2\"", "mm", 75.5 * 25.4},
    {"6ft 3in", "m", 75 * 0.0254},
    {"6 feet 3 inches", "m", 75 * 0.0254},
    {"1,9 m", "m", 1.9},
    {"640 rpm", "rpm", 640},
    {"640rpm", "rpm", 640},
    {"2 rev/s", "rpm", 120},
    {"48 turns in 10 s", "rpm", 288},
    {"48 turns in 2 min", "rpm", 24},
    {"48 turns in 9,6 seconds", "rpm", 300},
    {"1 turn in 2 s", "rpm", 30},
    {"9 frames a turn at 240 fps", "rpm", 1600},
    {"11 mph", "m/s", 11 * 0.44704},
    {"10 kn", "m/s", 10 * 1852 / 3600.0},
    {"18 km/h", "m/s", 5},
    {"18 kph", "m/s", 5},
    {"0.35 ohm", "ohm", 0.35},
    {"350 m\u03a9", "ohm", 0.35},
    {"350 mohm", "ohm", 0.35},
    {"2k", "ohm", 2000},
    {"24V", "V", 24},
    {"24", "V", 24},
    {"120 mV", "V", 0.12},
    {"30 oz in", "N m", 30 * 0.00706155306},
    {"0.2 Nm", "N m", 0.2},
    {"0.2 N\u00b7m", "N m", 0.2},
    {"3 kg", "N", 3 * 9.80665},
    {"7lbf", "N", 7 * 4.4482216152605},
    {"7 lb", "kg", 7 * 0.45359237},
    {"70 \u00b0F", "degC", 190 / 9.0},
    {"20 \u00b0C", "degC", 20},
    {"20C", "degC", 20},
    {"293.15 K", "degC", 20},
    {"14 AWG", "mm2", 2.0809},
    {"AWG 14", "mm2", 2.0809},
    {"4.7 mH", "mH", 4.7},
    {"470uH", "mH", 0.47},
    {"1000\u00b5F", "F", 1e-3},
    {"33.08 mWb", "Wb", 0.03308},
    {"10 V/krpm", "V/rpm", 0.01},
    {"120 deg", "deg", 120},
    {"100 Ah", "Ah", 100},
    {"90 kWh", "Wh", 90000},
    {"1.2 m\u00b2", "m2", 1.2},
    {"1.2 sq m", "m2", 1.2},
    {"20%", "1", 0.2},
    {"48", "1", 48},
    {"0.25 \u00b1 0.02", "1", 0.25},
    {"7.41 ohm/km", "ohm/km", 7.41},
    {"2 N/mm", "N/m", 2000},
};

static void readings_in_every_spelling(void **state) {
    for (size_t i = 0; i < sizeof READINGS / sizeof *READINGS; i++) {
        sw_quantity found = sw_quantity_unknown();
        sw_error error = {SW_OK, ""};
        sw_status status =
            sw_quantity_parse(*state, READINGS[i].text, READINGS[i].unit, &found, &error);
        if (status != SW_OK)
            print_error("%s: %s\n", READINGS[i].text, error.message);
        assert_int_equal(status, SW_OK);
        /* 5e-5: the wire area is typed to five digits; the rest is exact to rounding. */
        assert_close(found.value, READINGS[i].value, 5e-5 * fabs(READINGS[i].value) + 1e-12);
        assert_string_equal(found.unit, READINGS[i].unit);
    }
}

static void what_cannot_be_read_is_refused(void **state) {
    static const char *const ROWS[][2] = {
        {"1900", "mm"},
        {"", "mm"},
        {"abc", "mm"},
        {"12 V", "mm"},
        {"640 rpm", "Hz"},
        {"50 Hz", "rpm"},
        {"1,500 rpm", "rpm"},
        {"5 furlongs!", "m"},
        {"5 m/s m", "m/s"},
        {"nan V", "V"},
        {"inf V", "V"},
        {"1e999 V", "V"},
        {"0x10 V", "V"},
        {"12 V 13", "V"},
        {"5 mmph", "m/s"},
        {"3 mph extra", "m/s"},
        {"0.1 V/Hz", "V/rpm"},
        {"-", "V"},
        {"12 oz", "N m"},
        {"0 turns in 10 s", "rpm"},
        {"inf turns in 10 s", "rpm"},
        {"0x10 turns in 10 s", "rpm"},
        {"9 turnips in 10 s", "rpm"},
        {"1e308 turns in 1e-9 s", "rpm"},
        {"9 turns in 10 sheep", "rpm"},
        {"1e308 km", "mm"},
        {"nan frames a turn at 240 fps", "rpm"},
        {"41 AWG", "mm2"},
        {"4 1", "1"},
        {"2.5 AWG", "mm2"},
    };
    for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; i++) {
        sw_quantity found = sw_quantity_unknown();
        sw_error error = {SW_OK, ""};
        sw_status status = sw_quantity_parse(*state, ROWS[i][0], ROWS[i][1], &found, &error);
        if (status == SW_OK)
            print_error("\"%s\" as %s was read as %g\n", ROWS[i][0], ROWS[i][1], found.value);
        assert_int_not_equal(status, SW_OK);
        assert_true(strlen(error.message) > 10);
    }
}

static void plus_minus_is_a_95_percent_half_width(void **state) {
    sw_quantity found;
    sw_error error = {SW_OK, ""};
    assert_ok(sw_quantity_parse(*state, "0.35 ohm \u00b1 0.02", "ohm", &found, &error), &error);
    assert_close(found.u, 0.01, 1e-12);
    assert_ok(sw_quantity_parse(*state, "0.35 +/- 0.02 ohm", "ohm", &found, &error), &error);
    assert_close(found.u, 0.01, 1e-12);
    assert_ok(sw_quantity_parse(*state, "350 mohm \u00b1 4 %", "ohm", &found, &error), &error);
    assert_close(found.u, 0.007, 1e-12);
    assert_ok(sw_quantity_parse(*state, "70 \u00b0F \u00b1 1.8", "degC", &found, &error), &error);
    assert_close(found.u, 0.5, 1e-9);
}

static void printing_shows_the_digits_that_u_justifies(void **state) {
    (void)state;
    char text[64];
    sw_quantity_print(sw_quantity_of(8.5312, 0.02, "V"), text, sizeof text);
    assert_string_equal(text, "8.531 \u00b1 0.040 V");
    sw_quantity_print(sw_quantity_of(118.2, NAN, "rpm"), text, sizeof text);
    assert_string_equal(text, "118 rpm");
    sw_quantity_print(sw_quantity_unknown(), text, sizeof text);
    assert_string_equal(text, "not known");
}

static void two_figures_of_u_and_no_more(void **state) {
    (void)state;
    static const struct {
        double value, u;
        const char *unit, *said;
    } ROWS[] = {
        {1234.4, 173, "rpm", "1230 \u00b1 350 rpm"},
        {12.3456, 0.0499, "V", "12.35 \u00b1 0.10 V"}, /* not 0.100 */
        {12.5, 0, "V", "12.5 V"},
        {12.5, 1e-12, "V", "12.5 V"}, /* not 12.500000000 +- 0.000000000 */
        {2.5e-6, 6e-8, "N m s2/rad2", "(2.50 \u00b1 0.12)e-6 N m s\u00b2/rad\u00b2"},
        {1.234e-9, NAN, "N m s2/rad2", "1.23e-09 N m s\u00b2/rad\u00b2"},
        {137.8733, 0.00375, "Hz", "137.8733 \u00b1 0.0075 Hz"},
        {0, 0.02, "A", "0.000 \u00b1 0.040 A"},
    };
    for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; i++) {
        char text[64];
        sw_quantity_print(sw_quantity_of(ROWS[i].value, ROWS[i].u, ROWS[i].unit), text,
                          sizeof text);
        assert_string_equal(text, ROWS[i].said);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(readings_in_every_spelling),
        cmocka_unit_test(what_cannot_be_read_is_refused),
        cmocka_unit_test(plus_minus_is_a_95_percent_half_width),
        cmocka_unit_test(printing_shows_the_digits_that_u_justifies),
        cmocka_unit_test(two_figures_of_u_and_no_more),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
