/* Undoing the smear.
 *
 * A magnet passes every coil of the recorded winding, so that the map of the poles is the row of
 * the magnets' strengths folded with a response C that follows from slots and poles: coils by the
 * star of slots (Pyrhonen, Jokinen, Hrabovcova, Design of Rotating Electrical Machines, ch. 2),
 * each linking the part of its window that a magnet covers, less the even return flux; taken at
 * the rotor angle where the whole ring's flux is largest. Window and magnet are taken as blocks,
 * which is good to about a tenth.
 *
 * Both rows close on themselves, so that folding is a product mode by mode (discrete Fourier
 * transform). Where the winding is blind to a mode nothing brings it back: with t = gcd(slots,
 * pole pairs) like patterns in a turn only every t-th mode is seen, and of three-phase windings
 * with coils round the teeth hardly more than a third even at t = 1. A list of all magnets would
 * be mostly guessed, so there is none.
 *
 * One weak magnet among good ones is another question: its response has a known shape, and least
 * squares at every place tells how much it would lack there. Places that explain the map equally
 * well are all named. What the other magnets differ by sets how deep a lack must be.
 */
#include "src/measure/ring/ring_magnets.h"

#include <complex.h>
#include <gsl/gsl_math.h>
#include <math.h>

/* Of fewer places that differ any pattern can be explained by one. */
enum { COILS = 1000, PLACES_LEAST = 4 };

static const double magnet_arc = 0.85;     /* of the pole pitch; common practice, no source */
static const double model_u = 0.1;         /* of the response */
static const double as_good = 0.9;         /* of the best place's explanation: named with it */
static const double blind = 1e-6;          /* power of a response that is none */
static const double least_lack = 0.25;     /* of one magnet: good rings differ by a fifth of that */
static const double least_u = 6.0;         /* and so many standard uncertainties */
static const double explained_least = 0.6; /* of the map's variance */
static const double round_wound = 2.0;     /* slots a pole from which coils span a whole pole */

typedef struct coil {
    double angle_rad;
    double weight;
} coil;

typedef struct winding {
    int count;
    double span_rad;
    coil coils[COILS];
} winding;

/* Weight of a coil in the recorded pair, from its place in the star of slots. */
static double weight_of(const sw_stator *stator, int coil_number) {
    int belts = 2 * stator->phases;
    int spoke = (int)((long long)(stator->poles / 2) * coil_number % stator->slots);
    int belt = (int)floor((double)spoke / stator->slots * belts + 0.5 + 1e-9) % belts;
    double sign = 1.0;
    /* belts round the star: A, -C, B, -A, C, -B; A, B, -A, -B; A, -A */
    int phase = 0;
    if (stator->phases == 3) {
        static const int PHASE[6] = {0, 2, 1, 0, 2, 1};
        phase = PHASE[belt];
        sign = belt % 2 == 0 ? 1.0 : -1.0;
    } else {
        phase = belt % stator->phases;
        sign = belt < stator->phases ? 1.0 : -1.0;
    }
    if (phase == 0)
        return sign;
    return phase == 1 && stator->phases == 3 && !stator->one_winding ? -sign : 0.0;
}

static bool lay(const sw_stator *stator, winding *w) {
    int slots = stator->slots;
    if (slots < 2 || slots > COILS || stator->poles < 2 || stator->poles > SW_RING_POLE_LIMIT ||
        stator->phases < 1 || stator->phases > 3)
        return false;
    double per_pole = (double)slots / stator->poles;
    double span = per_pole >= round_wound ? round(per_pole) : 1.0;
    *w = (winding){.span_rad = 2.0 * M_PI * span / slots};
    for (int j = 0; j < slots; j++) {
        double weight = weight_of(stator, j);
        if (weight != 0.0)
            w->coils[w->count++] = (coil){2.0 * M_PI * j / slots, weight};
    }
    return w->count > 0;
}

/* What one magnet at an angle puts through the winding. */
static double linked(const winding *w, double block_rad, double angle_rad) {
    double sum = 0.0;
    for (int j = 0; j < w->count; j++) {
        double apart = fabs(remainder(w->coils[j].angle_rad - angle_rad, 2.0 * M_PI));
        double common = 0.5 * (w->span_rad + block_rad) - apart;
        double most = fmin(w->span_rad, block_rad);
        sum += w->coils[j].weight *
               (fmin(fmax(common, 0.0), most) - w->span_rad * block_rad / (2.0 * M_PI));
    }
    return sum;
}

static double whole_ring(const winding *w, const sw_stator *stator, double block_rad,
                         double angle_rad) {
    double sum = 0.0;
    for (int i = 0; i < stator->poles; i++)
        sum += (i % 2 == 0 ? 1.0 : -1.0) *
               linked(w, block_rad, angle_rad + 2.0 * M_PI * i / stator->poles);
    return sum;
}

