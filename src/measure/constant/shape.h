/* The mean wave of a recording: harmonics and what a meter would make of it. */
#ifndef SPINWORTH_MEASURE_SHAPE_H
#define SPINWORTH_MEASURE_SHAPE_H

#include "shared/motor.h"
#include "src/measure/signal/cycles.h"

#include <complex.h>

/* Complex amplitudes of orders 1 .. 13 of the mean shape, V/Hz; [0] is the offset. u is the
 * standard uncertainty of each. */
typedef struct sw_spectrum {
    double complex order[SW_MOTOR_HARMONIC_LIMIT + 1];
    double u;
    int highest; /* order that the sampling rate still shows */
} sw_spectrum;

/* Mean over the cycles from lowest_hz on; orders above reach_hz are not told. */
sw_spectrum sw_shape_spectrum(const sw_cycles *cycles, double lowest_hz, double reach_hz);

/* Line wave from the wave of a phase to the star point: e(x) - e(x - 120 deg). */
sw_spectrum sw_shape_line_of_phase(const sw_spectrum *phase);

/* Harmonics that stand out, into the motor record. */
void sw_shape_harmonics(const sw_spectrum *spectrum, sw_motor *motor);

/* Form factor, crest factor and distortion of the line wave. */
void sw_shape_factors(const sw_spectrum *line, sw_motor *motor);

#endif
