/* For a given w the model is linear in the levels and the offset, and the levels are eliminated
 * one by one (variable projection, Golub and Pereyra 1973), so that the sum of squares is a
 * function of w alone: a grid on a logarithmic scale finds its valley, Brent's method its floor.
 *
 * Blocks of a quarter of a millisecond stand for the samples: at 60 Hz low cut the mean over a
 * block differs from the value at its middle by (w T)^2/24 = 4e-4 of the local value at most. */
#include "probes/tap_decay.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_min.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>

static const double BLOCK_S = 0.25e-3;
static const double LONGEST_S = 3; /* of one stretch: beyond there is only noise */
static const double LOWEST_HZ = 0.02;
static const double HIGHEST_HZ = 80;
enum { GRID = 48, ITERATIONS = 60 };

void sw_tap_series_free(sw_tap_series *series) {
    free(series->value);
    free(series->stretch);
    *series = (sw_tap_series){0};
}

static void fill(const double *samples, size_t block, sw_tap_series *series,
                 sw_tap_stretch *stretch, size_t *used) {
    stretch->first = *used;
    size_t longest = (size_t)(LONGEST_S / series->block_s);
    for (size_t i = stretch->begin; i + block <= stretch->end && stretch->count < longest;
         i += block) {
        double sum = 0;
        for (size_t j = 0; j < block; j++)
            sum += samples[i + j];
        series->value[(*used)++] = sum / (double)block;
        stretch->count++;
    }
}

sw_status sw_tap_series_new(const double *samples, size_t count, double rate_hz,
                            const sw_tap_group *groups, size_t found, sw_tap_series *series,
                            sw_error *error) {
    size_t block = (size_t)fmax(1, floor(BLOCK_S * rate_hz));
    size_t used = 0;
    *series = (sw_tap_series){
        .value = calloc(count / block + 1, sizeof *series->value),
        .block_s = (double)block / rate_hz,
        .middle_s = ((double)block - 1) / 2 / rate_hz,
        .stretch = calloc(found + 1, sizeof *series->stretch),
        .stretches = found + 1,
    };
    if (series->value == NULL || series->stretch == NULL) {
        sw_tap_series_free(series);
        return sw_fail(error, SW_MEMORY, "not enough memory");
    }
    for (size_t k = 0; k <= found; k++) {
        series->stretch[k].begin = k > 0 ? groups[k - 1].end : 0;
        series->stretch[k].end = k < found ? groups[k].begin : count;
        fill(samples, block, series, &series->stretch[k], &used);
    }
    return SW_OK;
}

/* Sums of one stretch: e = exp(-w t) at the blocks' middles. */
typedef struct sums {
    double n, e, ee, v, vv, ev;
} sums;

static sums sums_of(const sw_tap_series *series, const sw_tap_stretch *stretch, double w) {
    sums s = {.n = (double)stretch->count};
    double e = exp(-w * series->middle_s);
    double ratio = exp(-w * series->block_s);
    for (size_t i = 0; i < stretch->count; i++, e *= ratio) {
        double v = series->value[stretch->first + i];
        s.e += e;
        s.ee += e * e;
        s.v += v;
        s.vv += v * v;
        s.ev += e * v;
    }
    return s;
}

/* Best offset for this w, and what is left: with the level taken out, each stretch is quadratic
 * in the offset b: sum (v - b)^2 - (sum e (v - b))^2 / sum e^2. */
static double residual(const sw_tap_series *series, double w, double *offset) {
    double constant = 0;
    double linear = 0;
    double square = 0;
    for (size_t k = 0; k < series->stretches; k++) {
        if (series->stretch[k].count == 0)
            continue;
        sums s = sums_of(series, &series->stretch[k], w);
        constant += s.vv - s.ev * s.ev / s.ee;
        linear += s.v - s.e * s.ev / s.ee;
        square += s.n - s.e * s.e / s.ee;
    }
    *offset = square > 0 ? linear / square : 0;
    return constant - linear * *offset;
}

typedef struct problem {
    const sw_tap_series *series;
    size_t stretch;
    double offset;
} problem;

static double all_at(double log_w, void *user) {
    double offset = 0;
    return residual(((const problem *)user)->series, exp(log_w), &offset);
}

static double one_at(double log_w, void *user) {
    const problem *one = user;
    sums s = sums_of(one->series, &one->series->stretch[one->stretch], exp(log_w));
    double ev = s.ev - one->offset * s.e;
    double vv = s.vv - 2 * one->offset * s.v + one->offset * one->offset * s.n;
    return vv - ev * ev / s.ee;
}

