/* Sums over the grid of variance ratios that poles_pattern.c fills.
 *
 * Four kinds of series, each as likely before: neither, ripple, pattern, both. Whether there is a
 * pattern, and whether there is a ripple, is one question for all series of a block; how strong it
 * is, one for each series: so a kind's likelihood is the product over the series of its average
 * over the grid points that the kind has. */
#include "src/measure/poles/poles_parts.h"

#include <math.h>

static const double PATTERN_SHARE[SW_PATTERN_GRID] = {0.4, 0.12, 0.12, 0.12, 0.12, 0.12};
static const double RIPPLE_SHARE[SW_RIPPLE_GRID] = {0.4,   0.075, 0.075, 0.075, 0.075,
                                                    0.075, 0.075, 0.075, 0.075};

double sw_poles_log_sum(double a, double b) {
    double high = fmax(a, b);
    if (!isfinite(high))
        return high;
    return high + log(exp(a - high) + exp(b - high));
}

enum { KINDS = 4 }; /* neither, ripple, pattern, both */

/* Share of a grid point in one kind; 0 when the kind does not have it. */
static double kind_share(size_t kind, size_t pattern, size_t ripple) {
    bool has_pattern = kind >= 2;
    bool has_ripple = kind % 2 == 1;
    if ((pattern > 0 && !has_pattern) || (ripple > 0 && !has_ripple))
        return 0.0;
    return (has_pattern ? PATTERN_SHARE[pattern] : 1.0) * (has_ripple ? RIPPLE_SHARE[ripple] : 1.0);
}

/* Average of one series over the grid points that a kind has, relative to exp(highest). */
static double kind_sum(const sw_grid_values *grid, size_t feature, size_t patterns, size_t kind) {
    double sum = 0.0;
    for (size_t g = 0; g < patterns; g++) {
        for (size_t r = 0; r < SW_RIPPLE_GRID; r++)
            sum += kind_share(kind, g, r) * grid->value[g][r][feature];
    }
    return sum;
}

/* Replace logarithms of one series by values relative to the highest; returns that. */
static double raise(sw_grid_values *grid, size_t feature, size_t patterns) {
    double highest = -INFINITY;
    for (size_t g = 0; g < patterns; g++) {
        for (size_t r = 0; r < SW_RIPPLE_GRID; r++)
            highest = fmax(highest, grid->value[g][r][feature]);
    }
    for (size_t g = 0; g < patterns; g++) {
        for (size_t r = 0; r < SW_RIPPLE_GRID; r++)
            grid->value[g][r][feature] = exp(grid->value[g][r][feature] - highest);
    }
    return highest;
}

double sw_pattern_sum_grid(sw_grid_values *grid, size_t features, size_t patterns) {
    double sum[KINDS] = {0.0};
    size_t kinds = patterns > 1 ? KINDS : 2;
    for (size_t f = 0; f < features; f++) {
        double highest = raise(grid, f, patterns);
        for (size_t kind = 0; kind < kinds; kind++)
            sum[kind] += highest + log(kind_sum(grid, f, patterns, kind));
    }
    double total = -INFINITY;
    for (size_t kind = 0; kind < kinds; kind++)
        total = sw_poles_log_sum(total, sum[kind] - log((double)kinds));
    return total;
}
