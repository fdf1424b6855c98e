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
#include "src/measure/poles/poles_parts.h"

#include "shared/constants.h"

#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { HARMONICS = 8, SHAPE_FEATURES = 2 * HARMONICS, NEIGHBOURS = 3, LEVEL_WINDOW = 7 };

static const double NORMAL_MAD = 0.6745; /* median of |x| of a standard normal x */
/* The first and last two cycles of a record were cut with half the signal around them. */
static const double END_TRUST = 0.25;
static const double CLIP_DEVIATIONS = 7.0;

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
    for (size_t i = 0; i < rows; i++) {
        bool at_end = i < 2 || i + 2 >= rows;
        scale[i] = unit > 0.0 ? 1.0 / sqrt((stated[i] + beyond) / unit) : 1.0;
        scale[i] *= at_end ? END_TRUST : 1.0;
    }
}

static sw_status block_new(sw_pattern_block *block, size_t rows, size_t trends, size_t features,
                           sw_error *error) {
    *block = (sw_pattern_block){.rows = rows, .trends = trends, .features = features};
    block->trend = calloc(rows * trends, sizeof *block->trend);
    block->series = calloc(rows * features, sizeof *block->series);
    block->scale = calloc(rows, sizeof *block->scale);
    block->rest = calloc(rows * features, sizeof *block->rest);
    if (block->trend && block->series && block->scale && block->rest)
        return SW_OK;
    return sw_fail(error, SW_MEMORY, "out of memory");
}

