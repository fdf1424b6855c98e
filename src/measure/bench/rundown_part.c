/* Where the record coasts.
 *
 * Speeds are taken over a short window. Seen from its end, a falling stretch goes back as long as
 * the speed keeps rising; that of the largest fall counts, unless the speed is held where it ends:
 * then a hand eased the trigger. Its beginning still holds a little of
 * the drive (a trigger let go slowly, the wander before it), which the retardation law does not
 * describe: the start moves on until the first part fits no worse than the rest.
 *
 * At the slow end cogging makes the speed swing within a cycle: the wave's shape departs from that
 * of the fast part. A speed that swings by half of itself from peak to peak (amplitude 1/4) changes
 * the wave by 1/4 / sqrt2 of its own size; the part ends there.
 */
#include "src/measure/bench/rundown_parts.h"

#include <math.h>
#include <stdlib.h>

enum { CYCLES_LEAST = 10, STARTS = 24, EDGE = 2 };

static const double FALL_LEAST = 1.15; /* of the speed, first over last */
static const double STILL_HELD = 0.97; /* of the top speed: may be the drive's wander */
static const double PAUSE_S = 0.12;    /* the speed may stand still so long within a fall */
static const double HELD_S = 0.5;      /* behind a fall: still driven, when the speed ... */
static const double HELD_SLOWER = 0.4; /* ... falls by less than this share of the fall's rate */
static const double HELD_RISE = 1.1;   /* ... and is not spun up anew */
static const double SWING_MOST = 0.18; /* 1/4 / sqrt 2 */
static const double START_SHARE = 0.6; /* of the fall, where the start is looked for */
static const double WORSE_MOST = 1.5;  /* than the best start */
static const double FIRST_WORSE = 2.0; /* the first part than the rest */
static const double FIRST_SHARE = 0.15;
static const double HAND_S = 0.03; /* the hand is off after this */

static size_t window_of(size_t count, int pole_pairs) {
    size_t turn = pole_pairs > 0 ? (size_t)pole_pairs : 8;
    size_t most = count / 12 > 1 ? count / 12 : 1;
    return turn < most ? turn : most;
}

/* Mean frequency of the `window` cycles from i on. */
static double speed_at(const sw_cycles *cycles, size_t i, size_t window) {
    const sw_cycle *last = &cycles->cycle[i + window - 1];
    return (double)window / (last->start_s + last->length_s - cycles->cycle[i].start_s);
}

/* Going back from `end`, how far does the speed rise? */
static size_t fall_start(const sw_cycles *cycles, size_t end, size_t window) {
    size_t best = end;
    double top = speed_at(cycles, end, window);
    for (size_t i = end; i-- > 0;) {
        double here = speed_at(cycles, i, window);
        if (here > top) {
            top = here;
            best = i;
        }
        double limit_s = fmax(PAUSE_S, 1.5 * (double)window / here);
        if (cycles->cycle[best].start_s - cycles->cycle[i].start_s > limit_s)
            break;
    }
    return best;
}

/* Later, to where the speed was near its top for the last time. */
static size_t let_go(const sw_cycles *cycles, size_t start, size_t end, size_t window) {
    double top = speed_at(cycles, start, window);
    size_t i = end;
    while (i > start && speed_at(cycles, i, window) < STILL_HELD * top)
        i--;
    return i;
}

/* A fall from start to end; does the speed stand then? */
static bool is_held(const sw_cycles *cycles, size_t start, size_t end, size_t window) {
    double first = speed_at(cycles, end, window);
    double end_s = cycles->cycle[end].start_s;
    double rate =
        log(speed_at(cycles, start, window) / first) / (end_s - cycles->cycle[start].start_s);
    for (size_t i = end + 1; i + window <= cycles->count; i++) {
        double here = speed_at(cycles, i, window);
        double later_s = cycles->cycle[i].start_s - end_s;
        if (here > HELD_RISE * first)
            return false;
        if (later_s > HELD_S)
            return log(first / here) < HELD_SLOWER * rate * later_s;
    }
    return false;
}

static sw_coasting largest_fall(const sw_cycles *cycles, int pole_pairs) {
    size_t window = window_of(cycles->count, pole_pairs);
    sw_coasting part = {0};
    double largest = FALL_LEAST;
    size_t end = cycles->count - window;
    for (;;) {
        size_t start = fall_start(cycles, end, window);
        double fall = speed_at(cycles, start, window) / speed_at(cycles, end, window);
        if (fall > largest && end + window - start >= CYCLES_LEAST &&
            !is_held(cycles, start, end, window)) {
            largest = fall;
            part = (sw_coasting){.from = let_go(cycles, start, end, window), .to = end + window};
        }
        if (start == 0 || end == 0)
            return part;
        end = start < end ? start : end - 1;
    }
}

/* ---- the slow end ---- */

