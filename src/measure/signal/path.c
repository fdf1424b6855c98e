/* The path of greatest total score through the spectra (Viterbi; G. D. Forney, Proc. IEEE 61,
 * 1973), with a silent state for stretches in which nothing periodic is to be seen. The frequency
 * may move by up to REACH states a frame (2^(12/24) in 20 ms: faster than any drill), at a small
 * cost for each state, so that a steady line is not left for a chance peak and a ramp is followed.
 */
#include "src/measure/signal/path.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

enum { REACH = 12 };

static const double move_cost = 0.15;   /* a state */
static const double silent_score = 3.5; /* as good as harmonic power 15 dB over the floor */
static const double begin_cost = 12.0;  /* from silence to sound or back */

typedef struct lattice {
    const sw_spectra *spectra;
    size_t width;   /* states and the silent one, which is the last */
    double *total;  /* of the present frame */
    double *before; /* of the frame before */
    uint16_t *from; /* frames x width */
} lattice;

static sw_status lattice_new(const sw_spectra *spectra, lattice *l, sw_error *error) {
    *l = (lattice){.spectra = spectra, .width = spectra->states + 1};
    l->total = calloc(l->width, sizeof *l->total);
    l->before = calloc(l->width, sizeof *l->before);
    l->from = calloc(spectra->frames * l->width, sizeof *l->from);
    if (l->total == NULL || l->before == NULL || l->from == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory to follow the frequency");
    return SW_OK;
}

static void lattice_free(lattice *l) {
    free(l->total);
    free(l->before);
    free(l->from);
}

/* Best way into a state: from its neighbours or out of silence. */
static double best_before(const lattice *l, size_t state, uint16_t *from) {
    size_t silent = l->width - 1;
    double best = l->before[silent] - begin_cost;
    *from = (uint16_t)silent;
    size_t low = state >= REACH ? state - REACH : 0;
    size_t high = state + REACH < silent ? state + REACH : silent - 1;
    for (size_t s = low; s <= high; s++) {
        double moved = s > state ? (double)(s - state) : (double)(state - s);
        double value = l->before[s] - move_cost * moved;
        if (value > best) {
            best = value;
            *from = (uint16_t)s;
        }
    }
    return best;
}

static double best_silence(const lattice *l, uint16_t *from) {
    size_t silent = l->width - 1;
    double best = l->before[silent];
    *from = (uint16_t)silent;
    for (size_t s = 0; s < silent; s++)
        if (l->before[s] - begin_cost > best) {
            best = l->before[s] - begin_cost;
            *from = (uint16_t)s;
        }
    return best;
}

static void step(lattice *l, size_t frame) {
    size_t silent = l->width - 1;
    uint16_t *from = &l->from[frame * l->width];
    const float *score = &l->spectra->score[frame * l->spectra->states];
    for (size_t state = 0; state < silent; state++)
        l->total[state] = best_before(l, state, &from[state]) + (double)score[state];
    l->total[silent] = best_silence(l, &from[silent]) + silent_score;
    double *swap = l->before;
    l->before = l->total;
    l->total = swap;
}

/* States of the best path, frame by frame. */
static void trace(const lattice *l, uint16_t *state) {
    size_t best = 0;
    for (size_t s = 1; s < l->width; s++)
        if (l->before[s] > l->before[best])
            best = s;
    for (size_t frame = l->spectra->frames; frame-- > 0;) {
        state[frame] = (uint16_t)best;
        best = l->from[frame * l->width + best];
    }
}

typedef struct span {
    size_t first;
    size_t last; /* one beyond */
    double energy;
    double score;
} span;

static span span_from(const sw_spectra *s, const uint16_t *state, size_t first) {
    span found = {.first = first, .last = first};
    while (found.last < s->frames && state[found.last] < s->states) {
        size_t cell = found.last * s->states + state[found.last];
        found.energy += (double)s->power[cell];
        found.score += (double)s->score[cell];
        found.last++;
    }
    return found;
}

static span strongest_span(const sw_spectra *s, const uint16_t *state) {
    span best = {0};
    size_t frame = 0;
    while (frame < s->frames) {
        span found = span_from(s, state, frame);
        if (found.last > found.first && found.energy > best.energy)
            best = found;
        frame = found.last > frame ? found.last : frame + 1;
    }
    return best;
}

/* Score peaks lie between states: a parabola through three finds them. */
static double peak_state(const sw_spectra *s, size_t frame, size_t state) {
    if (state == 0 || state + 1 >= s->states)
        return (double)state;
    const float *at = &s->score[frame * s->states + state];
    double left = (double)at[-1];
    double right = (double)at[1];
    double bend = left - 2.0 * (double)at[0] + right;
    if (bend >= 0.0)
        return (double)state;
    double shift = 0.5 * (left - right) / bend;
    return (double)state + fmax(-1.0, fmin(1.0, shift));
}

static sw_status path_of(const sw_spectra *s, const uint16_t *state, span best, sw_path *path,
                         sw_error *error) {
    path->count = best.last - best.first;
    path->hop_s = s->hop_s;
    path->from_s = (double)best.first * s->hop_s;
    if (path->count == 0)
        return SW_OK;
    path->power = best.energy / (double)path->count;
    path->score = best.score / (double)path->count;
    path->frequency_hz = calloc(path->count, sizeof *path->frequency_hz);
    if (path->frequency_hz == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory to follow the frequency");
    for (size_t i = 0; i < path->count; i++) {
        size_t frame = best.first + i;
        path->frequency_hz[i] = sw_spectra_frequency(s, peak_state(s, frame, state[frame]));
    }
    return SW_OK;
}

sw_status sw_path_find(const sw_spectra *spectra, sw_path *path, sw_error *error) {
    *path = (sw_path){0};
    lattice l;
    sw_status status = lattice_new(spectra, &l, error);
    uint16_t *state = calloc(spectra->frames + 1, sizeof *state);
    if (state == NULL)
        status = sw_fail(error, SW_MEMORY, "not enough memory to follow the frequency");
    if (state != NULL && status == SW_OK) {
        for (size_t frame = 0; frame < spectra->frames; frame++)
            step(&l, frame);
        trace(&l, state);
        status = path_of(spectra, state, strongest_span(spectra, state), path, error);
    }
    lattice_free(&l);
    free(state);
    return status;
}

void sw_path_free(sw_path *path) {
    free(path->frequency_hz);
    *path = (sw_path){0};
}
