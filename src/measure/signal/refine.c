/* The coarse path is good to a few per cent. Demodulated on it, the fundamental turns slowly; its
 * angle is added, local parabolas over a few cycles through the sum are the new track, and the
 * round is repeated. Each round also tries to go on for some cycles beyond the ends, at the last
 * frequency: that is how the slow beginning of a ramp and the end of a run-down are reached, which
 * are too short for a spectrum. The fundamental's flux (amplitude over frequency) cannot jump:
 * where it does, or where the angle does, the track ends.
 */
#include "src/measure/signal/refine.h"

#include "src/measure/signal/grid.h"

#include <complex.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

enum {
    PER_CYCLE = 16,
    STEP = PER_CYCLE / 2, /* points between two looks at the angle */
    ROUNDS = 5,
    NEIGHBOURS = 9 /* looks that say what flux to expect */
};

static const double lowest_flux = 0.4; /* of the neighbours' */
static const double highest_flux = 2.5;
static const double angle_jump = 0.2; /* cycles in half a cycle */

typedef struct looks {
    size_t count;
    double *cycles; /* on the old track */
    double *time_s;
    double *angle; /* cycles ahead of it, unwrapped */
    double *flux;
    double *energy; /* of the fundamental in that half cycle */
} looks;

static sw_status looks_new(size_t count, looks *l, sw_error *error) {
    *l = (looks){.count = count};
    l->cycles = calloc(count + 1, sizeof(double));
    l->time_s = calloc(count + 1, sizeof(double));
    l->angle = calloc(count + 1, sizeof(double));
    l->flux = calloc(count + 1, sizeof(double));
    l->energy = calloc(count + 1, sizeof(double));
    if (l->cycles == NULL || l->time_s == NULL || l->angle == NULL || l->flux == NULL ||
        l->energy == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory to follow the frequency");
    return SW_OK;
}

static void looks_free(looks *l) {
    free(l->cycles);
    free(l->time_s);
    free(l->angle);
    free(l->flux);
    free(l->energy);
    *l = (looks){0};
}

static double wrap(double cycles) {
    return cycles - round(cycles);
}

static sw_status look(const sw_track *track, const sw_grid *grid, looks *l, sw_error *error) {
    size_t count = grid->count > PER_CYCLE ? (grid->count - PER_CYCLE) / STEP + 1 : 0;
    sw_status status = looks_new(count, l, error);
    if (status != SW_OK)
        return status;
    size_t hint = 0;
    for (size_t m = 0; m < count; m++) {
        size_t point = STEP * (m + 1);
        int near_end = point < PER_CYCLE || point + PER_CYCLE > grid->count;
        double complex c = near_end ? sw_grid_near_end(grid, point)
                                    : sw_grid_demodulate(grid, point, PER_CYCLE, 1.0);
        l->cycles[m] = grid->from_cycles + (double)point / PER_CYCLE;
        l->time_s[m] = sw_track_time(track, l->cycles[m], &hint);
        double hz = sw_track_frequency(track, l->cycles[m], &hint);
        l->flux[m] = cabs(c) / hz;
        l->energy[m] = l->flux[m] * l->flux[m] * hz;
        double angle = carg(c) / (2.0 * M_PI);
        l->angle[m] = m == 0 ? angle : l->angle[m - 1] + wrap(angle - l->angle[m - 1]);
    }
    return SW_OK;
}

/* Does look m go on from the looks on the side of `inward` (+1 or -1)? */
static int goes_on(const looks *l, size_t m, int inward) {
    double near[NEIGHBOURS];
    size_t found = 0;
    size_t at = m;
    while (found < NEIGHBOURS) {
        if ((inward < 0 && at == 0) || (inward > 0 && at + 1 >= l->count))
            break;
        at = inward > 0 ? at + 1 : at - 1;
        near[found++] = l->flux[at];
    }
    if (found < 3)
        return 1;
    size_t next = inward > 0 ? m + 1 : m - 1;
    if (fabs(l->angle[m] - l->angle[next]) > angle_jump)
        return 0;
    gsl_sort(near, 1, found);
    double usual = gsl_stats_median_from_sorted_data(near, 1, found);
    return l->flux[m] > lowest_flux * usual && l->flux[m] < highest_flux * usual;
}

/* The looks around `middle` that belong together: *first .. *last, both included. */
static void trim(const looks *l, size_t middle, size_t *first, size_t *last) {
    *first = middle;
    *last = middle;
    while (*first > 0 && goes_on(l, *first - 1, +1))
        --*first;
    while (*last + 1 < l->count && goes_on(l, *last + 1, -1))
        ++*last;
}

static double energy_of(const looks *l, size_t first, size_t last) {
    double sum = 0.0;
    for (size_t m = first; m <= last; m++)
        sum += l->energy[m];
    return sum;
}

/* The look with most energy around it. */
static size_t strongest(const looks *l) {
    size_t best = 0;
    double most = -1.0;
    for (size_t m = 0; m < l->count; m++) {
        size_t from = m > NEIGHBOURS / 2 ? m - NEIGHBOURS / 2 : 0;
        double around = energy_of(l, from, GSL_MIN(m + NEIGHBOURS / 2, l->count - 1));
        if (around > most) {
            most = around;
            best = m;
        }
    }
    return best;
}

/* The looks that belong together, from the middle of the track on. Where the windows are long and
 * the noise is low, a path goes on where the shaft stands, and its middle may lie there: when that
 * leaves most of the energy out, the strongest look may start better. */
static void choose(const looks *l, size_t middle, size_t *first, size_t *last) {
    trim(l, middle, first, last);
    double found = energy_of(l, *first, *last);
    if (2.0 * found > energy_of(l, 0, l->count - 1))
        return;
    size_t other_first;
    size_t other_last;
    trim(l, strongest(l), &other_first, &other_last);
    if (energy_of(l, other_first, other_last) > found) {
        *first = other_first;
        *last = other_last;
    }
}

typedef struct parabola {
    double value;
    double slope;
} parabola;

/* Where a look stands: its time in cycles of frequency hz from time_s, and its angle in cycles. */
static double look_place(const looks *l, size_t i, double time_s, double hz) {
    return (l->time_s[i] - time_s) * hz;
}

static double look_angle(const looks *l, size_t i) {
    return l->cycles[i] + l->angle[i];
}

/* Local weighted parabola (Savitzky-Golay with tricube weights) of the angle over time around look
 * m, in cycles of frequency hz. Under even acceleration the angle is exactly that. */
static parabola fit_around(const looks *l, size_t first, size_t last, size_t m, size_t reach,
                           double hz) {
    double s[5] = {0};
    double b[3] = {0};
    size_t from = m > first + reach ? m - reach : first;
    size_t to = m + reach < last ? m + reach : last;
    for (size_t i = from; i <= to; i++) {
        double far = fabs((double)i - (double)m) / ((double)reach + 1.0);
        double w = pow(1.0 - far * far * far, 3.0);
        double x = look_place(l, i, l->time_s[m], hz);
        double power = w;
        for (int k = 0; k < 5; k++) {
            s[k] += power;
            if (k < 3)
                b[k] += power * (look_angle(l, i) - look_angle(l, m));
            power *= x;
        }
    }
    double det = s[0] * (s[2] * s[4] - s[3] * s[3]) - s[1] * (s[1] * s[4] - s[2] * s[3]) +
                 s[2] * (s[1] * s[3] - s[2] * s[2]);
    if (to - from < 2 || fabs(det) < 1e-12)
        return (parabola){0.0, 1.0};
    double value = b[0] * (s[2] * s[4] - s[3] * s[3]) - s[1] * (b[1] * s[4] - b[2] * s[3]) +
                   s[2] * (b[1] * s[3] - b[2] * s[2]);
    double slope = s[0] * (b[1] * s[4] - b[2] * s[3]) - b[0] * (s[1] * s[4] - s[2] * s[3]) +
                   s[2] * (s[1] * b[2] - s[2] * b[1]);
    return (parabola){value / det, slope / det};
}

/* A new track through the looks first .. last. */
static sw_status rebuild(const sw_track *old, const looks *l, size_t first, size_t last,
                         size_t reach, sw_track *track, sw_error *error) {
    sw_status status = sw_track_new(last - first + 1, track, error);
    if (status != SW_OK)
        return status;
    size_t hint = 0;
    size_t count = 0;
    for (size_t m = first; m <= last; m++) {
        double hz = sw_track_frequency(old, l->cycles[m], &hint);
        parabola p = fit_around(l, first, last, m, reach, hz);
        sw_knot knot = {.cycles = look_angle(l, m) + p.value,
                        .time_s = l->time_s[m],
                        .frequency_hz = hz * fmax(0.2, p.slope)};
        bool rises = count == 0 || (knot.cycles > track->knot[count - 1].cycles + 0.05 &&
                                    knot.time_s > track->knot[count - 1].time_s);
        if (rises)
            track->knot[count++] = knot;
    }
    track->count = count;
    return SW_OK;
}

/* One round; the new track replaces the old one. */
static sw_status round_of(sw_track *track, const sw_signal *signal, const sw_kernel *kernel,
                          double grow, size_t reach, sw_error *error) {
    double end_s = ((double)signal->count - 1.0) / signal->rate_hz;
    double middle = sw_track_cycles(
        track, 0.5 * (track->knot[0].time_s + track->knot[track->count - 1].time_s));
    double low = fmax(track->knot[0].cycles - grow, sw_track_cycles(track, 0.0));
    double high = fmin(track->knot[track->count - 1].cycles + grow, sw_track_cycles(track, end_s));
    sw_grid grid = {0};
    looks l = {0};
    sw_track fresh = {0};
    if (high - low < 1.5) {
        track->count = 0;
        return SW_OK;
    }
    sw_status status = sw_grid_new(track, signal, kernel, low, high, PER_CYCLE, &grid, error);
    if (status == SW_OK)
        status = look(track, &grid, &l, error);
    if (status == SW_OK && l.count > 0) {
        double at = (middle - low) * PER_CYCLE / STEP - 1.0;
        size_t start = (size_t)fmax(0.0, fmin((double)l.count - 1.0, at));
        size_t first;
        size_t last;
        choose(&l, start, &first, &last);
        status = rebuild(track, &l, first, last, reach, &fresh, error);
    }
    sw_grid_free(&grid);
    looks_free(&l);
    sw_track_free(track);
    *track = fresh;
    return status;
}

/* Mean frequency of the path over five frames. */
static double calm(const sw_path *path, size_t i) {
    size_t from = i > 2 ? i - 2 : 0;
    size_t to = GSL_MIN(i + 2, path->count - 1);
    double sum = 0.0;
    for (size_t k = from; k <= to; k++)
        sum += path->frequency_hz[k];
    return sum / (double)(to - from + 1);
}

static sw_status from_path(const sw_path *path, sw_track *track, sw_error *error) {
    sw_status status = sw_track_new(path->count, track, error);
    for (size_t i = 0; i < path->count && status == SW_OK; i++) {
        sw_knot *knot = &track->knot[i];
        knot->time_s = path->from_s + (double)i * path->hop_s;
        knot->frequency_hz = calm(path, i);
        if (i > 0)
            knot->cycles =
                knot[-1].cycles + 0.5 * path->hop_s * (knot->frequency_hz + knot[-1].frequency_hz);
    }
    return status;
}

sw_status sw_refine(const sw_path *path, const sw_signal *signal, const sw_kernel *kernel,
                    sw_track *track, sw_error *error) {
    static const double grow[ROUNDS] = {1.0, 2.0, 4.0, 4.0, 0.6};
    static const size_t reach[ROUNDS] = {4, 5, 6, 8, 8};
    *track = (sw_track){0};
    if (path->count < 2)
        return SW_OK;
    sw_status status = from_path(path, track, error);
    for (int i = 0; i < ROUNDS && status == SW_OK && track->count >= 2; i++)
        status = round_of(track, signal, kernel, grow[i], reach[i], error);
    if (track->count < 2 || status != SW_OK)
        sw_track_free(track);
    return status;
}