static void mean_shape(const sw_cycles *cycles, size_t from, size_t to, double *shape) {
    for (int i = 0; i < SW_CYCLE_POINTS; i++) {
        shape[i] = 0;
        for (size_t c = from; c < to; c++)
            shape[i] += cycles->cycle[c].shape[i] / (double)(to - from);
    }
}

/* Departure of a cycle's wave from the usual one, over its own size, noise taken off. */
static double departure(const sw_cycle *cycle, const double *usual) {
    double apart = 0;
    double size = 0;
    for (int i = 0; i < SW_CYCLE_POINTS; i++) {
        apart += pow(cycle->shape[i] - usual[i], 2);
        size += usual[i] * usual[i];
    }
    apart -= SW_CYCLE_POINTS * cycle->shape_u * cycle->shape_u;
    return apart > 0 ? sqrt(apart / size) : 0;
}

static void cut_slow_end(const sw_cycles *cycles, sw_coasting *part) {
    double usual[SW_CYCLE_POINTS];
    size_t third = part->from + (part->to - part->from) / 3;
    mean_shape(cycles, part->from, third, usual);
    size_t c = third;
    /* Two in a row: one may be a contact that broke. */
    while (c + 1 < part->to && !(departure(&cycles->cycle[c], usual) > SWING_MOST &&
                                 departure(&cycles->cycle[c + 1], usual) > SWING_MOST))
        c++;
    size_t cut = c + 1 < part->to ? c : part->to;
    part->to = cut > part->from + EDGE ? cut - EDGE : part->from;
}

/* ---- the start ---- */

typedef struct trial {
    double rms;   /* of all */
    double first; /* of the first part over the rest */
} trial;

static sw_status try_start(const sw_cycles *cycles, size_t from, size_t to, int pole_pairs,
                           double *room, trial *found, sw_error *error) {
    sw_retardation how = {{true, true, true}, pole_pairs, false};
    sw_retardation_fit fit;
    sw_status status = sw_retardation_run(cycles, from, to, &how, &fit, room, error);
    size_t count = to - from + 1;
    size_t first = (size_t)ceil(FIRST_SHARE * (double)count);
    double early = 0;
    double late = 0;
    for (size_t i = 0; i < count; i++)
        *(i < first ? &early : &late) += room[i] * room[i];
    double ratio = (early / (double)first) / (late / (double)(count - first));
    *found = (trial){fit.rms_cycles, sqrt(ratio)};
    return status;
}

static sw_status choose_start(const sw_cycles *cycles, int pole_pairs, sw_coasting *part,
                              sw_error *error) {
    trial trials[STARTS];
    size_t start[STARTS];
    size_t span = (size_t)(START_SHARE * (double)(part->to - part->from));
    double *room = calloc(part->to - part->from + 1, sizeof *room);
    if (room == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for the run-down");
    sw_status status = SW_OK;
    size_t count = 0;
    double best = HUGE_VAL;
    for (; count < STARTS && status == SW_OK; count++) {
        start[count] = part->from + span * count / STARTS;
        if (part->to < start[count] + CYCLES_LEAST)
            break;
        status = try_start(cycles, start[count], part->to, pole_pairs, room, &trials[count], error);
        /* Short parts fit anything. */
        if (3 * (part->to - start[count]) >= part->to - part->from)
            best = fmin(best, trials[count].rms);
    }
    free(room);
    if (status != SW_OK || count == 0)
        return status;
    size_t chosen = 0;
    while (chosen + 1 < count &&
           (trials[chosen].rms > WORSE_MOST * best || trials[chosen].first > FIRST_WORSE))
        chosen++;
    part->from = start[chosen];
    double off_s = cycles->cycle[part->from].start_s + HAND_S;
    while (part->from + CYCLES_LEAST < part->to && cycles->cycle[part->from].start_s < off_s)
        part->from++;
    return SW_OK;
}

sw_status sw_coasting_find(const sw_cycles *cycles, int pole_pairs, sw_coasting *part,
                           sw_error *error) {
    *part = (sw_coasting){0};
    if (cycles->count < CYCLES_LEAST + EDGE)
        return SW_OK;
    sw_coasting found = largest_fall(cycles, pole_pairs);
    if (found.to < found.from + CYCLES_LEAST)
        return SW_OK;
    cut_slow_end(cycles, &found);
    if (found.to < found.from + CYCLES_LEAST)
        return SW_OK;
    sw_status status = choose_start(cycles, pole_pairs, &found, error);
    if (status != SW_OK || found.to < found.from + CYCLES_LEAST)
        return status;
    found.from_hz = speed_at(cycles, found.from, 3);
    found.to_hz = speed_at(cycles, found.to - 3, 3);
    if (found.from_hz > FALL_LEAST * found.to_hz)
        *part = found;
    return SW_OK;
}
