#include "shared/number.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { NUMBER_ROOM = 64 };

static bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

static size_t digits_at(const char *text, size_t length, size_t at) {
    size_t start = at;
    while (at < length && is_digit(text[at]))
        at++;
    return at - start;
}

/* Length of the number at text, and where its decimal sign stands (or length). */
static size_t number_length(const char *text, size_t length, char decimal, size_t *point) {
    size_t at = length > 0 && (text[0] == '+' || text[0] == '-');
    size_t whole = digits_at(text, length, at);
    size_t fraction = 0;
    at += whole;
    *point = length;
    if (at < length && text[at] == decimal) {
        fraction = digits_at(text, length, at + 1);
        if (whole + fraction > 0)
            *point = at;
        at += whole + fraction > 0 ? 1 + fraction : 0;
    }
    if (whole + fraction == 0)
        return 0;
    if (at < length && (text[at] == 'e' || text[at] == 'E')) {
        size_t sign = at + 1 < length && (text[at + 1] == '+' || text[at + 1] == '-');
        size_t digits = digits_at(text, length, at + 1 + sign);
        at += digits > 0 ? 1 + sign + digits : 0;
    }
    return at;
}

/* strtod follows the locale's decimal sign; the program never calls setlocale, so the C locale's
 * '.' holds, and the text is first brought to it. */
size_t sw_number_scan(const char *text, size_t length, char decimal, double *value) {
    size_t point = 0;
    size_t used = number_length(text, length, decimal, &point);
    if (used == 0 || used >= NUMBER_ROOM)
        return 0;
    char plain[NUMBER_ROOM];
    memcpy(plain, text, used);
    plain[used] = '\0';
    if (point < used)
        plain[point] = '.';
    *value = strtod(plain, NULL);
    return used;
}

bool sw_number_parse(const char *text, size_t length, char decimal, double *value) {
    while (length > 0 && isspace((unsigned char)text[0])) {
        text++;
        length--;
    }
    while (length > 0 && isspace((unsigned char)text[length - 1]))
        length--;
    size_t used = sw_number_scan(text, length, decimal, value);
    return used > 0 && used == length && isfinite(*value);
}

void sw_number_print(double value, char *out, size_t room) {
    static const double WHOLE_LIMIT = 1e15; /* below it "%.0f" is exact, and 10 is not 1e+01 */
    char text[NUMBER_ROOM];
    int digits = 1;
    if (value == floor(value) && fabs(value) < WHOLE_LIMIT)
        snprintf(text, sizeof text, "%.0f", value);
    else
        do {
            snprintf(text, sizeof text, "%.*g", digits, value);
        } while (++digits <= 17 && strtod(text, NULL) != value);
    if (room > strlen(text))
        memcpy(out, text, strlen(text) + 1);
    else if (room > 0)
        out[0] = '\0';
}

int sw_common_divisor(int a, int b) {
    while (b != 0) {
        int rest = a % b;
        a = b;
        b = rest;
    }
    return a;
}
