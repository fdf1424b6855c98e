/* Least squares of t = start + step i over all rows, in one pass: with r the distance from the
 * line that the sample promised, the sums stay of the size of the rounding and lose no digits in
 * an hour of rows. Sum (i - mean)^2 = n (n^2 - 1) / 12. */
#include "probes/scope/times.h"

#include <float.h>
#include <math.h>
#include <stdbool.h>

static const double EXACT = 1e-3;
static const double EXACT_ROWS = 20;

sw_time_fault sw_time_fit_add(sw_time_fit *fit, double time) {
    if (fit->rows == 0) {
        fit->first = time;
    } else {
        double step = time - fit->last;
        double rounding = (fit->steady ? 0 : fit->quantum) + 2 * (double)FLT_EPSILON * fabs(time);
        double allowed = 0.5 * fit->step + rounding;
        if (step < -rounding || (step <= 0 && fit->step > 2 * rounding))
            return SW_TIME_GOES_BACK;
        if (fabs(step - fit->step) > allowed)
            return SW_TIME_JUMPS;
    }
    double i = (double)fit->rows;
    double r = time - (fit->first + fit->step * i);
    fit->sum_r += r;
    fit->sum_ir += i * r;
    fit->sum_rr += r * r;
    fit->last = time;
    fit->rows++;
    return SW_TIME_FINE;
}

sw_time_line sw_time_fit_solve(const sw_time_fit *fit) {
    double n = (double)fit->rows;
    double mean = (n - 1) / 2;
    double spread = n * (n * n - 1) / 12;
    double slope = (fit->sum_ir - mean * fit->sum_r) / spread;
    double level = fit->sum_r / n - slope * mean;
    double left = fit->sum_rr - n * pow(fit->sum_r / n, 2) - slope * slope * spread;
    double rms = sqrt(fmax(left, 0) / n);
    /* Rounding repeats in a pattern: no better than one rounding over the whole length. But where
     * nothing was rounded, all steps are one whole number of printed units, and exact. */
    bool exact = rms < EXACT * fit->quantum && n >= EXACT_ROWS;
    double floor_u = exact ? 0 : fit->quantum / sqrt(12) / n;
    return (sw_time_line){
        .start = fit->first + level,
        .step = fit->step + slope,
        .step_u = fmax(rms / sqrt(spread), floor_u),
        .rms = rms,
    };
}

double sw_time_fit_rounding(const sw_time_fit *fit) {
    return fit->quantum + (double)FLT_EPSILON * fmax(fabs(fit->first), fabs(fit->last));
}
