/* Days between a date and 1970-01-01: a year counted from March has its odd day at the end, so
 * that months before a day of the year follow from (153 m + 2) / 5 (H. Hinnant, "chrono-compatible
 * low-level date algorithms", days_from_civil and civil_from_days). */
#include "shared/day.h"

#include "shared/platform.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { FIRST_YEAR = 1971, LAST_YEAR = 9999, DAYS_IN_400_YEARS = 146097, DAYS_TO_1970 = 719468 };

static long days_of(long year, long month, long day) {
    year -= month <= 2;
    long era = year / 400;
    long of_era = year - era * 400;
    long of_year = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + day - 1;
    return era * DAYS_IN_400_YEARS + of_era * 365 + of_era / 4 - of_era / 100 + of_year -
           DAYS_TO_1970;
}

void sw_day_write(long day, char out[SW_DAY_ROOM]) {
    day += DAYS_TO_1970;
    long era = day / DAYS_IN_400_YEARS;
    long left = day - era * DAYS_IN_400_YEARS;
    long year = (left - left / 1460 + left / 36524 - left / 146096) / 365;
    long of_year = left - (365 * year + year / 4 - year / 100);
    long from_march = (5 * of_year + 2) / 153;
    long month = from_march + (from_march < 10 ? 3 : -9);
    year += era * 400 + (month <= 2);
    snprintf(out, SW_DAY_ROOM, "%04ld-%02ld-%02ld", year % 10000, month % 100,
             (of_year - (153 * from_march + 2) / 5 + 1) % 100);
}

static bool has_the_form(const char *text) {
    static const char FORM[] = "dddd-dd-dd";
    if (strlen(text) != sizeof FORM - 1)
        return false;
    for (size_t i = 0; FORM[i] != '\0'; i++)
        if (FORM[i] == 'd' ? !isdigit((unsigned char)text[i]) : text[i] != FORM[i])
            return false;
    return true;
}

bool sw_day_read(const char *text, long *day) {
    if (!has_the_form(text))
        return false;
    long year = strtol(text, NULL, 10);
    if (year < FIRST_YEAR || year > LAST_YEAR)
        return false;
    *day = days_of(year, strtol(text + 5, NULL, 10), strtol(text + 8, NULL, 10));
    /* The 31st of April becomes another day: only real ones come back as they were. */
    char again[SW_DAY_ROOM];
    sw_day_write(*day, again);
    return strcmp(again, text) == 0;
}

long sw_day_today(void) {
    char now[32];
    long day = 0;
    sw_platform_utc(now, sizeof now);
    now[sizeof "2026-05-04" - 1] = '\0';
    return sw_day_read(now, &day) ? day : 0;
}
