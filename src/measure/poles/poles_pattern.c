/* How well "the magnets repeat every p / t cycles, the shaft every p" explains the cycles.
 *
 * A series y over the cycles is taken as
 *     y = T a + C b + B c + e
 * T: smooth trend, nothing known about a (flat prior).
 * C: one wave, or one and two waves, a shaft turn (run-out, a chuck that wobbles), amplitudes b of
 *    variance g_ripple (a quarter of it for the second wave) in units of the noise variance.
 * B: which of the P = p / t places in the repeating pattern a cycle has; each place has a value
 *    c of its own, of variance g_pattern. P equal values spread over all harmonics of 1/P: this
 *    is the line spectrum k/P with equal power expected in each line.
 * e: white noise of unknown variance (prior 1 / variance).
 * All but the two variance ratios integrates out (Bayesian linear model; O'Hagan & Forster,
 * Kendall's Advanced Theory of Statistics 2B, 2004, ch. 11). With A = I + g_pattern B B',
 * X = [T C], L = diag(0, 1 / prior variances):
 *     S = X' A^-1 X + L,  r = y' A^-1 y - y' A^-1 X S^-1 X' A^-1 y
 *     log m = -1/2 (log|A| + log|S| - log|L|) - (n - trends) / 2 log r + constant,
 * where log|L| runs over the ripple's columns.
 * B'B is diagonal (a cycle has one place), so A^-1 costs nothing and no matrix is larger than the
 * trend: what is needed are sums of rows by place. The variance ratios are summed over a grid
 * that reaches from "none" to far above the noise. Series of one block share S, not the
 * ratios.
 */
#include "src/measure/poles/poles_parts.h"

#include "shared/constants.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
    RIPPLES = 4,
    FEATURE_LIMIT = SW_PATTERN_FEATURE_LIMIT,
    COLUMN_LIMIT = SW_PATTERN_TREND_LIMIT + RIPPLES
};

static const double PATTERN_VARIANCE[SW_PATTERN_GRID] = {0.0, 0.03, 1.0, 30.0, 1e3, 3e4};
static const double RIPPLE_VARIANCE[SW_RIPPLE_GRID] = {0.0,  0.01, 1.0,   100.0, 1e4,
                                                       0.01, 1.0,  100.0, 1e4};
static const size_t RIPPLE_COLUMNS[SW_RIPPLE_GRID] = {0, 2, 2, 2, 2, 4, 4, 4, 4};
static const double RIPPLE_ORDER[RIPPLES] = {1.0, 1.0, 0.25, 0.25}; /* second wave: a quarter */

/* Products of columns and series, as they stand (A = I) or after the pattern was taken out.
 * Columns: trend, then ripple. Of xx only the lower half is filled. */
typedef struct sw_gram {
    double xx[COLUMN_LIMIT][COLUMN_LIMIT];
    double xy[FEATURE_LIMIT][COLUMN_LIMIT];
    double yy[FEATURE_LIMIT];
} sw_gram;

/* Sums of rows by place in the pattern: weight, then columns, then series. */
typedef struct sw_places {
    double weight[SW_POLE_PAIR_LIMIT];
    double x[SW_POLE_PAIR_LIMIT][COLUMN_LIMIT];
    double y[SW_POLE_PAIR_LIMIT][FEATURE_LIMIT];
} sw_places;

/* See start_with_trend. */
typedef struct sw_start {
    double factor[COLUMN_LIMIT][COLUMN_LIMIT];
    double rest[RIPPLES][RIPPLES];
    double right[FEATURE_LIMIT][RIPPLES];
    double left[FEATURE_LIMIT];
    double log_det;
    bool fine;
} sw_start;

typedef struct sw_scorer {
    const sw_pattern_block *block;
    const double *series; /* of the choice in work */
    double *ripple;       /* rows x RIPPLES of the p in work */
    sw_gram *gram;        /* [p] with A = I; [0] without ripple */
    sw_gram *reduced;     /* after a pattern of one variance */
    sw_places *places;    /* of the period in work */
    sw_start *start;      /* of `reduced` */
} sw_scorer;

static size_t next_place(size_t place, size_t period) {
    return place + 1 < period ? place + 1 : 0;
}

