/* Calendar days as documents write them: "2026-05-04" (ISO 8601), counted from 1970-01-01, UTC. */
#ifndef SPINWORTH_SHARED_DAY_H
#define SPINWORTH_SHARED_DAY_H

#include <stdbool.h>

enum { SW_DAY_ROOM = 16 };

/* Read a day; false when text is no day of the years 1971 to 9999. */
bool sw_day_read(const char *text, long *day);

/* Write a day that was read or is today. */
void sw_day_write(long day, char out[SW_DAY_ROOM]);

long sw_day_today(void);

#endif
