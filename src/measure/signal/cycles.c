/* Where a cycle begins: the fundamental's angle relative to the smooth track is taken four times a
 * cycle in a Hann window of two cycles (orders that are whole numbers apart do not disturb one
 * another in it) and added to the track's; the cycle begins where the sum passes a quarter cycle
 * before the crest. The window lets half of a pattern that alternates from cycle to cycle through
 * and nearly all of slower ones. Flux and shape come from the one cycle alone, so that their noise
 * is independent from cycle to cycle.
 */
#include "src/measure/signal/cycles.h"

#include "src/measure/signal/grid.h"
#include "src/measure/signal/signal.h"
#include "src/measure/signal/track.h"

#include <complex.h>
#include <gsl/gsl_math.h>
#include <math.h>
#include <stdlib.h>

enum {
    PER_CYCLE = 32,
    STEP = PER_CYCLE / 4,
    EDGE = 3 * PER_CYCLE / 8,
    ORDERS = SW_CYCLE_POINTS / 2
};

/* The angle ahead of the track, in cycles, at equal steps. */
typedef struct lead {
    double from_cycles;
    double step_cycles;
    size_t count;
    double *value;
} lead;

void sw_cycles_free(sw_cycles *cycles) {
    free(cycles->cycle);
    *cycles = (sw_cycles){0};
}

/* A first-order low cut turns the angle forward by atan(fc/f). */
static double cut_angle(double low_cut_hz, double frequency_hz) {
    return atan2(low_cut_hz, frequency_hz) / (2.0 * M_PI);
}