static void fill_ripple(const sw_scorer *scorer, int p) {
    double wave[SW_POLE_PAIR_LIMIT][2];
    for (int k = 0; k < p; k++) {
        wave[k][0] = cos(2.0 * M_PI * k / p);
        wave[k][1] = sin(2.0 * M_PI * k / p);
    }
    for (size_t i = 0, k = 0; i < scorer->block->rows; i++, k = next_place(k, (size_t)p)) {
        double scale = scorer->block->scale[i];
        double c = wave[k][0];
        double s = wave[k][1];
        double *row = scorer->ripple + i * RIPPLES;
        row[0] = scale * c;
        row[1] = scale * s;
        row[2] = scale * (c * c - s * s);
        row[3] = scale * 2.0 * c * s;
    }
}

/* Products of the trend (orthonormal) and of the series. */
static void fill_gram(const sw_scorer *scorer, sw_gram *gram) {
    const sw_pattern_block *block = scorer->block;
    memset(gram, 0, sizeof *gram);
    for (size_t k = 0; k < block->trends; k++)
        gram->xx[k][k] = 1.0;
    for (size_t i = 0; i < block->rows; i++) {
        const double *trend = block->trend + i * block->trends;
        const double *series = scorer->series + i * block->features;
        for (size_t f = 0; f < block->features; f++) {
            gram->yy[f] += series[f] * series[f];
            for (size_t k = 0; k < block->trends; k++)
                gram->xy[f][k] += trend[k] * series[f];
        }
    }
}

/* Products of the ripple in work with the trend, itself and the series. */
static void add_ripple(const sw_scorer *scorer, sw_gram *gram) {
    const sw_pattern_block *block = scorer->block;
    size_t trends = block->trends;
    for (size_t i = 0; i < block->rows; i++) {
        const double *ripple = scorer->ripple + i * RIPPLES;
        const double *trend = block->trend + i * trends;
        const double *series = scorer->series + i * block->features;
        for (size_t r = 0; r < RIPPLES; r++) {
            double *row = gram->xx[trends + r];
            for (size_t k = 0; k < trends; k++)
                row[k] += ripple[r] * trend[k];
            for (size_t q = 0; q <= r; q++)
                row[trends + q] += ripple[r] * ripple[q];
            for (size_t f = 0; f < block->features; f++)
                gram->xy[f][trends + r] += ripple[r] * series[f];
        }
    }
}

static void fill_places(const sw_scorer *scorer, size_t period) {
    const sw_pattern_block *block = scorer->block;
    sw_places *places = scorer->places;
    memset(places, 0, sizeof *places);
    for (size_t i = 0, place = 0; i < block->rows; i++, place = next_place(place, period)) {
        double scale = block->scale[i];
        places->weight[place] += scale * scale;
        for (size_t k = 0; k < block->trends; k++)
            places->x[place][k] += scale * block->trend[i * block->trends + k];
        for (size_t f = 0; f < block->features; f++)
            places->y[place][f] += scale * scorer->series[i * block->features + f];
    }
}

static void fill_ripple_places(const sw_scorer *scorer, size_t period) {
    const sw_pattern_block *block = scorer->block;
    for (size_t place = 0; place < period; place++)
        memset(scorer->places->x[place] + block->trends, 0, RIPPLES * sizeof(double));
    for (size_t i = 0, place = 0; i < block->rows; i++, place = next_place(place, period)) {
        double *x = scorer->places->x[place] + block->trends;
        for (size_t r = 0; r < RIPPLES; r++)
            x[r] += block->scale[i] * scorer->ripple[i * RIPPLES + r];
    }
}

/* Products with A^-1 = I - B D B', D = g / (1 + g n) by place; returns log|A|. */
static double take_pattern_out(const sw_scorer *scorer, const sw_gram *full, size_t period,
                               double variance) {
    sw_gram *gram = scorer->reduced;
    size_t columns = scorer->block->trends + RIPPLES;
    size_t features = scorer->block->features;
    double log_det = 0.0;
    *gram = *full;
    for (size_t place = 0; variance > 0.0 && place < period; place++) {
        double growth = 1.0 + variance * scorer->places->weight[place];
        double d = variance / growth;
        const double *x = scorer->places->x[place];
        const double *y = scorer->places->y[place];
        log_det += log(growth);
        for (size_t k = 0; k < columns; k++) {
            double dx = d * x[k];
            for (size_t j = 0; j <= k; j++)
                gram->xx[k][j] -= dx * x[j];
            for (size_t f = 0; f < features; f++)
                gram->xy[f][k] -= dx * y[f];
        }
        for (size_t f = 0; f < features; f++)
            gram->yy[f] -= d * y[f] * y[f];
    }
    return log_det;
}

