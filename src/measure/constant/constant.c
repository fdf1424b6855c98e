/* Flux per cycle (amplitude over frequency) does not depend on speed: every cycle of ramp, wobble
 * and run-down is a reading of the same constant. The fit is Huber's with a wide threshold: a
 * bounce of the chuck or a lost contact must not count, but the weaker magnets of the ring must,
 * for the constant is the mean over the ring.
 *
 * Residuals are not independent: the ring repeats every turn. The variance of the mean is taken
 * from the autocovariance of the residuals with a Bartlett taper (W. K. Newey & K. D. West,
 * Econometrica 55, 1987), widened by Student's t for the few degrees of freedom that the taper
 * leaves.
 */
#include "src/measure/constant/constant.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_fit.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_matrix.h>
#include <gsl/gsl_multifit.h>
#include <math.h>
#include <stdlib.h>

static const double huber_threshold = 5.0; /* standard deviations */

/* What counts of the cycles. */
typedef struct sample {
    size_t count;
    double *flux;
    double *weight; /* sums to 1 */
    double *hz;
    double *residual;
} sample;

static void sample_free(sample *s) {
    free(s->flux);
    *s = (sample){0};
}

/* Cycles above half the low cut, weighted by 1/variance of the noise: f |H|^2. */
static sw_status sample_new(const sw_cycles *cycles, double low_cut_hz, sample *s,
                            sw_error *error) {
    *s = (sample){0};
    s->flux = calloc(4 * cycles->count + 1, sizeof(double));
    if (s->flux == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for the voltage constant");
    s->weight = s->flux + cycles->count;
    s->hz = s->weight + cycles->count;
    s->residual = s->hz + cycles->count;
    double sum = 0.0;
    for (size_t i = 0; i < cycles->count; i++) {
        double hz = 1.0 / cycles->cycle[i].length_s;
        if (cycles->cycle[i].cut || hz < 0.5 * low_cut_hz)
            continue;
        s->hz[s->count] = hz;
        s->flux[s->count] = cycles->cycle[i].flux;
        s->weight[s->count] = hz / (1.0 + pow(low_cut_hz / hz, 2.0));
        sum += s->weight[s->count++];
    }
    for (size_t i = 0; i < s->count; i++)
        s->weight[i] /= sum;
    if (s->count < 2)
        return sw_fail(error, SW_TOO_SHORT, "found %zu usable cycles, expected at least two",
                       s->count);
    return SW_OK;
}

static double plain_mean(const sample *s) {
    double sum = 0.0;
    for (size_t i = 0; i < s->count; i++)
        sum += s->weight[i] * s->flux[i];
    return sum;
}

/* Robust weighted mean; the weights become those that the fit gave. */
static sw_status robust_mean(sample *s, double *mean, sw_error *error) {
    *mean = plain_mean(s);
    if (s->count < 8)
        return SW_OK;
    gsl_multifit_robust_workspace *work =
        gsl_multifit_robust_alloc(gsl_multifit_robust_huber, s->count, 1);
    gsl_matrix *x = gsl_matrix_alloc(s->count, 1);
    gsl_vector *y = gsl_vector_alloc(s->count);
    gsl_vector *c = gsl_vector_alloc(1);
    gsl_matrix *cov = gsl_matrix_alloc(1, 1);
    sw_status status = SW_OK;
    if (work == NULL || x == NULL || y == NULL || c == NULL || cov == NULL)
        status = sw_fail(error, SW_MEMORY, "not enough memory for the voltage constant");
    if (status == SW_OK) {
        for (size_t i = 0; i < s->count; i++) {
            double root = sqrt(s->weight[i] * (double)s->count);
            gsl_matrix_set(x, i, 0, root);
            gsl_vector_set(y, i, root * s->flux[i]);
        }
        gsl_multifit_robust_tune(huber_threshold, work);
        if (gsl_multifit_robust(x, y, c, cov, work) == GSL_SUCCESS)
            *mean = gsl_vector_get(c, 0);
    }
    gsl_multifit_robust_free(work);
    gsl_matrix_free(x);
    gsl_vector_free(y);
    gsl_vector_free(c);
    gsl_matrix_free(cov);
    return status;
}

/* Standard uncertainty of the weighted mean of correlated residuals. */
static double mean_u(const sample *s) {
    size_t lags = GSL_MAX(1, GSL_MIN(s->count / 4, (size_t)(3.0 * sqrt((double)s->count))));
    double variance = 0.0;
    double independent = 0.0;
    for (size_t lag = 0; lag <= lags; lag++) {
        double sum = 0.0;
        for (size_t i = 0; i + lag < s->count; i++)
            sum += s->weight[i] * s->residual[i] * s->weight[i + lag] * s->residual[i + lag];
        if (lag == 0)
            independent = sum;
        double taper = 1.0 - (double)lag / ((double)lags + 1.0);
        variance += (lag == 0 ? 1.0 : 2.0) * taper * sum;
    }
    /* A pattern that repeats makes the sum small, never much smaller than independence would. */
    variance = fmax(variance, 0.25 * independent);
    double freedom = fmax(2.0, 1.5 * (double)s->count / (double)lags - 1.0);
    double widened = gsl_cdf_tdist_Pinv(0.97725, freedom) / 2.0;
    return widened * sqrt(variance);
}

/* Relative change of flux from the lowest to the highest frequency used. */
static void drift_of(const sample *s, double mean, sw_constant *constant) {
    double c0;
    double c1;
    double c00;
    double c01;
    double c11;
    double chi;
    constant->f_low_hz = s->hz[0];
    constant->f_high_hz = s->hz[0];
    for (size_t i = 0; i < s->count; i++) {
        constant->f_low_hz = fmin(constant->f_low_hz, s->hz[i]);
        constant->f_high_hz = fmax(constant->f_high_hz, s->hz[i]);
    }
    constant->drift = 0.0;
    constant->drift_u = 0.0;
    gsl_fit_wlinear(s->hz, 1, s->weight, 1, s->flux, 1, s->count, &c0, &c1, &c00, &c01, &c11, &chi);
    double range = constant->f_high_hz - constant->f_low_hz;
    constant->drift = c1 * range / mean;
    /* chi is weighted with weights that sum to 1: the covariance scales with the mean square. */
    constant->drift_u = sqrt(c11 * chi / ((double)s->count - 2.0)) * range / mean;
}

sw_status sw_constant_fit(const sw_cycles *cycles, double low_cut_hz, sw_constant *constant,
                          sw_error *error) {
    *constant = (sw_constant){0};
    sample s;
    double mean = 0.0;
    sw_status status = sample_new(cycles, low_cut_hz, &s, error);
    if (status == SW_OK)
        status = robust_mean(&s, &mean, error);
    if (status == SW_OK) {
        for (size_t i = 0; i < s.count; i++) {
            s.residual[i] = s.flux[i] - mean;
            /* |1/H| = sqrt(1 + (fc/f)^2): its logarithm's slope by fc */
            constant->low_cut_slope +=
                s.weight[i] * low_cut_hz / (s.hz[i] * s.hz[i] + low_cut_hz * low_cut_hz);
        }
        constant->used = s.count;
        constant->peak = sw_quantity_of(mean, mean_u(&s), "V/Hz");
        if (s.count >= 8)
            drift_of(&s, mean, constant);
    }
    sample_free(&s);
    return status;
}
