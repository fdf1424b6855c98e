/* The motor record in words: answer first, a reading to check it by, the numbers, what is not
 * known, the next step, the cautions. Needs no rotor and no site. */
#ifndef SPINWORTH_REPORT_MOTOR_TEXT_H
#define SPINWORTH_REPORT_MOTOR_TEXT_H

#include "shared/motor.h"
#include "shared/text.h"
#include "src/measure/family.h"

#include <stdbool.h>

typedef struct sw_motor_text_options {
    bool details;
    const char *saved_as;          /* file the record was saved to, NULL when not */
    const sw_family_guess *family; /* what it may come off, NULL when not asked */
    const char *call;              /* what was typed, to be typed again with more; NULL = none */
} sw_motor_text_options;

void sw_motor_text(const sw_motor *motor, const sw_motor_text_options *options, sw_text *text);

/* Nothing there: what to try and why (nothing_text.c); for a motor that is dead: without a voltage
 * of its own, or with no more than residual magnetism gives. */
bool sw_motor_is_dead(const sw_motor *motor);
void sw_nothing_text(const sw_motor *motor, sw_text *text);

/* The table of numbers alone (motor_numbers.c). */
void sw_motor_numbers(const sw_motor *motor, bool details, sw_text *text);

#endif
