/* Propagation of standard uncertainties (JCGM 100:2008).
 *
 * The law of propagation, clause 5.1 and 5.2, with correlated inputs where there are any; the
 * sensitivities from the change of the result over one standard uncertainty either way (5.1.3,
 * note 2). Where inputs stand on few readings, the effective degrees of freedom follow from the
 * Welch-Satterthwaite formula (G.4.1). */
#ifndef SPINWORTH_SHARED_UNCERTAINTY_H
#define SPINWORTH_SHARED_UNCERTAINTY_H

#include "shared/status.h"

#include <stddef.h>

enum { SW_INPUT_LIMIT = 16 };

typedef struct sw_input {
    const char *name; /* for the budget; may be NULL */
    double value;
    double u;       /* standard uncertainty, >= 0 */
    double freedom; /* degrees of freedom behind u; INFINITY when taken as exact; > 0 */
} sw_input;

/* The result from the inputs' values. */
typedef double sw_measurement(const double *values, const void *user);

typedef struct sw_propagated {
    double value;
    double u;
    double freedom;                     /* effective; INFINITY when all are */
    double sensitivity[SW_INPUT_LIMIT]; /* d result / d input */
    double share[SW_INPUT_LIMIT];       /* of u^2, without the correlations */
} sw_propagated;

/* correlation is a count x count matrix by rows, NULL when the inputs are independent. SW_VALUE
 * when the result is no number or the matrix gives a variance below zero. */
sw_status sw_propagate(sw_measurement *measure, const void *user, const sw_input *inputs,
                       size_t count, const double *correlation, sw_propagated *result,
                       sw_error *error);

/* Half width of the interval of this level (0.95) in standard uncertainties: Student's t with the
 * degrees of freedom cut to a whole number (G.4.1, note 1). */
double sw_coverage_factor(double freedom, double level);

/* Mean of readings, its standard uncertainty (4.2) and count - 1 degrees of freedom; one reading
 * has u = NaN. */
sw_input sw_mean_of(const double *readings, size_t count);

#endif
