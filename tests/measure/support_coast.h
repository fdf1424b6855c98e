/* Cycles of a shaft that is held and then let go, from the closed form. Include support.h first. */
#ifndef SPINWORTH_TESTS_MEASURE_SUPPORT_COAST_H
#define SPINWORTH_TESTS_MEASURE_SUPPORT_COAST_H

#include "src/measure/signal/cycles.h"

/* J dw/dt = -(constant + linear w); SI units. */
typedef struct coast_model {
    int pole_pairs;
    double inertia;
    double constant;
    double linear;
    double from_rad_s; /* speed when let go */
    double held_s;     /* before, at a speed that wanders by a hundredth */
    double to_rad_s;   /* the record ends here */
    double jitter;     /* standard deviation of the crossings, cycles */
    double outliers;   /* share of the crossings that are a fifth of a cycle off */
    unsigned long seed;
} coast_model;

/* Speed t seconds after letting go: (w0 + T/b) exp(-b t / J) - T/b, b > 0. */
double coast_speed(const coast_model *model, double time_s);

/* The caller frees with sw_cycles_free. */
void coast_cycles(const coast_model *model, sw_cycles *cycles);

#endif