bool sw_stator_response(const sw_stator *stator, double *response) {
    enum { STEPS = 48 };
    winding w;
    if (!lay(stator, &w))
        return false;
    double pitch = 2.0 * M_PI / stator->poles;
    double block = magnet_arc * pitch;
    double best = 0.0;
    double all = 0.0;
    for (int s = 0; s < STEPS; s++) {
        double here = whole_ring(&w, stator, block, pitch * s / STEPS);
        if (fabs(here) > fabs(all)) {
            all = here;
            best = pitch * s / STEPS;
        }
    }
    for (int m = 0; m < stator->poles; m++)
        response[m] = (m % 2 == 0 ? 1.0 : -1.0) * linked(&w, block, best + pitch * m) / all;
    /* slots and poles that do not fit leave the phase with hardly any flux */
    return fabs(all) > 0.05 * w.count * fmin(block, w.span_rad);
}

/* Power of mode q of a row that closes on itself. */
static double mode_power(const double *value, int n, int q) {
    double complex sum = 0.0;
    for (int i = 0; i < n; i++)
        sum += value[i] * cexp(-2.0 * M_PI * I * (q * i % n) / n);
    return creal(sum * conj(sum));
}

static double mean_noise(const sw_magnet_ring *ring) {
    double sum = 0.0;
    for (int i = 0; i < ring->poles; i++)
        sum += ring->strength_u[i] * ring->strength_u[i] / ring->poles;
    return sqrt(sum);
}

static double spread(const double *value, int n) {
    double sum = 0.0;
    for (int i = 0; i < n; i++)
        sum += value[i] * value[i] / n;
    return sqrt(sum);
}

/* Of the modes but the mean, weakly seen ones counted in part. */
static double visible_share(const double *response, int n) {
    double share = 0.0;
    for (int q = 1; q < n; q++) {
        double square = mode_power(response, n, q);
        share += square / (square + model_u * model_u) / (n - 1);
    }
    return share;
}

/* ---- one weak magnet ---- */

typedef struct guess {
    double lack[SW_RING_POLE_LIMIT];
    double explained[SW_RING_POLE_LIMIT]; /* sum of squares */
    double power;                         /* sum of squares of a whole magnet's response */
} guess;

/* The map with a whole magnet less at place i: pole h lacks response[i - h], the mean kept. */
static double lacking_at(const double *response, int n, int i, int h) {
    return response[((i - h) % n + n) % n] - 1.0 / n;
}

static void try_places(const double *response, const double *seen, int n, guess *g) {
    g->power = 0.0;
    for (int h = 0; h < n; h++)
        g->power += pow(lacking_at(response, n, 0, h), 2.0);
    for (int i = 0; i < n; i++) {
        double product = 0.0;
        for (int h = 0; h < n; h++)
            product -= seen[h] * lacking_at(response, n, i, h);
        g->lack[i] = product / g->power;
        g->explained[i] = product > 0.0 ? product * product / g->power : 0.0;
    }
}

static int best_place(const guess *g, int n) {
    int best = 0;
    for (int i = 1; i < n; i++)
        if (g->explained[i] > g->explained[best])
            best = i;
    return best;
}

/* What is left of the map when the magnet at `place` is taken as the only cause. */
static double rest_of(const double *response, const double *seen, int n, const guess *g,
                      int place) {
    double sum = 0.0;
    for (int h = 0; h < n; h++)
        sum += pow(seen[h] + g->lack[place] * lacking_at(response, n, place, h), 2.0) / n;
    return sqrt(sum);
}

/* Which magnet stands at a coil when pole 0 passes. */
static int at_coil(const double *response, int n) {
    int most = 0;
    for (int m = 1; m < n; m++)
        if (response[m] > response[most] + 1e-9)
            most = m;
    return most;
}

static void find_weak(const double *response, const double *seen, double noise,
                      sw_magnet_ring *ring) {
    guess g = {.power = 0.0};
    int n = ring->poles;
    try_places(response, seen, n, &g);
    int best = best_place(&g, n);
    double rest = fmax(rest_of(response, seen, n, &g, best), noise);
    double u = rest / sqrt(fmax(g.power, blind));
    double lack = g.lack[best];
    ring->smallest_weak = fmax(least_lack, least_u * u);
    if (g.power < blind)
        return;
    double all = n * pow(spread(seen, n), 2.0);
    if (lack < ring->smallest_weak || g.explained[best] < explained_least * all)
        return;
    int likes = 0;
    for (int i = 0; i < n; i++)
        likes += g.explained[i] >= as_good * g.explained[best];
    if (likes == 0 || n / likes < PLACES_LEAST)
        return;
    ring->weak_lack = sw_quantity_of(lack, hypot(u, model_u * lack), "1");
    for (int i = 0; i < n; i++)
        if (g.explained[i] >= as_good * g.explained[best]) {
            if (ring->weak_count < SW_RING_WEAK_LIMIT)
                ring->weak_pole[ring->weak_count] = (i - at_coil(response, n) + n) % n;
            ring->weak_count++;
        }
}

void sw_ring_magnets(const sw_stator *stator, sw_magnet_ring *ring) {
    double response[SW_RING_POLE_LIMIT];
    double seen[SW_RING_POLE_LIMIT] = {0};
    int n = ring->poles;
    sw_magnet_ring_forget(ring);
    if (n == 0 || n != stator->poles || !sw_stator_response(stator, response))
        return;
    for (int i = 0; i < n; i++)
        seen[i] = ring->strength[i] - 1.0;
    ring->visible_share = visible_share(response, n);
    sw_ring_spread(response, ring);
    find_weak(response, seen, mean_noise(ring), ring);
}
