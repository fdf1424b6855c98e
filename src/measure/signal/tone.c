/* The frequency of a steady periodic wave at the Cramer-Rao bound.
 *
 * For a wave in white noise the maximum-likelihood frequency is the one whose harmonics, fitted by
 * linear least squares, leave the smallest residual (Kay 1993, Example 7.16; for harmonic sets
 * Quinn & Thomson, Biometrika 78, 1991). No window: a window throws away samples. The start, from
 * the cycle starts, is well inside the main lobe, so that Gauss-Newton steps on the frequency
 * (the derivative by the frequency is one more column) converge in a few rounds. The normal
 * equations are small: two columns an order, one for the offset, one for the frequency. Long
 * stretches are thinned by the caller; the cost is samples x columns^2.
 *
 * Whether the wave really was steady is told by what is left: in blocks, the residual is projected
 * on the derivative by the angle. White noise spreads its power evenly over all directions; a
 * speed that wobbles puts far more into these few.
 */
#include "src/measure/signal/tone.h"

#include <gsl/gsl_linalg.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_matrix.h>
#include <gsl/gsl_vector.h>
#include <math.h>
#include <stddef.h>

enum {
    ORDER_LIMIT = SW_TONE_ORDERS,
    COLUMN_LIMIT = 2 * ORDER_LIMIT + 2,
    NEWTON_ROUNDS = 40,
    BLOCK_LIMIT = 48
};

static const double significant = 16.0;  /* squared amplitude over its variance */
static const double close_enough = 1e-3; /* last step over the standard uncertainty */

/* Least squares of offset, harmonics and a change of frequency around `hz`. */
typedef struct harmonic_fit {
    size_t columns;
    int orders;
    gsl_matrix *normal;
    gsl_vector *right;
    gsl_vector *solution;
    double square_sum; /* of the samples */
    double samples;
    double amplitude[ORDER_LIMIT + 1]; /* of the last solution */
    double cosine[ORDER_LIMIT + 1];
    double sine[ORDER_LIMIT + 1];
} harmonic_fit;

