/* What the recorder marked, as warnings in the record. */
#ifndef SPINWORTH_MEASURE_MARKS_H
#define SPINWORTH_MEASURE_MARKS_H

#include "probes/marks.h"
#include "shared/motor.h"

void sw_marks_warn(const sw_marks *marks, double rate_hz, sw_motor *motor);

#endif
