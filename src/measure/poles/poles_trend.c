/* The trend that nobody asks about: speed that drifts, volts that drift.
 *
 * Cubic B-splines over the cycle number. A hand's wobble is slow in time, so knots follow time;
 * but a slow start has few cycles in much time, so they follow cycles as well: knots are equally
 * spaced in the mean of both (each as a share of the whole).
 */
#include "src/measure/poles/poles_parts.h"

#include <gsl/gsl_bspline.h>
#include <math.h>

enum { ORDER = 4 }; /* cubic */

/* Share of the record that has passed at cycle i, in [0, 1]. */
static double progress(const sw_cycles *cycles, size_t i) {
    const sw_cycle *first = &cycles->cycle[0];
    const sw_cycle *last = &cycles->cycle[cycles->count - 1];
    double in_time = (cycles->cycle[i].start_s - first->start_s) / (last->start_s - first->start_s);
    double in_cycles = (double)i / (double)(cycles->count - 1);
    return 0.5 * (in_time + in_cycles);
}

static void place_knots(const sw_cycles *cycles, gsl_vector *knots) {
    size_t i = 0;
    for (size_t k = 0; k < knots->size; k++) {
        double target = (double)k / (double)(knots->size - 1);
        while (i + 2 < cycles->count && progress(cycles, i + 1) < target)
            i++;
        double low = progress(cycles, i);
        double step = progress(cycles, i + 1) - low;
        gsl_vector_set(knots, k, (double)i + fmin(1.0, fmax(0.0, (target - low) / step)));
    }
    gsl_vector_set(knots, 0, 0.0);
    gsl_vector_set(knots, knots->size - 1, (double)(cycles->count - 1));
}

/* Powers of the cycle number, for records too short for splines. */
static void fill_powers(size_t rows, size_t wanted, double *columns) {
    for (size_t i = 0; i < rows; i++) {
        double x = 2.0 * (double)i / (double)(rows - 1) - 1.0;
        double power = 1.0;
        for (size_t j = 0; j < wanted; j++) {
            columns[i * wanted + j] = power;
            power *= x;
        }
    }
}

sw_status sw_poles_trend(const sw_cycles *cycles, size_t wanted, double *columns, sw_error *error) {
    if (wanted < ORDER) {
        fill_powers(cycles->count, wanted, columns);
        return SW_OK;
    }
    size_t breaks = wanted - ORDER + 2;
    gsl_bspline_workspace *work = gsl_bspline_alloc(ORDER, breaks);
    gsl_vector *knots = gsl_vector_alloc(breaks);
    gsl_vector *basis = gsl_vector_alloc(wanted);
    sw_status status = SW_OK;
    if (!work || !knots || !basis) {
        status = sw_fail(error, SW_MEMORY, "out of memory");
    } else {
        place_knots(cycles, knots);
        gsl_bspline_knots(knots, work);
        for (size_t i = 0; i < cycles->count; i++) {
            gsl_bspline_eval((double)i, basis, work);
            for (size_t j = 0; j < wanted; j++)
                columns[i * wanted + j] = gsl_vector_get(basis, j);
        }
    }
    gsl_bspline_free(work);
    gsl_vector_free(knots);
    gsl_vector_free(basis);
    return status;
}

static double product(const double *columns, size_t rows, size_t stride, size_t a, size_t b) {
    double sum = 0.0;
    for (size_t i = 0; i < rows; i++)
        sum += columns[i * stride + a] * columns[i * stride + b];
    return sum;
}

static void subtract(double *columns, size_t rows, size_t stride, size_t from, size_t what,
                     double factor) {
    for (size_t i = 0; i < rows; i++)
        columns[i * stride + from] -= factor * columns[i * stride + what];
}

/* Column `from`, made orthogonal to the `kept` first ones and of unit length, becomes column
 * `kept`; false when nothing is left of it. Twice is enough (Giraud, Langou & Rozloznik 2005). */
static bool keep_column(double *columns, size_t rows, size_t stride, size_t kept, size_t from) {
    double before = sqrt(product(columns, rows, stride, from, from));
    for (int pass = 0; pass < 2; pass++) {
        for (size_t k = 0; k < kept; k++)
            subtract(columns, rows, stride, from, k, product(columns, rows, stride, from, k));
    }
    double after = sqrt(product(columns, rows, stride, from, from));
    if (!(after > 1e-7 * before))
        return false;
    for (size_t i = 0; i < rows; i++)
        columns[i * stride + kept] = columns[i * stride + from] / after;
    return true;
}

size_t sw_poles_orthonormal(double *columns, size_t rows, size_t count) {
    size_t kept = 0;
    for (size_t from = 0; from < count; from++) {
        if (keep_column(columns, rows, count, kept, from))
            kept++;
    }
    for (size_t i = 0; i < rows && kept < count; i++) {
        for (size_t k = 0; k < kept; k++)
            columns[i * kept + k] = columns[i * count + k];
    }
    return kept;
}
