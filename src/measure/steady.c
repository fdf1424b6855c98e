/* The frequency of a steady periodic wave at the Cramer-Rao bound.
 *
 * For a wave in white noise the maximum-likelihood frequency is the one whose harmonics, fitted by
 * linear least squares, leave the smallest residual (Kay 1993, Example 7.16; for harmonic sets
 * Quinn & Thomson, Biometrika 78, 1991). No window: a window throws away samples. The start, from
 * the cycle starts, is well inside the main lobe, so that Gauss-Newton steps on the frequency
 * (Golub & Pereyra's variable projection with the derivative as one more column) converge in a few
 * rounds. The normal equations are small: two columns an order, one for the offset, one for the
 * frequency. Long stretches are read from a thinned signal by the caller; the cost is samples x
 * columns^2.
 *
 * A drill does not hold its speed. Where the cycle starts stray from a line by more than their
 * noise, only the orders that still add up are fitted (or none: the regression over the starts is
 * the answer then), and how far the mean frequency lies from the line counts as uncertainty.
 */
#include "src/measure/steady.h"

#include <gsl/gsl_fit.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_matrix.h>
#include <gsl/gsl_vector.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

enum { ORDER_LIMIT = 13, COLUMN_LIMIT = 2 * ORDER_LIMIT + 2, NEWTON_ROUNDS = 12 };

/* A harmonic that strays by more than this (cycles, rms) does not add up any more. */
static const double largest_turn = 0.06;
static const double significant = 16.0; /* squared amplitude over its variance */

/* Mean frequency of five cycles: what a stretch is judged by. */
static double calm_frequency(const sw_cycles *cycles, size_t i) {
    size_t from = i > 2 ? i - 2 : 0;
    size_t to = GSL_MIN(i + 2, cycles->count - 1);
    double length = 0.0;
    for (size_t k = from; k <= to; k++)
        length += cycles->cycle[k].length_s;
    return (double)(to - from + 1) / length;
}

/* How far a run from `first` may go with frequencies within a factor 1 + spread. */
static size_t run_from(const double *f, size_t count, size_t first, double spread) {
    double low = f[first];
    double high = f[first];
    size_t i = first;
    while (i + 1 < count) {
        low = fmin(low, f[i + 1]);
        high = fmax(high, f[i + 1]);
        if (high > low * (1.0 + spread))
            break;
        i++;
    }
    return i;
}

static sw_stretch longest_run(const sw_cycles *cycles, const double *f, double spread) {
    sw_stretch best = {0};
    size_t reached = 0;
    for (size_t first = 0; first < cycles->count; first++) {
        /* A run that cannot beat the best by starting here is skipped. */
        if (reached + 1 >= cycles->count && best.last > best.first)
            break;
        size_t last = run_from(f, cycles->count, first, spread);
        reached = last;
        double from_s = cycles->cycle[first].start_s;
        double to_s = cycles->cycle[last].start_s + cycles->cycle[last].length_s;
        if (to_s - from_s > best.to_s - best.from_s)
            best = (sw_stretch){.first = first, .last = last, .from_s = from_s, .to_s = to_s};
        /* Starts inside a run end no earlier; stepping by a sixteenth of it is fine enough. */
        first += (last - first) / 16;
    }
    return best;
}

sw_stretch sw_steady_stretch(const sw_cycles *cycles) {
    static const double spreads[] = {0.02, 0.04, 0.08, 0.16, 0.5};
    sw_stretch best = {0};
    double *f = calloc(cycles->count + 1, sizeof *f);
    if (f == NULL || cycles->count == 0) {
        free(f);
        return best;
    }
    for (size_t i = 0; i < cycles->count; i++)
        f[i] = calm_frequency(cycles, i);
    for (size_t s = 0; s < sizeof spreads / sizeof spreads[0]; s++) {
        best = longest_run(cycles, f, spreads[s]);
        size_t length = best.last - best.first + 1;
        if (length >= 40 || 2 * length > cycles->count)
            break;
    }
    double low = f[best.first];
    double high = f[best.first];
    for (size_t i = best.first; i <= best.last; i++) {
        low = fmin(low, f[i]);
        high = fmax(high, f[i]);
    }
    best.spread = (high - low) / (0.5 * (high + low));
    free(f);
    return best;
}

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
    if (fit->normal != NULL)
        gsl_matrix_free(fit->normal);
    if (fit->right != NULL)
        gsl_vector_free(fit->right);
    if (fit->solution != NULL)
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
    int settled;
} newton;

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
        if (fabs(step) < 1e-4 * state.u_hz || fabs(step) < 1e-13 * state.hz) {
            state.settled = 1;
            break;
        }
    }
    return state;
}

static sw_status settle(const sw_signal *signal, size_t first, size_t last, int orders, double hz,
                        newton *state, int *needed, sw_error *error) {
    harmonic_fit fit;
    sw_status status = fit_new(orders, &fit, error);
    if (status == SW_OK) {
        *state = iterate(&fit, signal, first, last, hz);
        *needed = orders_that_count(&fit, state->sigma * state->sigma * fit.samples);
        if (!state->settled || fabs(state->hz - hz) > signal->rate_hz / (double)(last - first))
            status =
                sw_fail(error, SW_NO_CONVERGENCE, "the frequency near %.4g Hz did not settle", hz);
    }
    fit_free(&fit);
    return status;
}