static sw_status fit_new(int orders, harmonic_fit *fit, sw_error *error) {
    *fit = (harmonic_fit){.orders = orders, .columns = 2 * (size_t)orders + 2};
    fit->normal = gsl_matrix_alloc(fit->columns, fit->columns);
    fit->right = gsl_vector_alloc(fit->columns);
    fit->solution = gsl_vector_alloc(fit->columns);
    if (fit->normal == NULL || fit->right == NULL || fit->solution == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for a frequency fit");
    return SW_OK;
}

static void fit_free(harmonic_fit *fit) {
    gsl_matrix_free(fit->normal);
    gsl_vector_free(fit->right);
    gsl_vector_free(fit->solution);
    *fit = (harmonic_fit){0};
}

/* Columns at one sample: offset, cos and sin of each order, derivative by the frequency (in units
 * of 1 / (2 pi scale_s)); x is the time from the middle. */
static void fill_row(const harmonic_fit *fit, double hz, double x, double scale_s, double *row) {
    double c = cos(2.0 * M_PI * hz * x);
    double s = sin(2.0 * M_PI * hz * x);
    double ck = 1.0;
    double sk = 0.0;
    double slope = 0.0;
    row[0] = 1.0;
    for (int k = 1; k <= fit->orders; k++) {
        double next = ck * c - sk * s;
        sk = sk * c + ck * s;
        ck = next;
        row[(size_t)2 * (size_t)k - 1] = ck;
        row[(size_t)2 * (size_t)k] = sk;
        slope += k * (fit->sine[k] * ck - fit->cosine[k] * sk);
    }
    row[fit->columns - 1] = slope * x / scale_s;
}

static void accumulate(harmonic_fit *fit, const sw_signal *signal, size_t first, size_t last,
                       double hz, size_t columns) {
    double sums[COLUMN_LIMIT][COLUMN_LIMIT] = {{0}};
    double right[COLUMN_LIMIT] = {0};
    double row[COLUMN_LIMIT];
    double middle = 0.5 * ((double)first + (double)last);
    double scale_s = ((double)last - middle) / signal->rate_hz;
    fit->square_sum = 0.0;
    fit->samples = (double)(last - first + 1);
    for (size_t n = first; n <= last; n++) {
        double y = signal->value[n];
        fill_row(fit, hz, ((double)n - middle) / signal->rate_hz, scale_s, row);
        fit->square_sum += y * y;
        for (size_t i = 0; i < columns; i++) {
            right[i] += row[i] * y;
            for (size_t j = 0; j <= i; j++)
                sums[i][j] += row[i] * row[j];
        }
    }
    for (size_t i = 0; i < columns; i++) {
        gsl_vector_set(fit->right, i, right[i]);
        for (size_t j = 0; j < columns; j++)
            gsl_matrix_set(fit->normal, i, j, i >= j ? sums[i][j] : sums[j][i]);
    }
}

/* Solve the first `columns` of the normal equations; returns the residual sum of squares, NaN when
 * they are singular. The Cholesky factor stays in fit->normal. */
static double solve(harmonic_fit *fit, size_t columns) {
    gsl_matrix_view normal = gsl_matrix_submatrix(fit->normal, 0, 0, columns, columns);
    gsl_vector_view right = gsl_vector_subvector(fit->right, 0, columns);
    gsl_vector_view solution = gsl_vector_subvector(fit->solution, 0, columns);
    for (size_t i = 0; i < columns; i++)
        if (!(gsl_matrix_get(&normal.matrix, i, i) > 0.0))
            return NAN;
    if (gsl_linalg_cholesky_decomp1(&normal.matrix) != GSL_SUCCESS ||
        gsl_linalg_cholesky_solve(&normal.matrix, &right.vector, &solution.vector) != GSL_SUCCESS)
        return NAN;
    double explained = 0.0;
    for (size_t i = 0; i < columns; i++)
        explained += gsl_vector_get(&solution.vector, i) * gsl_vector_get(&right.vector, i);
    for (int k = 1; k <= fit->orders; k++) {
        fit->cosine[k] = gsl_vector_get(fit->solution, 2 * (size_t)k - 1);
        fit->sine[k] = gsl_vector_get(fit->solution, 2 * (size_t)k);
        fit->amplitude[k] = hypot(fit->cosine[k], fit->sine[k]);
    }
    return fmax(0.0, fit->square_sum - explained);
}

/* Orders that stand out of the noise; the others only cost variance. */
static int orders_that_count(const harmonic_fit *fit, double residual) {
    double variance =
        residual / fmax(1.0, fit->samples - (double)fit->columns) * 2.0 / fit->samples;
    int top = 1;
    for (int k = 2; k <= fit->orders; k++)
        if (fit->amplitude[k] * fit->amplitude[k] > significant * variance)
            top = k;
    return top;
}

typedef struct newton {
    double hz;
    double u_hz;
    double sigma;
    double strays; /* see sw_tone */
    int settled;
} newton;

/* Mean power of the residual along the derivative by the angle, in blocks, over its mean power
 * along any direction. */
static double strays_of(const harmonic_fit *fit, const sw_signal *signal, size_t first, size_t last,
                        const newton *state) {
    double row[COLUMN_LIMIT];
    double middle = 0.5 * ((double)first + (double)last);
    double cycles = (double)(last - first) / signal->rate_hz * state->hz;
    size_t blocks = (size_t)fmax(3.0, fmin(BLOCK_LIMIT, floor(cycles)));
    double along[BLOCK_LIMIT] = {0};
    double square[BLOCK_LIMIT] = {0};
    for (size_t n = first; n <= last; n++) {
        double x = ((double)n - middle) / signal->rate_hz;
        size_t b = GSL_MIN(blocks - 1, (n - first) * blocks / (last - first + 1));
        fill_row(fit, state->hz, x, 1.0, row);
        double wave = row[0] * gsl_vector_get(fit->solution, 0);
        double slope = 0.0;
        for (int k = 1; k <= fit->orders; k++) {
            size_t at = (size_t)2 * (size_t)k - 1;
            wave += fit->cosine[k] * row[at] + fit->sine[k] * row[at + 1];
            slope += k * (fit->sine[k] * row[at] - fit->cosine[k] * row[at + 1]);
        }
        along[b] += slope * (signal->value[n] - wave);
        square[b] += slope * slope;
    }
    double sum = 0.0;
    for (size_t b = 0; b < blocks; b++)
        sum += along[b] * along[b] / fmax(square[b], 1e-300);
    double freedom = fmax(1.0, (double)blocks - 2.0);
    return sum / freedom / fmax(state->sigma * state->sigma, 1e-300) /
           (1.0 + 4.0 * sqrt(2.0 / freedom));
}

/* Gauss-Newton on the frequency. Its steps shrink only as fast as the harmonics stand out of the
 * noise, hence the many rounds for a record that is short and poor. */
static newton iterate(harmonic_fit *fit, const sw_signal *signal, size_t first, size_t last,
                      double hz) {
    newton state = {.hz = hz};
    size_t all = fit->columns;
    double scale_s = 0.5 * (double)(last - first) / signal->rate_hz;
    accumulate(fit, signal, first, last, hz, all - 1);
    if (isnan(solve(fit, all - 1)))
        return state;
    for (int i = 0; i < NEWTON_ROUNDS; i++) {
        accumulate(fit, signal, first, last, state.hz, all);
        double residual = solve(fit, all);
        if (isnan(residual))
            return state;
        double step = gsl_vector_get(fit->solution, all - 1) / (2.0 * M_PI * scale_s);
        /* Last diagonal element of the Cholesky factor: 1/its square is the variance factor. */
        double pivot = gsl_matrix_get(fit->normal, all - 1, all - 1);
        state.sigma = sqrt(residual / fmax(1.0, fit->samples - (double)all));
        state.u_hz = state.sigma / pivot / (2.0 * M_PI * scale_s);
        double limit = 0.25 / scale_s;
        state.hz += fmax(-limit, fmin(limit, step));
        if (fabs(step) < close_enough * state.u_hz || fabs(step) < 1e-13 * state.hz) {
            state.settled = 1;
            break;
        }
    }
    return state;
}

static sw_status settle(const sw_signal *signal, size_t first, size_t last, int orders, double hz,
                        newton *state, sw_error *error) {
    harmonic_fit fit;
    sw_status status = fit_new(orders, &fit, error);
    if (status == SW_OK) {
        *state = iterate(&fit, signal, first, last, hz);
        state->strays = strays_of(&fit, signal, first, last, state);
        if (!state->settled || fabs(state->hz - hz) > signal->rate_hz / (double)(last - first))
            status =
                sw_fail(error, SW_NO_CONVERGENCE, "the frequency near %.4g Hz did not settle", hz);
    }
    fit_free(&fit);
    return status;
}

/* The highest order worth fitting at a known frequency. */
static sw_status look_for_orders(const sw_signal *signal, size_t first, size_t last, int top,
                                 double hz, int *needed, sw_error *error) {
    harmonic_fit fit;
    sw_status status = fit_new(top, &fit, error);
    *needed = 1;
    if (status == SW_OK) {
        accumulate(&fit, signal, first, last, hz, fit.columns - 1);
        double residual = solve(&fit, fit.columns - 1);
        if (isfinite(residual))
            *needed = orders_that_count(&fit, residual);
    }
    fit_free(&fit);
    return status;
}

sw_status sw_tone_fit(const sw_signal *signal, double from_s, double to_s, int orders,
                      double start_hz, sw_tone *tone, sw_error *error) {
    double first = fmax(0.0, ceil(from_s * signal->rate_hz));
    double last = fmin((double)signal->count - 1.0, floor(to_s * signal->rate_hz));
    int room = (int)(0.45 * signal->rate_hz / start_hz);
    int top = GSL_MAX(1, GSL_MIN(GSL_MIN(orders, ORDER_LIMIT), room));
    if (last - first < 2.0 * top + 6.0)
        return sw_fail(error, SW_TOO_SHORT, "found %g samples, expected at least %d",
                       last - first + 1.0, 2 * top + 7);
    newton state = {0};
    int needed = 1;
    sw_status status = settle(signal, (size_t)first, (size_t)last, 1, start_hz, &state, error);
    if (status == SW_OK && top > 1)
        status =
            look_for_orders(signal, (size_t)first, (size_t)last, top, state.hz, &needed, error);
    if (status == SW_OK && needed > 1)
        status = settle(signal, (size_t)first, (size_t)last, needed, state.hz, &state, error);
    if (status == SW_OK)
        *tone = (sw_tone){.frequency = sw_quantity_of(state.hz, state.u_hz, "Hz"),
                          .sigma = state.sigma,
                          .strays = state.strays};
    return status;
}
