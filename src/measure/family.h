/* What is it? A guess at the machine the motor came off, from what was measured: a suggestion
 * with a probability, never a fact. */
#ifndef SPINWORTH_MEASURE_FAMILY_H
#define SPINWORTH_MEASURE_FAMILY_H

#include "shared/motor.h"
#include "shared/quantity.h"
#include "shared/status.h"

#include <stdbool.h>
#include <stddef.h>

enum { SW_FAMILY_LIMIT = 48, SW_FAMILY_NAME_ROOM = 64, SW_FAMILY_TEXT_ROOM = 160 };

typedef struct sw_family {
    char name[SW_FAMILY_NAME_ROOM];   /* as in reference/families.json */
    char called[SW_FAMILY_NAME_ROOM]; /* "a washer drum motor" */
    char good[SW_FAMILY_TEXT_ROOM];
    char bad[SW_FAMILY_TEXT_ROOM];
    char judged[24]; /* "from memory": where the judgement comes from */
    double probability;
} sw_family;

typedef struct sw_family_guess {
    size_t count;                         /* 0 = no motor to guess at */
    sw_family candidate[SW_FAMILY_LIMIT]; /* most probable first */
    double other;                         /* probability of none of these */
    /* Volts squared over four times the ohms at 1000 rpm, against the rows with these phases and
     * poles: magnets that are weak all round make little of them. */
    double watts;            /* NaN = not known */
    double usual[2];         /* widest range of those rows; 0 = none has these phases and poles */
    bool low;                /* clearly below it */
    double volts;            /* at 1000 rpm; 0 = not known */
    double volts_of_kind[2]; /* widest range of all rows of the motor's kind */
} sw_family_guess;

/* Read the table and weigh its rows. A motor without magnets or without any figure gives no
 * candidates, nor does a coil that is a sensor's, or may be one. */
sw_status sw_family_guess_at(const char *reference_dir, const sw_motor *motor,
                             sw_family_guess *guess, sw_error *error);

/* Warn of volts for a turn that no motor of its kind gives: a reading or a speed is wrong. An
 * earlier such warning is taken back. */
void sw_family_check_volts(const sw_family_guess *guess, sw_motor *motor);

/* Why there is no guess. */
const char *sw_family_reason(const sw_motor *motor);

#endif
