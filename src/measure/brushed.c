/* A brushed motor gives a voltage of one sign with a ripple on it. In blocks of 50 ms the mean of
 * such a voltage is far above the ripple and keeps its sign; an alternating voltage averages out,
 * or changes sign where it is slower than a block. A scope's offset is told from it by the
 * quietest blocks, where the motor stands still, if there are any; a voltage that never changes at
 * all is no motor.
 */
#include "src/measure/analysis.h"
#include "src/measure/ripple.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdlib.h>

static const double block_s = 0.05;
static const double over_ripple = 2.0; /* mean over rms of what alternates */
static const double one_sign = 0.95;
static const double steady_share = 0.05; /* of the mean: what counts as one speed */

typedef struct blocks {
    size_t count;
    double length_s;
    double *mean;
    double *rms; /* of what is left */
} blocks;

static sw_status blocks_new(const sw_trace *trace, blocks *b, sw_error *error) {
    const sw_signal *signal = &trace->full;
    size_t size = (size_t)fmax(8.0, block_s * signal->rate_hz);
    *b = (blocks){.count = signal->count / size, .length_s = (double)size / signal->rate_hz};
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

static void blocks_free(blocks *b) {
    free(b->mean);
    free(b->rms);
    *b = (blocks){0};
}

/* Blocks in which the motor turns: means above half the largest usual one. */
static double turning_level(const blocks *b, double *sorted) {
    for (size_t i = 0; i < b->count; i++)
        sorted[i] = fabs(b->mean[i]);
    gsl_sort(sorted, 1, b->count);
    return 0.5 * gsl_stats_quantile_from_sorted_data(sorted, 1, b->count, 0.9);
}

static bool is_brushed(const blocks *b, double level) {
    double sum = 0.0;
    double sum_of_sizes = 0.0;
    double ripple = 0.0;
    double turning = 0.0;
    double noise = INFINITY;
    for (size_t i = 0; i < b->count; i++) {
        noise = fmin(noise, b->rms[i]);
        if (fabs(b->mean[i]) < level)
            continue;
        sum += b->mean[i];
        sum_of_sizes += fabs(b->mean[i]);
        ripple += b->rms[i];
        turning += 1.0;
    }
    if (turning < 2.0 || sum_of_sizes <= 0.0)
        return false;
    bool comes_and_goes = turning < 0.98 * (double)b->count || ripple / turning > 3.0 * noise;
    return comes_and_goes && fabs(sum) > one_sign * sum_of_sizes &&
           sum_of_sizes > over_ripple * ripple;
}

/* The longest run of blocks within a few per cent: first .. last. */
static void steady_run(const blocks *b, double level, size_t *first, size_t *last) {
    *first = 0;
    *last = 0;
    for (size_t i = 0; i < b->count; i++) {
        if (fabs(b->mean[i]) < level)
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
}

/* Steady volts carry the scope's zero, good to some 2 % of what is on the screen (common practice,
 * no source): a standard uncertainty of 1 %. */
static const double zero_u = 0.01;

/* What the speed evidence makes of it: volts per rpm. */
static void tell_volts(sw_analysis *a, const blocks *b, double volts, double volts_u) {
    sw_speed_evidence own = a->request->evidence;
    const sw_speed_evidence *evidence = &own;
    sw_quantity counted = sw_tach_speed(&a->tach, a->motor->stretch_from_s - a->waveform->start_s,
                                        a->motor->stretch_to_s - a->waveform->start_s);
    if (sw_quantity_known(counted))
        own.speed = counted;
    double gear = a->request->gear > 0.0 ? a->request->gear : 1.0;
    double scale =
        a->waveform->in_volts
            ? 0.0
            : sw_quantity_u_or(a->request->profile.volts_per_unit, 0.0) / a->volts_per_unit;
    sw_motor *motor = a->motor;
    if (sw_quantity_known(evidence->speed)) {
        double rpm = evidence->speed.value * gear;
        double relative = sw_quantity_u_or(evidence->speed, 0.01) / evidence->speed.value;
        motor->speed = sw_quantity_of(rpm, rpm * relative, "rpm");
        double u =
            sqrt(pow(volts_u / volts, 2.0) + relative * relative + scale * scale + zero_u * zero_u);
        motor->voltage_constant = sw_quantity_of(volts / rpm, volts / rpm * u, "V/rpm");
    } else if (evidence->turns > 0.0) {
        double area = 0.0;
        for (size_t i = 0; i < b->count; i++)
            area += fabs(b->mean[i]) * b->length_s;
        /* V = k n with n in rpm: the integral of V dt is 60 k turns. */
        double k = area / (60.0 * evidence->turns * gear);
        double turns_u = isfinite(evidence->turns_u) ? evidence->turns_u : 0.15;
        double u = hypot(hypot(turns_u / evidence->turns, scale), zero_u);
        motor->voltage_constant = sw_quantity_of(k, k * u, "V/rpm");
        motor->speed = sw_quantity_of(volts / k, volts / k * u, "rpm");
    }
    if (!sw_volts_known(a))
        motor->voltage_constant = sw_quantity_unknown();
}

static void tell(sw_analysis *a, const blocks *b, double level) {
    size_t first;
    size_t last;
    steady_run(b, level, &first, &last);
    size_t count = last - first + 1;
    double mean = gsl_stats_mean(&b->mean[first], 1, count);
    double u = count > 1 ? gsl_stats_sd(&b->mean[first], 1, count) / sqrt((double)count) : 0.0;
    a->motor->kind = SW_BRUSHED;
    a->motor->stretch_from_s = a->waveform->start_s + (double)first * b->length_s;
    a->motor->stretch_to_s = a->waveform->start_s + (double)(last + 1) * b->length_s;
    tell_volts(a, b, fabs(mean), u);
}

static sw_status tell_ripple(sw_analysis *a, sw_error *error) {
    const sw_trace *trace = &a->trace[a->lead];
    sw_motor *motor = a->motor;
    sw_ripple ripple;
    double k = motor->voltage_constant.value;
    if (!sw_quantity_known(motor->voltage_constant))
        return SW_OK;
    sw_status status = sw_ripple_find(
        &trace->full, trace->offset_v, motor->stretch_from_s - a->waveform->start_s,
        motor->stretch_to_s - a->waveform->start_s,
        sw_quantity_of(k, k * motor->speed.u / motor->speed.value, "V/rpm"), &ripple, error);
    motor->commutator_ripple = ripple.per_turn;
    return status;
}

sw_status sw_brushed_measure(sw_analysis *analysis, bool *found, sw_error *error) {
    *found = false;
    if (!analysis->steady_voltages)
        return SW_OK;
    blocks b;
    sw_status status = blocks_new(&analysis->trace[analysis->lead], &b, error);
    double *sorted = calloc(b.count + 1, sizeof *sorted);
    if (status == SW_OK && sorted == NULL)
        status = sw_fail(error, SW_MEMORY, "not enough memory to look for a steady voltage");
    if (status == SW_OK && b.count >= 3) {
        double level = turning_level(&b, sorted);
        *found = is_brushed(&b, level);
        if (*found) {
            tell(analysis, &b, level);
            status = tell_ripple(analysis, error);
        }
    }
    free(sorted);
    blocks_free(&b);
    return status;
}
