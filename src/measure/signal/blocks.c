/* The zero of a scope is off by one or two per cent of its screen, which is more of the reading;
 * the record itself tells it wherever the motor stands still. There the blocks are as quiet as the
 * record gets and alike. A coarse converter rounds such a quiet voltage: noise of standard
 * deviation s smears its steps q, and what is left of the rounding falls as
 * exp(-2 pi^2 s^2 / q^2) (first term of the Fourier series of the rounding error under Gaussian
 * dither; Gray and Stockham 1993).
 *
 * Blocks of a hand-held drill are no independent readings: it wanders over a second or so. Their
 * mean has the variance s^2 / n (1 + 2 sum r_k), r_k the autocorrelation up to where it first
 * falls below zero (JCGM 100, 4.2.7 and 5.2.3). */
#include "src/measure/signal/blocks.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdlib.h>

enum { REST_LEAST = 3 };

static const double block_s = 0.05;
static const double steady_share = 0.05; /* of the mean: what counts as one speed */
static const double apart = 2.0;         /* standard deviations of the run */
static const double rest_share = 0.3;    /* of the level: a rest above it would be no zero */
static const double quiet = 2.0;         /* times the quietest block */
/* An ordinary scope's zero is good to some 2 % of its screen (common practice, no source): a
 * standard uncertainty of 1 %. Where the screen is not known the trace fills two thirds of it. */
static const double zero_u = 0.01;
static const double filled = 2.0 / 3.0;

/* The smallest step between neighbouring samples: the converter's, unless noise hides it. */
static double smallest_step(const sw_signal *signal) {
    double step = INFINITY;
    double most = 0.0;
    for (size_t i = 0; i + 1 < signal->count; i++) {
        double here = fabs(signal->value[i + 1] - signal->value[i]);
        most = fmax(most, fabs(signal->value[i]));
        if (here > 1e-9 * most)
            step = fmin(step, here);
    }
    return isfinite(step) ? step : 0.0;
}

static double largest(const sw_trace *trace) {
    double most = 0.0;
    for (size_t i = 0; i < trace->full.count; i++)
        most = fmax(most, fabs(trace->full.value[i] + trace->offset_v));
    return most;
}

