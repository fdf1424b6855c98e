/* An operating point with its uncertainty: each reading the motor record stands on is moved by
 * its standard uncertainty and the figures are solved again (JCGM 100:2008, 5.1.3 note 2; the
 * readings are taken as independent). */
#ifndef SPINWORTH_MATCH_DELIVER_ANSWER_H
#define SPINWORTH_MATCH_DELIVER_ANSWER_H

#include "src/match/wiring.h"

#include <stddef.h>

enum { SW_ANSWER_GUESS_LIMIT = 12 };

typedef struct sw_deliver_answer {
    sw_operating_point point;
    sw_operating_point u; /* standard uncertainty of each figure */
    double cut_in_rpm;
    double cut_in_u_rpm;
    double open_v; /* DC volts at this speed when the load drops off; 0 without a rectifier */
    size_t guesses;
    const char *guess[SW_ANSWER_GUESS_LIMIT]; /* keys whose value or uncertainty nobody gave */
} sw_deliver_answer;

/* Readings without a stated uncertainty count as known to 1 % (voltage constant), 5 %
 * (resistance), 15 % (inductance) and 20 % (drag): common practice, no source. */
sw_status sw_deliver_answer_at(const sw_motor *motor, const sw_wiring *wiring,
                               const sw_deliver_load *load, double speed_rpm,
                               sw_deliver_answer *answer, sw_error *error);

/* In a delta, and nobody knows the third harmonics that go round it: they show only in records
 * to the star point. */
bool sw_deliver_circulation_unknown(const sw_motor *motor, const sw_wiring *wiring);

/* Add a key to the list of guesses. */
void sw_deliver_answer_guess(sw_deliver_answer *answer, const char *key);

#endif
