/* One rate for a column of printed times. */
#ifndef SPINWORTH_PROBES_SCOPE_TIMES_H
#define SPINWORTH_PROBES_SCOPE_TIMES_H

#include <stdbool.h>
#include <stddef.h>

/* Running sums over row number i and r = t - (first + step i), which stays small. */
typedef struct sw_time_fit {
    double step;    /* expected, from the sample */
    double quantum; /* one unit in the last printed place */
    bool steady;    /* printed steps are equal: rounding excuses no other one */
    size_t rows;
    double first;
    double last;
    double sum_r;
    double sum_ir;
    double sum_rr;
} sw_time_fit;

typedef enum sw_time_fault { SW_TIME_FINE, SW_TIME_JUMPS, SW_TIME_GOES_BACK } sw_time_fault;

/* Add the time of the next row. A step that is more than half of one off, beyond what rounding in
 * print explains, is a fault; the row is then not counted. */
sw_time_fault sw_time_fit_add(sw_time_fit *fit, double time);

typedef struct sw_time_line {
    double start; /* of row 0 */
    double step;
    double step_u;
    double rms; /* distance of the times from the line */
} sw_time_line;

/* Least squares; needs two rows. */
sw_time_line sw_time_fit_solve(const sw_time_fit *fit);

/* The spread that rounding in print, and storing as 32-bit floats, explain. */
double sw_time_fit_rounding(const sw_time_fit *fit);

#endif
