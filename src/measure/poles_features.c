/* The cycles as series in which a shaft turn can show.
 *
 * Motion: the relative length of each cycle. Shape: what a cycle looks like, as the coefficients
 * of its harmonics; noise that is white over the angle is independent between them. Speed that
 * varies inside a cycle bends the shape; so what the lengths of this cycle and its neighbours
 * explain is taken out, and what the shapes say is beyond what the lengths have said already.
 *
 * Each series then loses a slow trend, its rows are divided by their relative noise (a slow cycle
 * is a noisy one), stray rows are pulled in, and its noise floor is flattened: crossing noise
 * makes lengths blue, a hand's wobble makes them red, and only over a white floor may lines be
 * weighed by their height.
 */
#include "src/measure/poles_parts.h"

#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { HARMONICS = 8, SHAPE_FEATURES = 2 * HARMONICS, NEIGHBOURS = 3 };

static const double PI = 3.14159265358979323846;
static const double NORMAL_MAD = 0.6745; /* median of |x| of a standard normal x */
static const double CLIP_DEVIATIONS = 8.0;

static double median_of(double *values, size_t count) {
    gsl_sort(values, 1, count);
    return gsl_stats_median_from_sorted_data(values, 1, count);
}

/* Variance of the white part of a series: second differences see no trend, and their variance
 * is 3/2 of it. Column `at` of rows of `stride`. */
static double white_variance(const double *series, size_t rows, size_t stride, size_t at,
                             double *scratch) {
    for (size_t i = 1; i + 1 < rows; i++) {
        double middle = series[i * stride + at];
        double beside = 0.5 * (series[(i - 1) * stride + at] + series[(i + 1) * stride + at]);
        scratch[i - 1] = fabs(middle - beside);
    }
    double deviation = median_of(scratch, rows - 2) / NORMAL_MAD;
    return deviation * deviation / 1.5;
}

/* Row weights: stated noise of a row plus what the series shows beyond it. */
static void set_scales(const double *stated, size_t rows, double white, double *scratch,
                         double *scale) {
    memcpy(scratch, stated, rows * sizeof *scratch);
    double usual = median_of(scratch, rows);
    double beyond = fmax(white - usual, 0.1 * white);
    double unit = usual + beyond;
    for (size_t i = 0; i < rows; i++)
        scale[i] = unit > 0.0 ? 1.0 / sqrt((stated[i] + beyond) / unit) : 1.0;
}

static sw_status block_new(sw_pattern_block *block, size_t rows, size_t trends, size_t features,
                           sw_error *error) {
    *block = (sw_pattern_block){.rows = rows, .trends = trends, .features = features};
    block->trend = calloc(rows * trends, sizeof *block->trend);
    block->series = calloc(rows * features, sizeof *block->series);
    block->scale = calloc(rows, sizeof *block->scale);
    block->stray = calloc(rows * 2 * SW_STRAY_LIMIT, sizeof *block->stray);
    if (block->trend && block->series && block->scale && block->stray)
        return SW_OK;
    return sw_fail(error, SW_MEMORY, "out of memory");
}

void sw_pattern_block_free(sw_pattern_block *block) {
    free(block->trend);
    free(block->series);
    free(block->scale);
    free(block->stray);
    *block = (sw_pattern_block){0};
}

/* Take orthonormal columns out of one series. */
static void take_out(const double *columns, size_t count, sw_pattern_block *block, size_t feature) {
    size_t stride = block->features;
    for (size_t k = 0; k < count; k++) {
        double sum = 0.0;
        for (size_t i = 0; i < block->rows; i++)
            sum += columns[i * count + k] * block->series[i * stride + feature];
        for (size_t i = 0; i < block->rows; i++)
            block->series[i * stride + feature] -= sum * columns[i * count + k];
    }
}

/* Pull in stray rows of one series; returns whether there were any. */
static bool pull_in(sw_pattern_block *block, size_t feature, double *scratch) {
    bool any = false;
    for (size_t i = 0; i < block->rows; i++)
        scratch[i] = fabs(block->series[i * block->features + feature]);
    double limit = CLIP_DEVIATIONS * median_of(scratch, block->rows) / NORMAL_MAD;
    for (size_t i = 0; i < block->rows; i++) {
        double *value = &block->series[i * block->features + feature];
        any = any || fabs(*value) > limit;
        *value = fmax(-limit, fmin(limit, *value));
    }
    return any;
}

/* Take out, pull in, whiten; in the end the series is free of the trend (poles_pattern.c relies
 * on it). `extra` are orthonormal columns taken out before whitening. */
static sw_status clean(sw_pattern_block *block, const double *extra, size_t extras, size_t feature,
                       double *scratch, sw_error *error) {
    take_out(extra, extras, block, feature);
    for (int pass = 0; pass < 3 && pull_in(block, feature, scratch); pass++)
        take_out(extra, extras, block, feature);
    sw_status status =
        sw_poles_whiten(block->series + feature, block->rows, block->features, error);
    take_out(block->trend, block->trends, block, feature);
    return status;
}