/* Brent's method from a bracket; NaN when it is none. */
static double floor_of(double (*function)(double, void *), problem *user, double low, double middle,
                       double high) {
    gsl_function f = {function, user};
    double at_middle = function(middle, user);
    if (!(at_middle < function(low, user) && at_middle < function(high, user)))
        return NAN;
    gsl_min_fminimizer *search = gsl_min_fminimizer_alloc(gsl_min_fminimizer_brent);
    if (search == NULL)
        return NAN;
    int failed = gsl_min_fminimizer_set(search, &f, middle, low, high);
    int state = GSL_CONTINUE;
    for (int i = 0; !failed && state == GSL_CONTINUE && i < ITERATIONS; i++) {
        failed = gsl_min_fminimizer_iterate(search);
        state = gsl_min_test_interval(gsl_min_fminimizer_x_lower(search),
                                      gsl_min_fminimizer_x_upper(search), 1e-6, 0);
    }
    double x = gsl_min_fminimizer_x_minimum(search);
    gsl_min_fminimizer_free(search);
    return failed || state != GSL_SUCCESS ? NAN : x;
}

static double grid_at(int i) {
    double low = log(2 * M_PI * LOWEST_HZ);
    double high = log(2 * M_PI * HIGHEST_HZ);
    return low + (high - low) * i / (GRID - 1);
}

sw_status sw_tap_decay_fit(const sw_tap_series *series, double *w, double *offset,
                           sw_error *error) {
    problem all = {series, 0, 0};
    int best = 0;
    double least = INFINITY;
    for (int i = 0; i < GRID; i++) {
        double left = all_at(grid_at(i), &all);
        if (left < least) {
            least = left;
            best = i;
        }
    }
    if (best == GRID - 1)
        return sw_fail(error, SW_NO_CONVERGENCE,
                       "the steps do not last: a low cut above %g Hz, or not a battery's taps",
                       HIGHEST_HZ);
    if (best == 0) {
        *w = 0;
        *offset = 0;
        return SW_OK;
    }
    double log_w = floor_of(all_at, &all, grid_at(best - 1), grid_at(best), grid_at(best + 1));
    if (isnan(log_w))
        return sw_fail(error, SW_NO_CONVERGENCE, "no low cut fits the steps' decay");
    *w = exp(log_w);
    residual(series, *w, offset);
    return SW_OK;
}

double sw_tap_decay_one(const sw_tap_series *series, size_t stretch, double offset, double w) {
    problem one = {series, stretch, offset};
    return exp(floor_of(one_at, &one, log(w / 2), log(w), log(2 * w)));
}

double sw_tap_level(const sw_tap_series *series, size_t stretch, double w, double offset) {
    if (series->stretch[stretch].count == 0)
        return NAN;
    sums s = sums_of(series, &series->stretch[stretch], w);
    return (s.ev - offset * s.e) / s.ee;
}

/* Residual over height at block j, mean of every second stretch from `from` on. */
static double mean_residual(const sw_tap_series *series, const size_t *stretches,
                            const double *heights, const double *levels, size_t count, size_t from,
                            size_t j, double decay, double offset) {
    double sum = 0;
    double used = 0;
    for (size_t k = from; k < count; k += 2) {
        const sw_tap_stretch *stretch = &series->stretch[stretches[k]];
        sum += (series->value[stretch->first + j] - offset - levels[k] * decay) / heights[k];
        used++;
    }
    return sum / used;
}

/* Noise and hum differ between the odd and the even stretches, what the model lacks does not: the
 * product of their mean residuals is its square, the half difference shows the scatter. */
double sw_tap_misfit(const sw_tap_series *series, const size_t *stretches, const double *heights,
                     size_t count, double w, double offset) {
    double *levels = calloc(count + 1, sizeof *levels);
    size_t blocks = SIZE_MAX;
    double common = 0;
    double scatter = 0;
    if (levels == NULL || count < 4) {
        free(levels);
        return 0;
    }
    for (size_t k = 0; k < count; k++) {
        levels[k] = sw_tap_level(series, stretches[k], w, offset);
        size_t length = series->stretch[stretches[k]].count;
        blocks = length < blocks ? length : blocks;
    }
    for (size_t j = 0; j < blocks; j++) {
        double decay = exp(-w * (series->middle_s + (double)j * series->block_s));
        double odd = mean_residual(series, stretches, heights, levels, count, 1, j, decay, offset);
        double even = mean_residual(series, stretches, heights, levels, count, 0, j, decay, offset);
        common += odd * even;
        scatter += gsl_pow_2((odd - even) / 2);
    }
    free(levels);
    if (!(common > 3 * scatter))
        return 0;
    /* Over the decay's own time, not over the flat end. */
    double least = 4 / ((double)blocks * series->block_s);
    return sqrt(common * series->block_s * fmax(w, least));
}
