/* Numbers as people and files write them, read strictly and without the locale. */
#ifndef SPINWORTH_SHARED_NUMBER_H
#define SPINWORTH_SHARED_NUMBER_H

#include <stdbool.h>
#include <stddef.h>

/* Read one plain number ("-12", "1.5e3", ".5") at text[0..length). decimal is '.' or ','.
 * Returns the number of characters used, 0 when there is no number. Never reads "inf", "nan"
 * or hexadecimal. */
size_t sw_number_scan(const char *text, size_t length, char decimal, double *value);

/* The whole of text[0..length) must be a finite number (spaces around it are fine). */
bool sw_number_parse(const char *text, size_t length, char decimal, double *value);

/* Greatest common divisor of two numbers >= 0. */
int sw_common_divisor(int a, int b);

/* Shortest decimal text that reads back as the same double; out has room >= 32. */
void sw_number_print(double value, char *out, size_t room);

#endif