/* Finish a block whose series are filled but not scaled: `neighbours` columns of log lengths are
 * explained away first. */
static sw_status finish(const sw_cycles *cycles, size_t neighbours, sw_pattern_block *block,
                        double *scratch, sw_error *error) {
    size_t rows = block->rows;
    size_t splines = block->trends;
    size_t extras = splines + neighbours;
    double *extra = calloc(rows * extras, sizeof *extra);
    sw_status status = extra ? SW_OK : sw_fail(error, SW_MEMORY, "out of memory");
    if (status == SW_OK)
        status = sw_poles_trend(cycles, splines, block->trend, error);
    for (size_t i = 0; i < rows && status == SW_OK; i++) {
        for (size_t k = 0; k < splines; k++) {
            block->trend[i * splines + k] *= block->scale[i];
            extra[i * extras + k] = block->trend[i * splines + k];
        }
        for (size_t k = 0; k < neighbours; k++) {
            size_t at = i + k > 0 ? i + k - 1 : 0;
            at = at < rows ? at : rows - 1;
            extra[i * extras + splines + k] =
                block->scale[i] * log(cycles->cycle[at].length_s / cycles->cycle[rows / 2].length_s);
        }
        for (size_t f = 0; f < block->features; f++)
            block->series[i * block->features + f] *= block->scale[i];
    }
    if (status == SW_OK) {
        block->trends = sw_poles_orthonormal(block->trend, rows, splines);
        extras = sw_poles_orthonormal(extra, rows, extras);
    }
    for (size_t f = 0; f < block->features && status == SW_OK; f++)
        status = clean(block, extra, extras, f, scratch, error);
    free(extra);
    return status;
}

static double known_square(double value) {
    return isfinite(value) ? value * value : 0.0;
}

/* Trend columns that a record of so many cycles can spare. */
static size_t trend_columns(size_t rows, size_t most) {
    size_t columns = rows / 8;
    columns = columns < 4 ? 4 : columns;
    return columns < most ? columns : most;
}

sw_status sw_poles_motion(const sw_cycles *cycles, sw_pattern_block *block, sw_error *error) {
    size_t rows = cycles->count;
    double *stated = calloc(2 * rows, sizeof *stated);
    sw_status status = block_new(block, rows, trend_columns(rows, 10), 1, error);
    if (status == SW_OK && !stated)
        status = sw_fail(error, SW_MEMORY, "out of memory");
    if (status == SW_OK) {
        double *scratch = stated + rows;
        for (size_t i = 0; i < rows; i++) {
            const sw_cycle *cycle = &cycles->cycle[i];
            block->series[i] = log(cycle->length_s);
            stated[i] = known_square(cycle->length_u_s / cycle->length_s);
        }
        double white = white_variance(block->series, rows, 1, 0, scratch);
        set_scales(stated, rows, white, scratch, block->scale);
        status = finish(cycles, 0, block, scratch, error);
    }
    free(stated);
    return status;
}

/* Coefficients of harmonics 1 .. HARMONICS of one cycle. */
static void analyse_shape(const double *shape, double *coefficients) {
    for (int h = 1; h <= HARMONICS; h++) {
        double in_phase = 0.0;
        double quadrature = 0.0;
        for (int k = 0; k < SW_CYCLE_POINTS; k++) {
            double angle = 2.0 * PI * h * k / SW_CYCLE_POINTS;
            in_phase += shape[k] * sin(angle);
            quadrature += shape[k] * cos(angle);
        }
        coefficients[2 * (h - 1)] = 2.0 * in_phase / SW_CYCLE_POINTS;
        coefficients[2 * (h - 1) + 1] = 2.0 * quadrature / SW_CYCLE_POINTS;
    }
}

sw_status sw_poles_shape(const sw_cycles *cycles, sw_pattern_block *block, sw_error *error) {
    size_t rows = cycles->count;
    double *stated = calloc(2 * rows, sizeof *stated);
    sw_status status = block_new(block, rows, trend_columns(rows, 6), SHAPE_FEATURES, error);
    if (status == SW_OK && !stated)
        status = sw_fail(error, SW_MEMORY, "out of memory");
    if (status == SW_OK) {
        double *scratch = stated + rows;
        double white = 0.0;
        for (size_t i = 0; i < rows; i++) {
            analyse_shape(cycles->cycle[i].shape, block->series + i * SHAPE_FEATURES);
            /* a coefficient is a mean over the points: var = 2 u^2 / points */
            stated[i] = known_square(cycles->cycle[i].shape_u) * 2.0 / SW_CYCLE_POINTS;
        }
        for (size_t f = 0; f < SHAPE_FEATURES; f++)
            white += white_variance(block->series, rows, SHAPE_FEATURES, f, scratch);
        set_scales(stated, rows, white / SHAPE_FEATURES, scratch, block->scale);
        status = finish(cycles, NEIGHBOURS, block, scratch, error);
    }
    free(stated);
    return status;
}
