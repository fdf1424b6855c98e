/* Days of the calendar. */
#include "tests/support.h"

#include "shared/day.h"

#include <string.h>

static void known_days_have_known_numbers(void **state) {
    (void)state;
    static const struct {
        const char *text;
        long day;
    } ROWS[] = {
        /* GNU date: date -u -d DAY +%s, over 86400 */
        {"1971-01-01", 365},   {"2000-02-29", 11016}, {"2000-03-01", 11017},
        {"2024-12-31", 20088}, {"2026-05-04", 20577}, {"2100-03-01", 47541},
    };
    for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; i++) {
        long day = 0;
        char text[SW_DAY_ROOM];
        assert_true(sw_day_read(ROWS[i].text, &day));
        assert_int_equal(day, ROWS[i].day);
        sw_day_write(day, text);
        assert_string_equal(text, ROWS[i].text);
    }
}

static void every_day_comes_back(void **state) {
    (void)state;
    for (long day = 365; day < 100000; day++) {
        char text[SW_DAY_ROOM];
        long again = 0;
        sw_day_write(day, text);
        assert_true(sw_day_read(text, &again));
        assert_int_equal(again, day);
    }
}

static void no_day_is_refused(void **state) {
    (void)state;
    static const char *const WRONG[] = {
        "",           "2026-5-4",   "2026-13-01",  "2026-00-10", "2026-04-31", "2025-02-29",
        "2100-02-29", "04.05.2026", "2026-05-04 ", "1969-12-31", "2026-05-00", "yesterday!"};
    long day = 0;
    for (size_t i = 0; i < sizeof WRONG / sizeof *WRONG; i++)
        assert_false(sw_day_read(WRONG[i], &day));
    assert_true(sw_day_today() > 20000);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(known_days_have_known_numbers),
        cmocka_unit_test(every_day_comes_back),
        cmocka_unit_test(no_day_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
