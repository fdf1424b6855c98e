/* The map.
 *
 * The flux that the recorded winding links is the integral of its voltage over time, whatever the
 * speed did meanwhile; where the voltage passes zero the flux has its extreme, and a pole stands
 * over the coil. Over one turn of the rotor there are two such extremes a pole pair. Their sizes,
 * relative to the mean, are the poles' strengths; their angles against an even spacing are the
 * placements. A winding that spreads over many coils shows each magnet smeared over as many places:
 * the map is what the terminals see, not what a probe at the magnet would.
 *
 * Cycles are folded by the pole pairs. All turns give the mean wave and with it the angles of the
 * extremes; the scatter from turn to turn of the flux and of the voltage at those angles gives the
 * uncertainty. Turns count by their speed, for the noise of a flux falls with it. What is steady
 * within a turn (an input's offset) is taken off before integrating, and so is the mean flux: no
 * more lines go into the rotor than come out.
 *
 * Placements cannot be told from a speed that ripples once or twice a turn with the chuck.
 */
#include "src/measure/ring/ring.h"

#include "src/measure/ring/ring_magnets.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { POINTS = SW_CYCLE_POINTS, HALF = POINTS / 2, LEAST_TURNS = 3 };

static const double own_strength = 3e-4;  /* of the method: 32 points a cycle */
static const double own_angle_deg = 0.05; /* likewise */
static const double slowest_share = 0.3;  /* of the fastest cycle: slower ones are mostly noise */

typedef struct fold {
    const sw_ring_source *source;
    size_t pairs;
    size_t points; /* of a turn */
    size_t first;  /* cycle that turn 0 starts with */
    size_t turns;
    double *wave;  /* mean over the turns: flux gained a point */
    double *flux;  /* its integral */
    double *shift; /* pairs: mean start of a cycle against even spacing, in cycles */
    double *turn_wave;
    double *turn_flux;
    double *turn_shift;
} fold;

static void fold_free(fold *f) {
    free(f->wave);
}

/* The longest run of cycles that are fast enough: first and count. */
static void fast_run(const sw_ring_source *source, size_t *first, size_t *count) {
    const sw_cycles *cycles = source->cycles;
    double top = 0.0;
    for (size_t i = 0; i < cycles->count; i++)
        top = fmax(top, 1.0 / cycles->cycle[i].length_s);
    double least = fmax(source->lowest_hz, slowest_share * top);
    size_t from = 0;
    *first = 0;
    *count = 0;
    for (size_t i = 0; i < cycles->count; i++) {
        if (1.0 / cycles->cycle[i].length_s < least)
            from = i + 1;
        else if (i + 1 - from > *count) {
            *first = from;
            *count = i + 1 - from;
        }
    }
}

