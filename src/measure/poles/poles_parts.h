/* Inside of the pole-pair estimator: what its files pass to each other. Not for other layers.
 *
 * All scores are natural logarithms of likelihoods. Arrays are row-major: element (i, j) of a
 * rows x columns array stands at i * columns + j.
 */
#ifndef SPINWORTH_MEASURE_POLES_PARTS_H
#define SPINWORTH_MEASURE_POLES_PARTS_H

#include "src/measure/poles/poles.h"

#include <stdbool.h>
#include <stddef.h>

enum {
    SW_PATTERN_FEATURE_LIMIT = 16,
    SW_PATTERN_TREND_LIMIT = 12,
    SW_PATTERN_GRID = 6, /* variance ratios tried; the first is none */
    SW_RIPPLE_GRID = 9,
    SW_STRAY_LIMIT = 24, /* lines that stand out one by one */
    SW_STRAY_CHOICES = 2,
    SW_SHORT_ROWS = 48 /* fewer cycles have no noise floor to speak of, and no lines apart */
};

/* Series over the cycles that share their rows: whitened, free of a slow trend, trusted row by
 * row. */
typedef struct sw_pattern_block {
    size_t rows;     /* cycles */
    size_t trends;   /* orthonormal trend columns that were taken out */
    size_t features; /* series */
    double *trend;   /* rows x trends */
    double *series;  /* rows x features */
    double *rest;    /* rows x features: series without the lines that stand out */
    double *scale;   /* rows: 1 / relative noise of the row */
} sw_pattern_block;

/* Lines that stand out of the series, each of which may be the shaft's or not. */
typedef struct sw_stray_lines {
    size_t count;
    double frequency[SW_STRAY_LIMIT];   /* cycles^-1, in (0, 1/2) */
    double frequency_u[SW_STRAY_LIMIT]; /* standard uncertainty */
    double price[SW_STRAY_LIMIT];       /* log price of its free amplitudes */
} sw_stray_lines;

/* Log likelihood for each number of pole pairs and each hidden symmetry. */
typedef struct sw_pattern_scores {
    /* [p][t]: magnets repeat every p / t cycles, the shaft every p. Lines that stand out are taken
     * one by one (choice 0), or all is left to pattern and ripple (choice 1). NaN where not
     * computed. */
    double score[SW_POLE_PAIR_LIMIT + 1][SW_POLE_PAIR_LIMIT + 1][SW_STRAY_CHOICES];
} sw_pattern_scores;

/* poles_features.c: when the cycles come (motion), and what they look like (shape). */
sw_status sw_poles_motion(const sw_cycles *cycles, sw_pattern_block *block, sw_error *error);
sw_status sw_poles_shape(const sw_cycles *cycles, sw_pattern_block *block, sw_error *error);
void sw_pattern_block_free(sw_pattern_block *block);

/* poles_trend.c */
/* Smooth columns over the cycles, knots close where time or cycles pass; wanted >= 1. */
sw_status sw_poles_trend(const sw_cycles *cycles, size_t wanted, double *columns, sw_error *error);
/* Make the columns of a rows x columns array orthonormal; returns how many are independent
 * (these come first, the array becomes rows x that many). */
size_t sw_poles_orthonormal(double *columns, size_t rows, size_t count);

/* poles_whiten.c: flatten the noise floor of one series (a column of rows x stride) in place. */
sw_status sw_poles_whiten(double *series, size_t rows, size_t stride, sw_error *error);

/* poles_stray.c: the strongest lines common to the blocks' series; fills their `rest`. */
sw_status sw_poles_strays(const sw_pattern_block *blocks, size_t count, sw_stray_lines *lines,
                          sw_error *error);

/* What the lines add to choice 0: log likelihood ratio of their frequencies (p and t against no
 * preference), less their prices. */
double sw_poles_lines_score(const sw_stray_lines *lines, int p, int t);

/* poles_grid.c */
/* log(exp(a) + exp(b)) */
double sw_poles_log_sum(double a, double b);
/* log m of every series at every point of the variance grid. */
typedef struct sw_grid_values {
    double value[SW_PATTERN_GRID][SW_RIPPLE_GRID][SW_PATTERN_FEATURE_LIMIT];
} sw_grid_values;
/* Log likelihood of all series, averaged over the grid; the logarithms in it are used up. */
double sw_pattern_sum_grid(sw_grid_values *grid, size_t features, size_t patterns);

/* poles_pattern.c: only p with wanted[p] are computed; what lines add is not in it. `nothing` is
 * choice 0 without pattern and ripple. */
sw_status sw_pattern_score(const sw_pattern_block *block, const bool *wanted,
                           sw_pattern_scores *scores, double *nothing, sw_error *error);

/* poles.c */
void sw_poles_normalise(double *probability);
/* The likeliest of a normalised posterior into result, with the answer if there is one. */
void sw_poles_list(const double *total, sw_pole_pairs *result);

/* poles_prior.c */
/* Weak prior over pole pairs 1 .. SW_POLE_PAIR_LIMIT; sums to 1. phases 0 = not known. */
void sw_poles_usual(int phases, double *prior);
/* How likely windings of p pole pairs hide all but every t-th line; sums to 1 over divisors. */
void sw_poles_symmetry(int phases, int pole_pairs, double *share);

/* poles_speed.c, poles_counted.c: what the person said, each with its own log likelihood. */
enum { SW_STATEMENT_LIMIT = 5 };
typedef struct sw_statement {
    double score[SW_POLE_PAIR_LIMIT + 1];
    char sentence[SW_MOTOR_TEXT_ROOM];
    bool decides; /* false = only told */
} sw_statement;
typedef struct sw_statements {
    size_t count;
    sw_statement item[SW_STATEMENT_LIMIT];
} sw_statements;
/* The next statement, of no preference yet. */
sw_statement *sw_poles_state(sw_statements *said);
void sw_poles_word(sw_statement *statement, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
/* Speeds: measured, rough, usual (no sentence). score is their sum. */
void sw_poles_speed(const sw_speed_evidence *evidence, double *score, sw_statements *said);
/* Magnets and rest positions, into a normalised posterior. */
void sw_poles_counts(const sw_speed_evidence *evidence, double *total, sw_statements *said);
/* Turns, into a normalised posterior of all else. */
void sw_poles_turns(const sw_speed_evidence *evidence, double *total, sw_statements *said);
/* What was said, as what speaks for the answer or against it. */
void sw_poles_say_statements(const sw_statements *said, sw_pole_pairs *result);

/* poles_words.c */
void sw_poles_say(sw_pole_pairs *result, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/* What the record showed for the likeliest p and t; gain is how much it speaks for p, repeat for
 * any number of pole pairs whose magnets repeat every p / t cycles. */
void sw_poles_say_pattern(const sw_stray_lines *lines, int p, int t, double gain, double repeat,
                          sw_pole_pairs *result);
/* The record is too short for a pattern. */
void sw_poles_say_short(size_t cycles, sw_pole_pairs *result);
/* The one observation that would decide, when nothing has. */
void sw_poles_say_next(const sw_speed_evidence *evidence, sw_pole_pairs *result);
/* Take that advice back. */
void sw_poles_unsay_next(sw_pole_pairs *result);

#endif
