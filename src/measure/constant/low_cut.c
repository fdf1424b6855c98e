/* A first-order low cut leaves of a constant flux K
 *   raw(f) = K / sqrt(1 + (fc / f)^2),    so    1 / raw^2 = (1 / K^2) (1 + fc^2 / f^2),
 * a straight line over 1/f^2 whose slope over its intercept is fc^2. The equation is linear in
 * what is averaged, so that a block of cycles may be averaged first, whatever its speeds. A third
 * term in f^2 takes what a loaded coil or an input's low-pass takes off at the top; without it that
 * would pass for a low cut of the other sign. GSL's robust fit (bisquare) leaves bounces out.
 */
#include "src/measure/constant/low_cut.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_multifit.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { UNKNOWNS = 3, LEAST_BLOCKS = 8, USUAL_BLOCK = 4, MOST_IN_BLOCK = 8 };

static const double least_range = 2.0;  /* fastest over slowest block */
static const double even_pace = 0.15;   /* a cycle may differ from the one before by that */
static const double own_scatter = 2e-3; /* relative, of a block beside its noise */
static const double own_error = 0.01;   /* relative, of the low cut that fits */
/* Coils and magnets that differ bend the slowest cycles as a cut would: 2.2 Hz^2 rms over 44
 * simulated motors of 8 families, whatever the cut. */
static const double own_hz2 = 2.2;
static const double sure = 4.0;      /* standard uncertainties of a contradiction */
static const double matters = 0.002; /* relative change of the voltage constant */

typedef struct blocks {
    size_t count;
    double *x; /* mean 1/f^2, s^2 */
    double *y; /* mean 1/raw^2 */
    double *z; /* mean f^2 */
    double *weight;
} blocks;

static bool usable(const sw_cycles *cycles, size_t i) {
    const sw_cycle *cycle = &cycles->cycle[i];
    double before = i > 0 ? cycles->cycle[i - 1].length_s : cycle->length_s;
    return cycle->flux > 8.0 * cycle->flux_u && fabs(before / cycle->length_s - 1.0) < even_pace;
}

