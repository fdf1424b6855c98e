/* An equal motor that is known to be good: are this one's magnets as strong? */
#ifndef SPINWORTH_MEASURE_TWIN_H
#define SPINWORTH_MEASURE_TWIN_H

#include "shared/motor.h"
#include "shared/status.h"

#include <stdbool.h>

typedef struct sw_twin {
    bool known;
    sw_quantity strength; /* of its magnets, the other's = 1, "1" */
    double ohms;          /* over the other's */
} sw_twin;

/* Volts over the root of the ohms, for the same turns and the same magnets: SW_MISMATCH when the
 * two are no equal motors, SW_MISSING_KEY when one lacks its volts or ohms. A lack that stands out
 * of the uncertainty becomes a warning. */
sw_status sw_twin_compare(sw_motor *motor, const sw_motor *good, sw_twin *twin, sw_error *error);

#endif
