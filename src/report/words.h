/* How numbers are said to people. */
#ifndef SPINWORTH_REPORT_WORDS_H
#define SPINWORTH_REPORT_WORDS_H

#include "shared/quantity.h"
#include "shared/text.h"

/* "almost certain" from 0.99, "likely" from 0.8, else "cannot tell". */
const char *sw_words_probability(double probability);

/* "Three phases", "One phase", "Two phases", "Phases not known yet". */
const char *sw_words_phases(int phases);

/* One line "  label   value" of a table of numbers; nothing when the quantity is not known. */
void sw_words_row(sw_text *text, const char *label, sw_quantity quantity, const char *comment);

/* The same with the value as text. */
void sw_words_text_row(sw_text *text, const char *label, const char *value);

/* A value to so many figures as one would say it: 118, 8.5, 0.12. */
void sw_words_number(double value, int figures, char *out, size_t room);

/* "1st", "2nd", "3rd", "4th". */
const char *sw_words_ordinal_end(int number);

#endif