/* Blocks of cycles that follow one another. */
static sw_status blocks_new(const sw_cycles *cycles, double profile_hz, size_t size, blocks *b,
                            sw_error *error) {
    size_t room = cycles->count / size + 1;
    *b = (blocks){.x = calloc(4 * room, sizeof(double))};
    if (b->x == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for the low cut");
    b->y = b->x + room;
    b->z = b->y + room;
    b->weight = b->z + room;
    for (size_t from = 0; from + size <= cycles->count; from += size) {
        double x = 0.0;
        double y = 0.0;
        double z = 0.0;
        double noise = 0.0;
        bool fine = true;
        for (size_t i = from; i < from + size; i++) {
            const sw_cycle *cycle = &cycles->cycle[i];
            double f2 = pow(cycle->length_s, -2.0);
            fine = fine && usable(cycles, i);
            x += 1.0 / f2;
            z += f2;
            y += (1.0 + profile_hz * profile_hz / f2) / (cycle->flux * cycle->flux);
            noise += pow(cycle->flux_u / cycle->flux, 2.0);
        }
        if (!fine)
            continue;
        double n = (double)size;
        double relative = own_scatter * own_scatter + noise / (n * n);
        b->x[b->count] = x / n;
        b->y[b->count] = y / n;
        b->z[b->count] = z / n;
        /* y goes as flux^-2: twice the relative scatter */
        b->weight[b->count++] = pow(n / y, 2.0) / (4.0 * relative);
    }
    return SW_OK;
}

static double range_of(const blocks *b) {
    double low = INFINITY;
    double high = 0.0;
    for (size_t i = 0; i < b->count; i++) {
        low = fmin(low, b->z[i]);
        high = fmax(high, b->z[i]);
    }
    return b->count > 0 ? sqrt(high / low) : 0.0;
}

/* Solve; the columns are scaled to be of one size. */
static bool solve(const blocks *b, gsl_matrix *m, gsl_vector *y, gsl_vector *c, gsl_matrix *cov,
                  sw_low_cut *found) {
    double x_unit = 0.0;
    double z_unit = 0.0;
    double y_unit = 0.0;
    for (size_t i = 0; i < b->count; i++) {
        x_unit += b->x[i] / (double)b->count;
        y_unit += b->y[i] / (double)b->count;
        z_unit += b->z[i] / (double)b->count;
    }
    for (size_t i = 0; i < b->count; i++) {
        double root = sqrt(b->weight[i]) * y_unit;
        gsl_matrix_set(m, i, 0, root);
        gsl_matrix_set(m, i, 1, root * b->x[i] / x_unit);
        gsl_matrix_set(m, i, 2, root * b->z[i] / z_unit);
        gsl_vector_set(y, i, root * b->y[i] / y_unit);
    }
    gsl_multifit_robust_workspace *work =
        gsl_multifit_robust_alloc(gsl_multifit_robust_bisquare, b->count, UNKNOWNS);
    if (work == NULL)
        return false;
    bool fine = gsl_multifit_robust(m, y, c, cov, work) == GSL_SUCCESS;
    gsl_multifit_robust_free(work);
    double level = gsl_vector_get(c, 0);
    double slope = gsl_vector_get(c, 1);
    if (!fine || !(level > 0.0))
        return false;
    double ratio = slope / level;
    double variance = gsl_matrix_get(cov, 1, 1) - 2.0 * ratio * gsl_matrix_get(cov, 0, 1) +
                      ratio * ratio * gsl_matrix_get(cov, 0, 0);
    found->square_hz2 = ratio / x_unit;
    found->square_u = sqrt(fmax(0.0, variance)) / level / x_unit;
    return isfinite(found->square_hz2) && isfinite(found->square_u);
}

static sw_status fit_blocks(const blocks *b, sw_low_cut *found, sw_error *error) {
    gsl_matrix *m = gsl_matrix_alloc(b->count, UNKNOWNS);
    gsl_vector *y = gsl_vector_alloc(b->count);
    gsl_vector *c = gsl_vector_calloc(UNKNOWNS);
    gsl_matrix *cov = gsl_matrix_calloc(UNKNOWNS, UNKNOWNS);
    sw_status status = SW_OK;
    if (m == NULL || y == NULL || c == NULL || cov == NULL)
        status = sw_fail(error, SW_MEMORY, "not enough memory for the low cut");
    else
        found->found = solve(b, m, y, c, cov, found);
    gsl_matrix_free(m);
    gsl_vector_free(y);
    gsl_vector_free(c);
    gsl_matrix_free(cov);
    return status;
}

sw_status sw_low_cut_fit(const sw_cycles *cycles, double profile_hz, size_t pole_pairs,
                         sw_low_cut *found, sw_error *error) {
    *found = (sw_low_cut){.cut_hz = sw_quantity_unknown()};
    blocks b;
    size_t size = pole_pairs > 1 && pole_pairs <= MOST_IN_BLOCK ? pole_pairs : USUAL_BLOCK;
    sw_status status = blocks_new(cycles, profile_hz, size, &b, error);
    if (status == SW_OK && b.count >= LEAST_BLOCKS && range_of(&b) >= least_range)
        status = fit_blocks(&b, found, error);
    free(b.x);
    if (found->found && found->square_hz2 > 0.0) {
        double cut = sqrt(found->square_hz2);
        found->square_u = gsl_hypot3(found->square_u, 2.0 * own_error * found->square_hz2, own_hz2);
        found->cut_hz = sw_quantity_of(cut, found->square_u / (2.0 * cut), "Hz");
    }
    return status;
}

sw_status sw_low_cut_check(sw_analysis *a, sw_error *error) {
    const sw_trace *lead = &a->trace[a->lead];
    sw_quantity profile = a->request->profile.low_cut_hz;
    double profile_hz = lead->low_cut_hz;
    sw_low_cut found;
    if (sw_motor_warned(a->motor, SW_WARN_AUTOMATIC_LEVEL) || sw_clipped_hard(a) ||
        a->whole_cycles > 0)
        return SW_OK;
    sw_status status = sw_low_cut_fit(&lead->cycles, profile_hz, (size_t)a->motor->pole_pairs.value,
                                      &found, error);
    if (status != SW_OK || !found.found || !sw_quantity_known(found.cut_hz))
        return status;
    double u = hypot(found.square_u, 2.0 * profile_hz * sw_quantity_u_or(profile, 0.0));
    double change = found.square_hz2 - profile_hz * profile_hz;
    double mean_f = a->motor->electrical_frequency.value;
    double gain = 0.5 * change / (mean_f * mean_f);
    bool seen = sw_motor_warned(a->motor, SW_WARN_LOADING) ||
                sw_motor_warned(a->motor, SW_WARN_LOW_CUT_DOUBTFUL);
    if (fabs(change) < sure * u || (fabs(gain) < matters && !seen))
        return SW_OK;
    sw_motor_unwarn(a->motor, SW_WARN_LOADING);
    sw_motor_unwarn(a->motor, SW_WARN_LOW_CUT_DOUBTFUL);
    sw_motor_warn(a->motor, SW_WARN_LOW_CUT_DOUBTFUL,
                  "the record itself fits a low cut of %.3g +- %.1g Hz, the profile says %.3g Hz. "
                  "With it the volts per hertz come out about %.1f %% %s. If no capacitor is on "
                  "the winding, put \"low_cut\": \"%.3g Hz\" into the probe's file",
                  found.cut_hz.value, 2.0 * found.cut_hz.u, profile_hz, 100.0 * fabs(gain),
                  gain > 0.0 ? "higher" : "lower", found.cut_hz.value);
    return SW_OK;
}