sw_status sw_blocks_new(const sw_trace *trace, const sw_channel *channel, double volts_per_unit,
                        sw_blocks *b, sw_error *error) {
    const sw_signal *signal = &trace->full;
    size_t size = (size_t)fmax(8.0, block_s * signal->rate_hz);
    *b = (sw_blocks){
        .count = signal->count / size, .size = size, .length_s = (double)size / signal->rate_hz};
    b->step_v = channel->step > 0.0 ? channel->step * volts_per_unit : smallest_step(signal);
    b->screen_v =
        channel->full_scale > 0.0 ? channel->full_scale * volts_per_unit : largest(trace) / filled;
    b->mean = calloc(b->count + 1, sizeof *b->mean);
    b->rms = calloc(b->count + 1, sizeof *b->rms);
    if (b->mean == NULL || b->rms == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory to look for a steady voltage");
    for (size_t i = 0; i < b->count; i++) {
        const double *from = &signal->value[i * size];
        double mean = gsl_stats_mean(from, 1, size);
        b->rms[i] = sqrt(gsl_stats_variance_m(from, 1, size, mean));
        b->mean[i] = mean + trace->offset_v;
    }
    return SW_OK;
}

void sw_blocks_free(sw_blocks *b) {
    free(b->mean);
    free(b->rms);
    *b = (sw_blocks){0};
}

sw_status sw_blocks_turning(const sw_blocks *b, double *level_v, sw_error *error) {
    double *sorted = calloc(b->count + 1, sizeof *sorted);
    if (sorted == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory to look for a steady voltage");
    for (size_t i = 0; i < b->count; i++)
        sorted[i] = fabs(b->mean[i]);
    gsl_sort(sorted, 1, b->count);
    *level_v =
        b->count > 0 ? 0.5 * gsl_stats_quantile_from_sorted_data(sorted, 1, b->count, 0.9) : 0.0;
    free(sorted);
    return SW_OK;
}

/* What rounding may leave of a mean. */
static double rounding_u(const sw_blocks *b, double rms_v) {
    if (!(b->step_v > 0.0))
        return 0.0;
    double share = rms_v / b->step_v;
    return b->step_v / sqrt(12.0) * exp(-2.0 * M_PI * M_PI * share * share);
}

/* The run from `first` on that stays at one voltage; returns its end. */
static size_t rest_run(const sw_blocks *b, size_t first, double most_rms, double most_v) {
    double near = 0.5 * b->step_v + 5.0 * most_rms / sqrt((double)b->size);
    size_t i = first;
    while (i < b->count && b->rms[i] <= most_rms && fabs(b->mean[i]) < most_v &&
           fabs(b->mean[i] - b->mean[first]) <= near)
        i++;
    return i;
}

sw_quantity sw_blocks_zero(const sw_blocks *b, double level_v, bool *at_rest) {
    double least_rms = INFINITY;
    size_t from = 0;
    size_t to = 0;
    for (size_t i = 0; i < b->count; i++)
        least_rms = fmin(least_rms, b->rms[i]);
    double most_rms = quiet * least_rms + 0.5 * b->step_v;
    for (size_t i = 0; i < b->count; i++) {
        size_t end = rest_run(b, i, most_rms, rest_share * level_v);
        if (end - i > to - from) {
            from = i;
            to = end;
        }
    }
    *at_rest = to - from >= REST_LEAST;
    if (!*at_rest)
        return sw_quantity_of(0.0, zero_u * b->screen_v, "V");
    sw_quantity zero = sw_blocks_mean(b, from, to - 1);
    zero.u = hypot(zero.u, rounding_u(b, least_rms));
    return zero;
}

/* Ends that lie apart from the run's middle are the ramp's and the run-down's. */
static void trim(const sw_blocks *b, size_t *first, size_t *last) {
    size_t n = *last - *first + 1;
    double *sorted = malloc(n * sizeof *sorted);
    if (sorted == NULL || n < 2 * REST_LEAST) {
        free(sorted);
        return;
    }
    for (size_t i = 0; i < n; i++)
        sorted[i] = b->mean[*first + i];
    gsl_sort(sorted, 1, n);
    double middle = gsl_stats_median_from_sorted_data(sorted, 1, n);
    double half = 0.5 * (gsl_stats_quantile_from_sorted_data(sorted, 1, n, 0.75) -
                         gsl_stats_quantile_from_sorted_data(sorted, 1, n, 0.25));
    free(sorted);
    /* 0.6745: half the quartiles' distance of a normal distribution */
    double far = apart * half / 0.6745 + b->step_v / sqrt((double)b->size);
    while (*last > *first + REST_LEAST && fabs(b->mean[*first] - middle) > far)
        (*first)++;
    while (*last > *first + REST_LEAST && fabs(b->mean[*last] - middle) > far)
        (*last)--;
}

void sw_blocks_steady(const sw_blocks *b, double level_v, size_t *first, size_t *last) {
    *first = 0;
    *last = 0;
    for (size_t i = 0; i < b->count; i++) {
        if (fabs(b->mean[i]) < level_v)
            continue;
        size_t end = i;
        double sum = b->mean[i];
        while (end + 1 < b->count &&
               fabs(b->mean[end + 1] * (double)(end - i + 1) - sum) < steady_share * fabs(sum)) {
            end++;
            sum += b->mean[end];
        }
        if (end - i > *last - *first) {
            *first = i;
            *last = end;
        }
    }
    trim(b, first, last);
}

sw_quantity sw_blocks_mean(const sw_blocks *b, size_t first, size_t last) {
    size_t n = last - first + 1;
    const double *value = &b->mean[first];
    double mean = gsl_stats_mean(value, 1, n);
    if (n < 2)
        return sw_quantity_of(mean, b->rms[first], "V");
    double variance = gsl_stats_variance_m(value, 1, n, mean);
    double sum = 1.0;
    for (size_t k = 1; k < n / 2 && variance > 0.0; k++) {
        double product = 0.0;
        for (size_t i = 0; i + k < n; i++)
            product += (value[i] - mean) * (value[i + k] - mean) / (double)n;
        if (product <= 0.0)
            break;
        sum += 2.0 * product / variance;
    }
    return sw_quantity_of(mean, sqrt(variance * sum / (double)n), "V");
}