sw_status sw_steady_frequency(const sw_signal *signal, double from_s, double to_s, int orders,
                              double start_hz, sw_quantity *frequency, double *sigma,
                              sw_error *error) {
    double first = fmax(0.0, ceil(from_s * signal->rate_hz));
    double last = fmin((double)signal->count - 1.0, floor(to_s * signal->rate_hz));
    int room = (int)(0.45 * signal->rate_hz / start_hz);
    int top = GSL_MAX(1, GSL_MIN(GSL_MIN(orders, ORDER_LIMIT), room));
    if (last - first < 2.0 * top + 6.0)
        return sw_fail(error, SW_TOO_SHORT, "found %g samples, expected at least %d",
                       last - first + 1.0, 2 * top + 7);
    newton state = {0};
    int needed = top;
    sw_status status =
        settle(signal, (size_t)first, (size_t)last, top, start_hz, &state, &needed, error);
    if (status == SW_OK && needed < top)
        status =
            settle(signal, (size_t)first, (size_t)last, needed, state.hz, &state, &needed, error);
    if (status != SW_OK)
        return status;
    *frequency = sw_quantity_of(state.hz, state.u_hz, "Hz");
    *sigma = state.sigma;
    return SW_OK;
}

/* Line through the cycle starts of a stretch. */
typedef struct start_line {
    double period_s;
    double period_u_s; /* if the residuals were independent */
    double rms_s;      /* residual */
    double noise_s;    /* what the noise floor alone would leave */
} start_line;

static sw_status fit_starts(const sw_cycles *cycles, const sw_stretch *stretch, start_line *line,
                            sw_error *error) {
    size_t count = stretch->last - stretch->first + 2;
    double *x = calloc(2 * count, sizeof *x);
    if (x == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for a frequency fit");
    double *y = x + count;
    double noise = 0.0;
    for (size_t i = 0; i < count; i++) {
        const sw_cycle *cycle = &cycles->cycle[GSL_MIN(stretch->first + i, stretch->last)];
        x[i] = (double)i;
        y[i] = cycle->start_s + (i + 1 == count ? cycle->length_s : 0.0);
        /* Two starts make a length; neighbours correlate by 1/6 (cycles.c). */
        noise += cycle->length_u_s * cycle->length_u_s * 0.6;
    }
    double c0;
    double c00;
    double c01;
    double c11;
    double squares;
    gsl_fit_linear(x, 1, y, 1, count, &c0, &line->period_s, &c00, &c01, &c11, &squares);
    line->period_u_s = sqrt(c11);
    line->rms_s = count > 2 ? sqrt(squares / (double)(count - 2)) : 0.0;
    line->noise_s = sqrt(noise / (double)count);
    free(x);
    return SW_OK;
}

/* The stretch, and what of a cycle is left at the ends of the record. */
static void widen(const sw_signal *signal, const sw_cycles *cycles, sw_stretch *stretch,
                  double period_s) {
    double end_s = ((double)signal->count - 1.0) / signal->rate_hz;
    if (stretch->first == 0 && stretch->from_s < 1.6 * period_s)
        stretch->from_s = 0.0;
    if (stretch->last + 1 == cycles->count && end_s - stretch->to_s < 1.6 * period_s)
        stretch->to_s = end_s;
}

sw_status sw_steady_refine(const sw_signal *signal, const sw_cycles *cycles, sw_stretch *stretch,
                           sw_quantity *frequency, sw_error *error) {
    start_line line = {0};
    sw_status status = fit_starts(cycles, stretch, &line, error);
    if (status != SW_OK)
        return status;
    double count = (double)(stretch->last - stretch->first + 1);
    double hz = 1.0 / line.period_s;
    double mean_hz = count / (stretch->to_s - stretch->from_s);
    double excess = line.rms_s * line.rms_s - line.noise_s * line.noise_s;
    stretch->wobble = sqrt(fmax(0.0, excess)) / line.period_s;
    /* Chi-square of the residuals, four standard deviations up. */
    double limit = 1.0 + 4.0 * sqrt(2.0 / fmax(1.0, count - 1.0));
    bool steady = count <= 2.0 || line.rms_s * line.rms_s <= limit * line.noise_s * line.noise_s;
    double own = hz * line.period_u_s / line.period_s;
    double astray = steady ? 0.0 : (hz - mean_hz) / sqrt(3.0);
    *frequency = sw_quantity_of(hz, hypot(own, astray), "Hz");
    int orders = ORDER_LIMIT;
    if (!steady)
        orders = (int)fmin(ORDER_LIMIT, largest_turn / stretch->wobble);
    if (orders < 1)
        return SW_OK;
    sw_stretch wide = *stretch;
    widen(signal, cycles, &wide, line.period_s);
    sw_quantity refined;
    double sigma;
    if (sw_steady_frequency(signal, wide.from_s, wide.to_s, orders, hz, &refined, &sigma, NULL) ==
        SW_OK) {
        *frequency = sw_quantity_of(refined.value, hypot(refined.u, astray), "Hz");
        stretch->from_s = wide.from_s;
        stretch->to_s = wide.to_s;
    }
    return SW_OK;
}