static sw_status fold_new(const sw_ring_source *source, fold *f, sw_error *error) {
    *f = (fold){.source = source, .pairs = (size_t)source->pole_pairs};
    f->points = f->pairs * POINTS;
    size_t count;
    fast_run(source, &f->first, &count);
    f->turns = count / f->pairs;
    f->wave = calloc(4 * f->points + 2 * f->pairs, sizeof *f->wave);
    if (f->wave == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for the magnet ring");
    f->flux = f->wave + f->points;
    f->turn_wave = f->flux + f->points;
    f->turn_flux = f->turn_wave + f->points;
    f->shift = f->turn_flux + f->points;
    f->turn_shift = f->shift + f->pairs;
    return SW_OK;
}

static void take_mean_off(double *value, size_t count) {
    double mean = 0.0;
    for (size_t i = 0; i < count; i++)
        mean += value[i] / (double)count;
    for (size_t i = 0; i < count; i++)
        value[i] -= mean;
}

/* Integral by the trapezoid rule, closed over the turn, mean zero. */
static void integrate(const double *wave, size_t points, double *flux) {
    flux[0] = 0.0;
    for (size_t i = 1; i < points; i++)
        flux[i] = flux[i - 1] + 0.5 * (wave[i - 1] + wave[i]);
    take_mean_off(flux, points);
}

/* One turn into turn_wave, turn_flux and turn_shift; returns its weight, the mean frequency. */
static double read_turn(const fold *f, size_t turn) {
    const sw_cycle *cycle = &f->source->cycles->cycle[f->first + turn * f->pairs];
    const sw_track *track = f->source->track;
    double length_s = 0.0;
    for (size_t c = 0; c < f->pairs; c++) {
        double from = sw_track_cycles(track, cycle[c].start_s);
        double to = sw_track_cycles(track, cycle[c].start_s + cycle[c].length_s);
        /* shape = v / f, so v dt = shape d(cycles) */
        for (int i = 0; i < POINTS; i++)
            f->turn_wave[c * POINTS + (size_t)i] = cycle[c].shape[i] * (to - from) / POINTS;
        f->turn_shift[c] = from - (double)c;
        length_s += cycle[c].length_s;
    }
    take_mean_off(f->turn_wave, f->points);
    take_mean_off(f->turn_shift, f->pairs);
    integrate(f->turn_wave, f->points, f->turn_flux);
    return (double)f->pairs / length_s;
}

static void mean_turn(fold *f) {
    double weights = 0.0;
    for (size_t t = 0; t < f->turns; t++) {
        double weight = read_turn(f, t);
        weights += weight;
        for (size_t i = 0; i < f->points; i++)
            f->wave[i] += weight * f->turn_wave[i];
        for (size_t c = 0; c < f->pairs; c++)
            f->shift[c] += weight * f->turn_shift[c];
    }
    for (size_t i = 0; i < f->points; i++)
        f->wave[i] /= weights;
    for (size_t c = 0; c < f->pairs; c++)
        f->shift[c] /= weights;
    integrate(f->wave, f->points, f->flux);
}

/* A place on the closed turn, in points. */
typedef struct place {
    size_t at;
    size_t next;
    double part; /* 0 .. 1 from at to next */
} place;

static place place_of(const fold *f, double points) {
    double turn = (double)f->points;
    double x = points - turn * floor(points / turn);
    size_t at = (size_t)x % f->points;
    return (place){at, (at + 1) % f->points, x - floor(x)};
}

static double wave_at(const double *wave, place p) {
    return wave[p.at] + p.part * (wave[p.next] - wave[p.at]);
}

/* Cubic Hermite: the wave is the flux's slope. */
static double flux_at(const double *flux, const double *wave, place p) {
    double t = p.part;
    double t2 = t * t;
    double t3 = t2 * t;
    return (2.0 * t3 - 3.0 * t2 + 1.0) * flux[p.at] + (t3 - 2.0 * t2 + t) * wave[p.at] +
           (3.0 * t2 - 2.0 * t3) * flux[p.next] + (t3 - t2) * wave[p.next];
}

/* Where the mean wave passes zero nearest to pole h: upwards at even h, where the flux is lowest.
 * A pole that leaves no such passage is read where it should be. */
static double extreme(const fold *f, size_t h) {
    double sign = h % 2 == 0 ? 1.0 : -1.0;
    double nominal = (double)(h * HALF);
    double best = nominal;
    double off = INFINITY;
    for (int d = -HALF / 2; d < HALF / 2; d++) {
        place p = place_of(f, nominal + d);
        double a = sign * f->wave[p.at];
        double b = sign * f->wave[p.next];
        if (!(a < 0.0 && b >= 0.0))
            continue;
        double at = d + a / (a - b);
        if (fabs(at) < off) {
            off = fabs(at);
            best = nominal + at;
        }
    }
    return best;
}

static double slope_at(const fold *f, place p) {
    return f->wave[p.next] - f->wave[p.at];
}

/* Weighted scatter of a mean from turn to turn. */
typedef struct scatter {
    double weights;
    double flux[SW_RING_POLE_LIMIT];
    double angle[SW_RING_POLE_LIMIT];
} scatter;

static void gather_scatter(const fold *f, const double *at, const double *mean_flux, scatter *s) {
    size_t poles = 2 * f->pairs;
    for (size_t t = 0; t < f->turns; t++) {
        double weight = read_turn(f, t);
        s->weights += weight;
        for (size_t h = 0; h < poles; h++) {
            place p = place_of(f, at[h]);
            double flux = flux_at(f->turn_flux, f->turn_wave, p) - mean_flux[h];
            double late = -wave_at(f->turn_wave, p) / slope_at(f, p) / POINTS;
            double moved = late + f->turn_shift[h / 2] - f->shift[h / 2];
            s->flux[h] += weight * weight * flux * flux;
            s->angle[h] += weight * weight * moved * moved;
        }
    }
}

/* Standard uncertainty of a weighted mean from its scatter over n turns. */
static double mean_u(double squares, double weights, size_t turns) {
    double n = (double)turns;
    return sqrt(squares * n / (n - 1.0)) / weights;
}

static void fill(const fold *f, const double *at, sw_magnet_ring *ring, scatter *s) {
    size_t poles = 2 * f->pairs;
    double flux[SW_RING_POLE_LIMIT];
    double mean = 0.0;
    for (size_t h = 0; h < poles; h++) {
        flux[h] = flux_at(f->flux, f->wave, place_of(f, at[h]));
        mean += (h % 2 == 0 ? -flux[h] : flux[h]) / (double)poles;
        ring->placement_deg[h] = 360.0 * (at[h] / POINTS + f->shift[h / 2] - 0.5 * (double)h);
    }
    take_mean_off(ring->placement_deg, poles);
    gather_scatter(f, at, flux, s);
    for (size_t h = 0; h < poles; h++) {
        ring->strength[h] = (h % 2 == 0 ? -flux[h] : flux[h]) / mean;
        double strength_u = mean_u(s->flux[h], s->weights, f->turns) / mean;
        double angle_u = 360.0 * mean_u(s->angle[h], s->weights, f->turns);
        ring->strength_u[h] = hypot(strength_u, own_strength);
        ring->placement_u_deg[h] = hypot(angle_u, own_angle_deg);
    }
    ring->poles = (int)poles;
    ring->turns = (double)f->turns;
}

static void rotate(double *value, size_t count, size_t first) {
    double turned[SW_RING_POLE_LIMIT];
    for (size_t i = 0; i < count; i++)
        turned[i] = value[(i + first) % count];
    memcpy(value, turned, count * sizeof *value);
}

/* Pole 1 is the first to pass the winding after the mark has passed its sensor. */
static void count_from_mark(const fold *f, const double *at, sw_magnet_ring *ring) {
    size_t poles = 2 * f->pairs;
    const sw_cycle *start = &f->source->cycles->cycle[f->first];
    double mark =
        f->source->mark_cycles - sw_track_cycles(f->source->track, start->start_s) + f->shift[0];
    mark -= (double)f->pairs * floor(mark / (double)f->pairs);
    size_t first = 0;
    double wait = INFINITY;
    for (size_t h = 0; h < poles; h++) {
        double after = at[h] / POINTS + f->shift[h / 2] - mark;
        after -= (double)f->pairs * floor(after / (double)f->pairs);
        if (after < wait) {
            wait = after;
            first = h;
        }
    }
    rotate(ring->strength, poles, first);
    rotate(ring->strength_u, poles, first);
    rotate(ring->placement_deg, poles, first);
    rotate(ring->placement_u_deg, poles, first);
    ring->from_mark = true;
    ring->first_deg = 360.0 * wait / (double)f->pairs;
}

sw_status sw_ring_map(const sw_ring_source *source, sw_magnet_ring *ring, sw_error *error) {
    *ring = (sw_magnet_ring){.first_deg = NAN};
    sw_magnet_ring_forget(ring);
    if (source->pole_pairs < 1 || 2 * source->pole_pairs > SW_RING_POLE_LIMIT ||
        source->track->count < 2)
        return SW_OK;
    fold f;
    sw_status status = fold_new(source, &f, error);
    scatter *s = calloc(1, sizeof *s);
    if (status == SW_OK && s == NULL)
        status = sw_fail(error, SW_MEMORY, "not enough memory for the magnet ring");
    if (status == SW_OK && f.turns >= LEAST_TURNS) {
        double at[SW_RING_POLE_LIMIT];
        mean_turn(&f);
        for (size_t h = 0; h < 2 * f.pairs; h++)
            at[h] = extreme(&f, h);
        fill(&f, at, ring, s);
        if (isfinite(source->mark_cycles))
            count_from_mark(&f, at, ring);
    }
    free(s);
    fold_free(&f);
    return status;
}
