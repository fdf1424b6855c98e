/* Does a drill still turn along?
 *
 * Its gears run at ratios that are no whole numbers, so that their teeth leave lines in the angle
 * that do not lock to the turn, while all that the motor does by itself (magnets, cogging, balance)
 * repeats every turn. Seen once an electrical cycle, a line of k periods a turn looks like k modulo
 * p; what is no whole number stays none. A Hann-windowed periodogram of the residual angle shows
 * it.
 *
 * A run-down has few turns, and in it the cogging grows as the shaft slows, whose skirts look like
 * such lines. So the line is looked for in the held part before, and in the run-down only at its
 * very order, after what repeats every turn was taken off pole by pole. A drill still on shows it
 * as strong as before (share of the speed); a shaft that was freed does not.
 */
#include "src/measure/bench/rundown_parts.h"

#include <complex.h>
#include <gsl/gsl_fft_real.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_sort.h>
#include <math.h>
#include <stdlib.h>

enum { TURNS_LEAST = 6, ORDER_LEAST = 3, COAST_TURNS_LEAST = 4 };

/* Power over the median in the held part, where a line is only suspected. */
static const double SUSPECTED = 14;
/* At one known order: exp(-16) of the records reach it by noise. */
static const double STANDS_OUT_THERE = 16;
static const double SAME_LEAST = 0.6; /* of the strength while held */
static const double SAME_MOST = 1.6;
static const double HELD_LEAST = 0.9; /* of the speed when let go */

static size_t room_for(size_t count) {
    size_t room = 1;
    while (room < 4 * count)
        room *= 2;
    return room;
}

static void power_of(const double *residual, size_t count, double *work, size_t room) {
    for (size_t i = 0; i < room; i++)
        work[i] =
            i < count ? residual[i] * (1 - cos(2 * M_PI * ((double)i + 0.5) / (double)count)) : 0;
    gsl_fft_real_radix2_transform(work, 1, room);
    for (size_t k = 1; k < room / 2; k++)
        work[k] = work[k] * work[k] + work[room - k] * work[room - k];
    work[0] = 0;
}

/* Near a whole order: within a window's main lobe and its skirts, which an amplitude that grows
 * along the record (cogging does, as the shaft slows) makes wider. */
static bool is_whole(double order, double turns) {
    return fabs(order - round(order)) < fmax(3 / turns, 0.14);
}

/* The strongest line that is no whole number; 0 = none stands out. */
static double strongest_stray(const double *values, size_t count, int pole_pairs) {
    if (pole_pairs < 4)
        return 0;
    double turns = (double)count / pole_pairs;
    size_t room = room_for(count);
    double *work = turns >= TURNS_LEAST ? malloc(2 * room * sizeof *work) : NULL;
    if (work == NULL)
        return 0;
    power_of(values, count, work, room);
    double *sorted = work + room;
    double strongest = 0;
    double order = 0;
    size_t lines = 0;
    for (size_t k = 1; k < room / 2; k++) {
        double here = (double)k / (double)room * pole_pairs;
        if (here < ORDER_LEAST)
            continue;
        sorted[lines++] = work[k];
        if (!is_whole(here, turns) && work[k] > strongest) {
            strongest = work[k];
            order = here;
        }
    }
    gsl_sort(sorted, 1, lines);
    bool stands_out = lines > 16 && strongest > SUSPECTED * sorted[lines / 2];
    free(work);
    return stands_out ? order : 0;
}

/* How much longer than its neighbours over a turn each cycle is, relative; the ends are left out.
 * Returns how many values. */
static size_t unevenness(const sw_cycles *cycles, size_t from, size_t to, int pole_pairs,
                         double *out) {
    size_t half = (size_t)pole_pairs / 2;
    size_t count = 0;
    for (size_t i = from + half; i + half + 1 < to; i++) {
        const sw_cycle *first = &cycles->cycle[i - half];
        const sw_cycle *last = &cycles->cycle[i + half];
        double mean = (last->start_s + last->length_s - first->start_s) / (double)(2 * half + 1);
        out[count++] = cycles->cycle[i].length_s / mean - 1;
    }
    return count;
}

/* Where the speed was near that of letting go, before it. */
static size_t held_from(const sw_cycles *cycles, const sw_coasting *part) {
    size_t i = part->from;
    while (i > 0 && cycles->cycle[i - 1].length_s * part->from_hz * HELD_LEAST < 1)
        i--;
    return i;
}

/* Amplitude at an order in Hann-windowed values, and the same at orders beside it for a floor. */
static double amplitude_at(const double *values, size_t count, double order, int pole_pairs) {
    double complex sum = 0;
    double weights = 0;
    for (size_t i = 0; i < count; i++) {
        double weight = 1 - cos(2 * M_PI * ((double)i + 0.5) / (double)count);
        sum += weight * values[i] * cexp(-2 * M_PI * I * order / pole_pairs * (double)i);
        weights += weight;
    }
    return 2 * cabs(sum) / weights;
}

static double floor_beside(const double *values, size_t count, double order, int pole_pairs) {
    double turns = (double)count / pole_pairs;
    double beside[8];
    for (int k = 0; k < 8; k++) {
        int step = k < 4 ? k - 7 : k; /* -7 .. -4, 4 .. 7: clear of the line's own lobe */
        beside[k] = pow(amplitude_at(values, count, order + step / turns, pole_pairs), 2);
    }
    gsl_sort(beside, 1, 8);
    return (beside[3] + beside[4]) / 2 / M_LN2; /* mean power from its median */
}

/* Take off what repeats every turn, pole by pole. */
static void take_turn_off(double *values, size_t count, size_t pole_pairs) {
    for (size_t pole = 0; pole < pole_pairs; pole++) {
        double sum = 0;
        double turns = 0;
        for (size_t i = pole; i < count; i += pole_pairs, turns++)
            sum += values[i];
        for (size_t i = pole; i < count; i += pole_pairs)
            values[i] -= sum / turns;
    }
}

double sw_rundown_gear_line(const sw_cycles *cycles, const sw_coasting *part,
                            const double *residual, int pole_pairs) {
    size_t count = part->to - part->from;
    size_t from = held_from(cycles, part);
    double *held = calloc(part->from - from + 1, sizeof *held);
    double *coasting = calloc(count + 1, sizeof *coasting);
    double order = 0;
    if (held != NULL && coasting != NULL && pole_pairs >= 4 &&
        count > COAST_TURNS_LEAST * (size_t)pole_pairs) {
        size_t values = unevenness(cycles, from, part->from, pole_pairs, held);
        order = strongest_stray(held, values, pole_pairs);
        /* a cycle is longer by what the angle falls behind over it */
        for (size_t i = 0; i < count; i++)
            coasting[i] = residual[i] - residual[i + 1];
        take_turn_off(coasting, count, (size_t)pole_pairs);
        double before = amplitude_at(held, values, order, pole_pairs);
        double after = amplitude_at(coasting, count, order, pole_pairs);
        double noise = floor_beside(coasting, count, order, pole_pairs);
        bool there = after * after > STANDS_OUT_THERE * noise && after > SAME_LEAST * before &&
                     after < SAME_MOST * before;
        order = order > 0 && there ? order : 0;
    }
    free(held);
    free(coasting);
    return order;
}
