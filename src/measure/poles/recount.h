/* Counts that go with nothing else: warned of, anew whenever something is added to the record. */
#ifndef SPINWORTH_MEASURE_RECOUNT_H
#define SPINWORTH_MEASURE_RECOUNT_H

#include "shared/motor.h"

/* What speaks against the pole pairs found, and slots that make no winding of three phases. */
void sw_recount_warn(sw_motor *motor);

#endif