/* One column of the lower Cholesky factor after another: row i, given the rows above it. False when
 * not positive. */
static bool factor_row(double (*matrix)[COLUMN_LIMIT], size_t row, size_t columns) {
    for (size_t j = 0; j <= row && j < columns; j++) {
        double sum = matrix[row][j];
        for (size_t k = 0; k < j; k++)
            sum -= matrix[row][k] * matrix[j][k];
        if (row != j)
            matrix[row][j] = sum / matrix[j][j];
        else if (sum > 1e-9)
            matrix[row][row] = sqrt(sum);
        else
            return false;
    }
    return true;
}

/* What all ripples of a pair share: the trend's rows of the Cholesky factor, the trend's part of
 * the ripple's rows, and what is left of the ripple's products and of every series once the trend
 * is explained. */
static void start_with_trend(const sw_scorer *scorer) {
    sw_start *start = scorer->start;
    const sw_gram *gram = scorer->reduced;
    size_t trends = scorer->block->trends;
    double(*matrix)[COLUMN_LIMIT] = start->factor;
    start->log_det = 0.0;
    start->fine = true;
    for (size_t i = 0; i < trends + RIPPLES && start->fine; i++) {
        memcpy(matrix[i], gram->xx[i], (i + 1) * sizeof(double));
        start->fine = factor_row(matrix, i, trends);
        if (i < trends && start->fine)
            start->log_det += 2.0 * log(matrix[i][i]);
    }
    for (size_t r = 0; r < RIPPLES && start->fine; r++)
        for (size_t q = 0; q <= r; q++) {
            start->rest[r][q] = matrix[trends + r][trends + q];
            for (size_t k = 0; k < trends; k++)
                start->rest[r][q] -= matrix[trends + r][k] * matrix[trends + q][k];
        }
    for (size_t f = 0; f < scorer->block->features && start->fine; f++) {
        double solved[COLUMN_LIMIT];
        start->left[f] = gram->yy[f];
        for (size_t i = 0; i < trends + RIPPLES; i++) {
            solved[i] = gram->xy[f][i];
            for (size_t k = 0; k < i && k < trends; k++)
                solved[i] -= matrix[i][k] * solved[k];
            if (i >= trends) {
                start->right[f][i - trends] = solved[i];
                continue;
            }
            solved[i] /= matrix[i][i];
            start->left[f] -= solved[i] * solved[i];
        }
    }
}

static double explained(double (*matrix)[COLUMN_LIMIT], const double *right, size_t columns) {
    double solved[RIPPLES];
    double sum = 0.0;
    for (size_t i = 0; i < columns; i++) {
        double value = right[i];
        for (size_t k = 0; k < i; k++)
            value -= matrix[i][k] * solved[k];
        solved[i] = value / matrix[i][i];
        sum += solved[i] * solved[i];
    }
    return sum;
}

/* log m of every series for one pair of variance ratios, after start_with_trend. */
static void score_features(const sw_scorer *scorer, double log_det_a, size_t ripple,
                           double *value) {
    double factored[RIPPLES][COLUMN_LIMIT];
    const sw_pattern_block *block = scorer->block;
    const sw_start *start = scorer->start;
    size_t columns = RIPPLE_COLUMNS[ripple];
    double log_det = log_det_a + start->log_det;
    bool fine = start->fine;
    for (size_t r = 0; r < columns && fine; r++) {
        double variance = RIPPLE_VARIANCE[ripple] * RIPPLE_ORDER[r];
        memcpy(factored[r], start->rest[r], (r + 1) * sizeof(double));
        factored[r][r] += 1.0 / variance;
        fine = factor_row(factored, r, columns);
        log_det += fine ? log(variance) + 2.0 * log(factored[r][r]) : 0.0;
    }
    double freedom = (double)(block->rows - block->trends);
    for (size_t f = 0; f < block->features; f++) {
        if (!fine) {
            value[f] = -INFINITY;
            continue;
        }
        double left = start->left[f] - explained(factored, start->right[f], columns);
        left = fmax(left, 1e-12 * scorer->gram[0].yy[f] + 1e-300);
        value[f] = -0.5 * log_det - 0.5 * freedom * log(left);
    }
}