void sw_pattern_block_free(sw_pattern_block *block) {
    free(block->trend);
    free(block->series);
    free(block->scale);
    free(block->rest);
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

/* Columns of the trend, and of what is explained away beside it, at the block's row scale. */
static sw_status make_columns(const sw_cycles *cycles, size_t splines, size_t neighbours,
                              sw_pattern_block *block, double *extra, size_t *extras,
                              sw_error *error) {
    size_t rows = block->rows;
    sw_status status = sw_poles_trend(cycles, splines, block->trend, error);
    *extras = splines + neighbours;
    for (size_t i = 0; i < rows && status == SW_OK; i++) {
        double *row = extra + i * *extras;
        for (size_t k = 0; k < splines; k++) {
            block->trend[i * splines + k] *= block->scale[i];
            row[k] = block->trend[i * splines + k];
        }
        for (size_t k = 0; k < neighbours; k++) {
            size_t at = i + k > 0 ? i + k - 1 : 0;
            at = at < rows ? at : rows - 1;
            row[splines + k] = block->scale[i] *
                               log(cycles->cycle[at].length_s / cycles->cycle[rows / 2].length_s);
        }
    }
    if (status == SW_OK) {
        block->trends = sw_poles_orthonormal(block->trend, rows, splines);
        *extras = sw_poles_orthonormal(extra, rows, *extras);
    }
    return status;
}

/* Mean square of a row over the series, each relative to its median. */
static void row_levels(const sw_pattern_block *block, double *level, double *scratch) {
    size_t rows = block->rows;
    memset(level, 0, rows * sizeof *level);
    for (size_t f = 0; f < block->features; f++) {
        for (size_t i = 0; i < rows; i++)
            scratch[i] = fabs(block->series[i * block->features + f]);
        double usual = median_of(scratch, rows);
        for (size_t i = 0; i < rows && usual > 0.0; i++) {
            double relative = block->series[i * block->features + f] / usual;
            level[i] += relative * relative;
        }
    }
}

/* Rows amid rows that stray more than most are trusted less. */
static void learn_scales(sw_pattern_block *block, double *level, double *scratch) {
    double around[LEVEL_WINDOW];
    size_t rows = block->rows;
    if (rows < SW_SHORT_ROWS)
        return; /* a ripple would be taken for noise */
    row_levels(block, level, scratch);
    for (size_t i = 0; i < rows; i++) {
        size_t low = i > LEVEL_WINDOW / 2 ? i - LEVEL_WINDOW / 2 : 0;
        size_t high = low + LEVEL_WINDOW < rows ? low + LEVEL_WINDOW : rows;
        low = high - low < LEVEL_WINDOW && high > LEVEL_WINDOW ? high - LEVEL_WINDOW : low;
        memcpy(around, level + low, (high - low) * sizeof *around);
        scratch[i] = median_of(around, high - low);
    }
    memcpy(level, scratch, rows * sizeof *level);
    double usual = median_of(level, rows);
    for (size_t i = 0; i < rows && usual > 0.0; i++)
        block->scale[i] /= sqrt(fmax(1.0, scratch[i] / usual));
}

/* Fill the block's series from raw rows at the block's row scale. */
static void scale_series(const double *raw, sw_pattern_block *block) {
    for (size_t i = 0; i < block->rows; i++) {
        for (size_t f = 0; f < block->features; f++)
            block->series[i * block->features + f] = raw[i * block->features + f] * block->scale[i];
    }
}

/* Over a white floor the ends of a record stand out once more: whitening made room for them. */
static sw_status weigh_again(const sw_cycles *cycles, size_t splines, sw_pattern_block *block,
                             double *extra, double *scratch, sw_error *error) {
    size_t rows = block->rows;
    double *before = scratch + 2 * rows;
    memcpy(before, block->scale, rows * sizeof *before);
    learn_scales(block, scratch + rows, scratch);
    for (size_t i = 0; i < rows; i++) {
        for (size_t f = 0; f < block->features; f++)
            block->series[i * block->features + f] *= block->scale[i] / before[i];
    }
    size_t extras = 0;
    sw_status status = make_columns(cycles, splines, 0, block, extra, &extras, error);
    for (size_t f = 0; f < block->features && status == SW_OK; f++) {
        pull_in(block, f, scratch);
        take_out(block->trend, block->trends, block, f);
    }
    return status;
}

/* Finish a block whose row scale is what the noise says: `neighbours` columns of log lengths are
 * explained away too. */
static sw_status finish(const sw_cycles *cycles, const double *raw, size_t neighbours,
                        sw_pattern_block *block, sw_error *error) {
    size_t rows = block->rows;
    size_t splines = block->trends;
    size_t extras = 0;
    double *extra = calloc(rows * (splines + neighbours), sizeof *extra);
    double *scratch = calloc(3 * rows, sizeof *scratch);
    sw_status status = extra && scratch ? SW_OK : sw_fail(error, SW_MEMORY, "out of memory");
    for (int pass = 0; pass < 2 && status == SW_OK; pass++) {
        scale_series(raw, block);
        status = make_columns(cycles, splines, neighbours, block, extra, &extras, error);
        if (status != SW_OK || pass > 0)
            break;
        for (size_t f = 0; f < block->features; f++)
            take_out(extra, extras, block, f);
        learn_scales(block, scratch + rows, scratch);
    }
    for (size_t f = 0; f < block->features && status == SW_OK; f++)
        status = clean(block, extra, extras, f, scratch, error);
    if (status == SW_OK)
        status = weigh_again(cycles, splines, block, extra, scratch, error);
    free(extra);
    free(scratch);
    return status;
}

static double known_square(double value) {
    return isfinite(value) ? value * value : 0.0;
}

/* Trend columns that a record of so many cycles can spare. */
static size_t trend_columns(size_t rows, size_t most) {
    size_t columns = rows / 8;
    columns = columns < 2 ? 2 : columns;
    return columns < most ? columns : most;
}

sw_status sw_poles_motion(const sw_cycles *cycles, sw_pattern_block *block, sw_error *error) {
    size_t rows = cycles->count;
    double *raw = calloc(3 * rows, sizeof *raw);
    sw_status status = block_new(block, rows, trend_columns(rows, 10), 1, error);
    if (status == SW_OK && !raw)
        status = sw_fail(error, SW_MEMORY, "out of memory");
    if (status == SW_OK) {
        double *stated = raw + rows;
        double *scratch = stated + rows;
        for (size_t i = 0; i < rows; i++) {
            const sw_cycle *cycle = &cycles->cycle[i];
            raw[i] = log(cycle->length_s);
            stated[i] = known_square(cycle->length_u_s / cycle->length_s);
        }
        double white = white_variance(raw, rows, 1, 0, scratch);
        set_scales(stated, rows, white, scratch, block->scale);
        status = finish(cycles, raw, 0, block, error);
    }
    free(raw);
    return status;
}

/* Coefficients of harmonics 1 .. HARMONICS of one cycle. */
static void analyse_shape(const double *shape, double *coefficients) {
    for (int h = 1; h <= HARMONICS; h++) {
        double in_phase = 0.0;
        double quadrature = 0.0;
        for (int k = 0; k < SW_CYCLE_POINTS; k++) {
            double angle = 2.0 * M_PI * h * k / SW_CYCLE_POINTS;
            in_phase += shape[k] * sin(angle);
            quadrature += shape[k] * cos(angle);
        }
        coefficients[2 * (h - 1)] = 2.0 * in_phase / SW_CYCLE_POINTS;
        coefficients[2 * (h - 1) + 1] = 2.0 * quadrature / SW_CYCLE_POINTS;
    }
}

sw_status sw_poles_shape(const sw_cycles *cycles, sw_pattern_block *block, sw_error *error) {
    size_t rows = cycles->count;
    double *raw = calloc((SHAPE_FEATURES + 2) * rows, sizeof *raw);
    sw_status status = block_new(block, rows, trend_columns(rows, 6), SHAPE_FEATURES, error);
    if (status == SW_OK && !raw)
        status = sw_fail(error, SW_MEMORY, "out of memory");
    if (status == SW_OK) {
        double *stated = raw + SHAPE_FEATURES * rows;
        double *scratch = stated + rows;
        double white = 0.0;
        for (size_t i = 0; i < rows; i++) {
            analyse_shape(cycles->cycle[i].shape, raw + i * SHAPE_FEATURES);
            /* a coefficient is a mean over the points: var = 2 u^2 / points */
            stated[i] = known_square(cycles->cycle[i].shape_u) * 2.0 / SW_CYCLE_POINTS;
        }
        for (size_t f = 0; f < SHAPE_FEATURES; f++)
            white += white_variance(raw, rows, SHAPE_FEATURES, f, scratch);
        set_scales(stated, rows, white / SHAPE_FEATURES, scratch, block->scale);
        status = finish(cycles, raw, rows < SW_SHORT_ROWS ? 0 : NEIGHBOURS, block, error);
    }
    free(raw);
    return status;
}
