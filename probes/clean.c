#include "probes/clean.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

/* ---- infinite and empty cells ---- */

static void note_value(sw_cleaner *cleaner, double value) {
    if (!isfinite(value))
        return;
    cleaner->low = cleaner->seen && cleaner->low < value ? cleaner->low : value;
    cleaner->high = cleaner->seen && cleaner->high > value ? cleaner->high : value;
    cleaner->seen = 1;
}

static bool at_full_scale(const sw_cleaner *cleaner, double value) {
    double edge = cleaner->full_scale - 1.5 * cleaner->step;
    return cleaner->full_scale > 0 && fabs(value) >= edge;
}

static void fill_line(double *samples, size_t from, size_t to, double before, double after) {
    double steps = (double)(to - from + 1);
    for (size_t i = from; i < to; i++)
        samples[i] = before + (after - before) * (double)(i - from + 1) / steps;
}

static void fill_missing(sw_cleaner *cleaner, double *samples, size_t count) {
    for (size_t i = 0; i < count; i++) {
        if (!isnan(samples[i])) {
            cleaner->last = samples[i];
            cleaner->started = 1;
            continue;
        }
        size_t end = i;
        while (end < count && isnan(samples[end]))
            end++;
        double after = end < count ? samples[end] : cleaner->last;
        fill_line(samples, i, end, cleaner->started ? cleaner->last : after, after);
        cleaner->missing += end - i;
        i = end - 1;
    }
}

void sw_clean(sw_cleaner *cleaner, double *samples, size_t count) {
    for (size_t i = 0; i < count; i++)
        note_value(cleaner, samples[i]);
    for (size_t i = 0; i < count; i++) {
        if (isnan(samples[i]))
            continue;
        if (isinf(samples[i])) {
            samples[i] = samples[i] > 0 ? cleaner->high : cleaner->low;
            cleaner->clipped++;
        } else if (at_full_scale(cleaner, samples[i]))
            cleaner->clipped++;
    }
    fill_missing(cleaner, samples, count);
}

/* ---- flat tops ----
 * Of a sine with A/q levels, the top level holds sqrt(2 q/A) of the samples and the band below it
 * at least 0.41 times as many. A wave that was cut off holds many more at the top, in long runs,
 * than in the band below. */

enum { RUN_LEAST = 4 };
static const double CROWD_LEAST = 5; /* top over band below; 2.4 is the most of a sine */
static const double BAND_OF_RANGE = 0.01;

typedef struct crowd {
    size_t at_top;
    size_t below;
    size_t runs;
} crowd;

static crowd count_crowd(const double *samples, size_t count, double sign, double edge,
                         double band) {
    crowd found = {0};
    bool inside = false;
    for (size_t i = 0; i < count; i++) {
        double value = sign * samples[i];
        bool top = value >= edge;
        found.runs += top && !inside;
        found.at_top += top;
        found.below += !top && value >= edge - band;
        inside = top;
    }
    return found;
}

/* The highest level below the edge. */
static double next_level(const double *samples, size_t count, double sign, double edge) {
    double next = -HUGE_VAL;
    for (size_t i = 0; i < count; i++)
        if (sign * samples[i] < edge)
            next = fmax(next, sign * samples[i]);
    return next;
}

static size_t flat_on_side(const double *samples, size_t count, double sign, double top,
                           double range, double step) {
    double half = step > 0 ? 0.5 * step : 1e-6 * range;
    /* Coarse or uneven levels: the band reaches the next one at least. */
    double gap = top - half - next_level(samples, count, sign, top - half);
    double band = fmax(1.01 * gap, fmax(step, BAND_OF_RANGE * range));
    crowd found = count_crowd(samples, count, sign, top - half, band);
    bool long_runs = found.at_top >= RUN_LEAST * found.runs;
    bool crowded = (double)found.at_top > CROWD_LEAST * (double)found.below;
    return long_runs && crowded ? found.at_top : 0;
}

size_t sw_flat_tops(const double *samples, size_t count, double step) {
    double low = HUGE_VAL;
    double high = -HUGE_VAL;
    for (size_t i = 0; i < count; i++) {
        low = fmin(low, samples[i]);
        high = fmax(high, samples[i]);
    }
    double range = high - low;
    if (!(range > 0) || range < 4 * step)
        return 0;
    return flat_on_side(samples, count, 1, high, range, step) +
           flat_on_side(samples, count, -1, -low, range, step);
}

/* ---- quantisation step ---- */

static int by_value(const void *left, const void *right) {
    double a = *(const double *)left;
    double b = *(const double *)right;
    return (a > b) - (a < b);
}

static size_t keep_finite(double *values, size_t count) {
    size_t kept = 0;
    for (size_t i = 0; i < count; i++)
        if (isfinite(values[i]))
            values[kept++] = values[i];
    return kept;
}

/* Sorted values become the gaps between neighbours that differ; returns how many. */
static size_t gaps_of(double *values, size_t count) {
    double least = count > 0 ? 1e-7 * (values[count - 1] - values[0]) : 0;
    size_t gaps = 0;
    for (size_t i = 0; i + 1 < count; i++)
        if (values[i + 1] - values[i] > least)
            values[gaps++] = values[i + 1] - values[i];
    return gaps;
}

/* Refine a first guess: total of the gaps over the total of their multiples. Wide gaps say
 * nothing, since any width is near some multiple. */
static double refined_step(const double *gaps, size_t count, double guess) {
    double total = 0;
    double multiples = 0;
    size_t fitting = 0;
    size_t narrow = 0;
    for (size_t i = 0; i < count; i++) {
        double multiple = round(gaps[i] / guess);
        if (multiple > 20)
            continue;
        narrow++;
        if (fabs(gaps[i] / guess - multiple) > 0.15 * sqrt(multiple))
            continue;
        fitting++;
        total += gaps[i];
        multiples += multiple;
    }
    return fitting * 10 >= narrow * 9 && multiples > 0 ? total / multiples : 0;
}

double sw_step_of(double *values, size_t count) {
    count = keep_finite(values, count);
    qsort(values, count, sizeof *values, by_value);
    size_t gaps = gaps_of(values, count);
    if (gaps == 0)
        return 0;
    qsort(values, gaps, sizeof *values, by_value);
    /* A few gaps may be shorter than a step because of rounding in print; and where few levels
     * occur, the narrowest gap may be two or three steps. */
    double guess = values[gaps / 50];
    double step = 0;
    for (int parts = 1; parts <= 3 && step == 0; parts++)
        step = refined_step(values, gaps, guess / parts);
    return step;
}