/* Sum over the variance grid, for p in work with the places of `period` filled. */
static double score_pair(const sw_scorer *scorer, const sw_gram *full, size_t period) {
    sw_grid_values grid;
    size_t patterns = period > 1 ? SW_PATTERN_GRID : 1;
    for (size_t g = 0; g < patterns; g++) {
        double log_det = take_pattern_out(scorer, full, period, PATTERN_VARIANCE[g]);
        start_with_trend(scorer);
        for (size_t r = 0; r < SW_RIPPLE_GRID; r++)
            score_features(scorer, log_det, r, grid.value[g][r]);
    }
    return sw_pattern_sum_grid(&grid, scorer->block->features, patterns);
}

static void score_choice(const sw_scorer *scorer, const bool *wanted, size_t choice,
                         sw_pattern_scores *scores) {
    fill_gram(scorer, &scorer->gram[0]);
    for (int p = 1; p <= SW_POLE_PAIR_LIMIT; p++) {
        if (!wanted[p])
            continue;
        scorer->gram[p] = scorer->gram[0];
        fill_ripple(scorer, p);
        add_ripple(scorer, &scorer->gram[p]);
    }
    for (int period = 1; period <= SW_POLE_PAIR_LIMIT; period++) {
        bool filled = false;
        for (int t = 1; t * period <= SW_POLE_PAIR_LIMIT; t++) {
            int p = t * period;
            if (!wanted[p])
                continue;
            if (!filled)
                fill_places(scorer, (size_t)period);
            filled = true;
            fill_ripple(scorer, p);
            fill_ripple_places(scorer, (size_t)period);
            scores->score[p][t][choice] = score_pair(scorer, &scorer->gram[p], (size_t)period);
        }
    }
}

/* Log likelihood without pattern and ripple. */
static double score_nothing(const sw_scorer *scorer) {
    const sw_pattern_block *block = scorer->block;
    double value[FEATURE_LIMIT];
    double sum = 0.0;
    *scorer->reduced = scorer->gram[0];
    start_with_trend(scorer);
    score_features(scorer, 0.0, 0, value);
    for (size_t f = 0; f < block->features; f++)
        sum += value[f];
    return sum;
}

static void clear_scores(sw_pattern_scores *scores) {
    for (int p = 0; p <= SW_POLE_PAIR_LIMIT; p++) {
        for (int t = 0; t <= SW_POLE_PAIR_LIMIT; t++) {
            for (size_t c = 0; c < SW_STRAY_CHOICES; c++)
                scores->score[p][t][c] = NAN;
        }
    }
}

sw_status sw_pattern_score(const sw_pattern_block *block, const bool *wanted,
                           sw_pattern_scores *scores, double *nothing, sw_error *error) {
    sw_scorer scorer = {.block = block,
                        .ripple = calloc(block->rows * RIPPLES, sizeof(double)),
                        .gram = calloc(SW_POLE_PAIR_LIMIT + 1, sizeof(sw_gram)),
                        .reduced = calloc(1, sizeof(sw_gram)),
                        .places = calloc(1, sizeof(sw_places)),
                        .start = calloc(1, sizeof(sw_start))};
    sw_status status = SW_OK;
    clear_scores(scores);
    if (!scorer.ripple || !scorer.gram || !scorer.reduced || !scorer.places || !scorer.start)
        status = sw_fail(error, SW_MEMORY, "out of memory");
    for (size_t choice = 0; choice < SW_STRAY_CHOICES && status == SW_OK; choice++) {
        scorer.series = choice == 0 ? block->rest : block->series;
        score_choice(&scorer, wanted, choice, scores);
        if (choice == 0)
            *nothing = score_nothing(&scorer);
    }
    free(scorer.ripple);
    free(scorer.gram);
    free(scorer.reduced);
    free(scorer.places);
    free(scorer.start);
    return status;
}