static sw_status lead_new(const sw_cycle_source *source, const sw_grid *grid, lead *l,
                          sw_error *error) {
    *l = (lead){.step_cycles = (double)STEP / PER_CYCLE};
    l->count = grid->count > PER_CYCLE ? (grid->count - 2 * EDGE) / STEP + 1 : 0;
    l->from_cycles = grid->from_cycles + (double)EDGE / PER_CYCLE;
    l->value = calloc(l->count + 1, sizeof *l->value);
    if (l->value == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for the cycles");
    size_t hint = 0;
    for (size_t m = 0; m < l->count; m++) {
        size_t point = EDGE + STEP * m;
        int near_end = point < PER_CYCLE || point + PER_CYCLE > grid->count;
        double complex c = near_end ? sw_grid_near_end(grid, point)
                                    : sw_grid_demodulate(grid, point, PER_CYCLE, 1.0);
        double at = l->from_cycles + (double)m * l->step_cycles;
        double f = sw_track_frequency(source->track, at, &hint);
        double angle = carg(c) / (2.0 * M_PI) - cut_angle(source->low_cut_hz, f);
        l->value[m] = angle - round(angle);
    }
    return SW_OK;
}

/* Cubic through four neighbours (Catmull-Rom). */
static double lead_at(const lead *l, double cycles) {
    double x = (cycles - l->from_cycles) / l->step_cycles;
    x = fmax(0.0, fmin(x, (double)l->count - 1.0));
    size_t i = (size_t)fmin(x, fmax(0.0, (double)l->count - 2.0));
    double t = x - (double)i;
    double b = l->value[i];
    double c = l->value[i + 1 < l->count ? i + 1 : i];
    double a = i > 0 ? l->value[i - 1] : 2.0 * b - c;
    double d = i + 2 < l->count ? l->value[i + 2] : 2.0 * c - b;
    return b +
           0.5 * t * (c - a + t * (2.0 * a - 5.0 * b + 4.0 * c - d + t * (3.0 * (b - c) + d - a)));
}

/* Track angle at which the fundamental passes zero upwards for the nth time. */
static double crossing(const lead *l, double number) {
    double target = number - 0.25;
    double at = target;
    for (int i = 0; i < 6; i++)
        at = target - lead_at(l, at);
    return at;
}

typedef struct turner {
    double complex root[SW_CYCLE_POINTS]; /* exp(-2 pi i k / 32) */
} turner;

static turner turner_new(void) {
    turner t;
    for (int i = 0; i < SW_CYCLE_POINTS; i++)
        t.root[i] = cexp(-2.0 * M_PI * I * i / SW_CYCLE_POINTS);
    return t;
}

static double complex shape_order(const turner *t, const double *shape, int order) {
    double complex sum = 0.0;
    for (int i = 0; i < SW_CYCLE_POINTS; i++)
        sum += shape[i] * t->root[(i * order) % SW_CYCLE_POINTS];
    return sum * 2.0 / SW_CYCLE_POINTS;
}

/* Take what is left of the low cut out of a shape, order by order. */
static void uncut(const turner *t, double low_cut_hz, double frequency_hz, double *shape) {
    for (int k = 1; k < ORDERS; k++) {
        double complex c = shape_order(t, shape, k);
        /* 1/H = 1 - i fc/f */
        double complex extra = c * (-I * low_cut_hz / (k * frequency_hz));
        for (int i = 0; i < SW_CYCLE_POINTS; i++)
            shape[i] += creal(extra * conj(t->root[(i * k) % SW_CYCLE_POINTS]));
    }
}

/* The shape between two track angles, and what follows from it. */
static void fill(const sw_cycle_source *source, const turner *t, double from, double to,
                 size_t *hint, sw_cycle *cycle) {
    double f = 1.0 / cycle->length_s;
    for (int i = 0; i < SW_CYCLE_POINTS; i++) {
        double at = from + (to - from) * i / SW_CYCLE_POINTS;
        double local = sw_track_frequency(source->track, at, hint);
        double time_s = sw_track_time(source->track, at, hint);
        cycle->shape[i] =
            sw_signal_at(source->signal, source->kernel, time_s, ORDERS * local) / local;
    }
    if (source->low_cut_hz > 0.0)
        uncut(t, source->low_cut_hz, f, cycle->shape);
    cycle->flux = cabs(shape_order(t, cycle->shape, 1));
    /* An even window of length T leaves amplitude variance S/T of white noise of one-sided density
     * S (Kay 1993, Example 3.4 with S = 2 sigma^2/rate); a Hann window of two cycles 0.75 S f, and
     * windows one cycle apart correlate by 1/6. */
    double raised = 1.0 + pow(source->input_low_cut_hz / f, 2.0);
    double density = source->noise_density * raised;
    double amplitude = fmax(cycle->flux * f, 1e-300);
    cycle->flux_u = sqrt(density * f) / f;
    cycle->length_u_s = sqrt(2.0 * (5.0 / 6.0) * 0.75 * density * f) / amplitude / (2.0 * M_PI * f);
    cycle->shape_u = sqrt(source->noise_density * ORDERS * f) / f;
}

static sw_status cycles_between(const sw_cycle_source *source, const lead *l, sw_cycles *cycles,
                                sw_error *error) {
    if (l->count < 3)
        return SW_OK;
    double low = l->from_cycles;
    double high = l->from_cycles + (double)(l->count - 1) * l->step_cycles;
    double first = ceil(low + 0.25 + l->value[0]);
    double last = floor(high + 0.25 + l->value[l->count - 1]);
    if (last < first + 1.0)
        return SW_OK;
    size_t count = (size_t)(last - first);
    cycles->cycle = calloc(count, sizeof *cycles->cycle);
    if (cycles->cycle == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for the cycles");
    turner t = turner_new();
    size_t hint = 0;
    double from = crossing(l, first);
    for (size_t n = 0; n < count; n++) {
        double to = crossing(l, first + (double)n + 1.0);
        sw_cycle *cycle = &cycles->cycle[cycles->count++];
        cycle->start_s = sw_track_time(source->track, from, &hint);
        cycle->length_s = sw_track_time(source->track, to, &hint) - cycle->start_s;
        fill(source, &t, from, to, &hint, cycle);
        from = to;
    }
    return SW_OK;
}

sw_status sw_cycles_new(const sw_cycle_source *source, sw_cycles *cycles, sw_error *error) {
    *cycles = (sw_cycles){0};
    const sw_track *track = source->track;
    if (track->count < 2)
        return SW_OK;
    double end_s = ((double)source->signal->count - 1.0) / source->signal->rate_hz;
    double low = fmax(track->knot[0].cycles - 0.5, sw_track_cycles(track, 0.0));
    double high = fmin(track->knot[track->count - 1].cycles + 0.5, sw_track_cycles(track, end_s));
    sw_grid grid = {0};
    lead l = {0};
    if (high - low < 2.0)
        return SW_OK;
    sw_status status =
        sw_grid_new(track, source->signal, source->kernel, low, high, PER_CYCLE, &grid, error);
    if (status == SW_OK)
        status = lead_new(source, &grid, &l, error);
    if (status == SW_OK)
        status = cycles_between(source, &l, cycles, error);
    sw_grid_free(&grid);
    free(l.value);
    if (status != SW_OK)
        sw_cycles_free(cycles);
    return status;
}
