/* Two lines against the third wire, with slots and poles known: which coil?
 *
 * The coils of a phase need not be in step: with 12 slots and 14 poles they stand 15 degrees either
 * side of their phase, with 18 and 16 up to 20. One that is bridged then takes from its phase's
 * angle too, and the two lines point between "a phase lacks something" (30, 150 and 270 degrees in
 * ln r, see windings.c) and "a channel's scale is off" (0 and 180). Which directions there are
 * follows from the star of slots (Pyrhonen, Jokinen, Hrabovcova, Design of Rotating Electrical
 * Machines, ch. 2): every phase with every coil of it taken off, x of it (1 = the whole coil, more
 * = several in step). x is fitted to the two lines; what is left over tells the likely ones, and a
 * whole coil is likelier than a part of one.
 */
#include "src/measure/constant/windings.h"

#include <gsl/gsl_math.h>
#include <math.h>
#include <stdlib.h>

enum { SLOTS_MOST = 1000, CAUSES_MOST = 64, STEPS = 120 };

static const double SIGMA = 0.004;    /* how far sound windings are from alike, in ln r */
static const double COILS_MOST = 3.0; /* in step, that are gone */
static const double WHOLE_U = 0.08;   /* of a coil; turns are bridged in part too */
static const double WHOLE_COST = 4.0; /* at most */
static const double FITS = 16.0;      /* left over, in squared sigmas: else nothing is said */
static const double AS_LIKELY = 6.0;  /* more than the best */
static const double SAME_SPOKE = 1e-6;
static const double FACTOR_LEAST = 0.7; /* of a phase's coils; less is no winding */

typedef struct star {
    double complex emf[3];
    double complex spoke[3][CAUSES_MOST]; /* of each coil over its phase; those alike once */
    size_t spokes[3];
    int coils;
} star;

static void add_spoke(star *s, int phase, double complex share) {
    for (size_t i = 0; i < s->spokes[phase]; i++)
        if (cabs(s->spoke[phase][i] - share) < SAME_SPOKE)
            return;
    if (s->spokes[phase] < CAUSES_MOST)
        s->spoke[phase][s->spokes[phase]++] = share;
}

/* Belts A, -C, B, -A, C, -B round the star, half open. */
static double complex coil_of(int slots, int pole_pairs, int j, int *phase) {
    static const int PHASE[6] = {0, 2, 1, 0, 2, 1};
    int spoke = (int)((long long)pole_pairs * j % slots);
    int belt = (int)floor((double)spoke / slots * 6.0 + 0.5 + 1e-9) % 6;
    *phase = PHASE[belt];
    return (belt % 2 == 0 ? 1.0 : -1.0) * cexp(2.0 * M_PI * I * spoke / slots);
}

static bool star_of(int slots, int pole_pairs, star *s) {
    *s = (star){.coils = slots / 3};
    int phase;
    if (slots < 3 || slots > SLOTS_MOST || slots % 3 != 0 || pole_pairs < 1)
        return false;
    for (int j = 0; j < slots; j++) {
        double complex coil = coil_of(slots, pole_pairs, j, &phase);
        s->emf[phase] += coil;
    }
    for (int f = 0; f < 3; f++)
        if (cabs(s->emf[f]) < FACTOR_LEAST * s->coils)
            return false;
    for (int j = 0; j < slots; j++) {
        double complex coil = coil_of(slots, pole_pairs, j, &phase);
        add_spoke(s, phase, coil / s->emf[phase]);
    }
    return true;
}

static double complex lines_without(const star *s, int phase, double complex lost) {
    double complex e[3] = {s->emf[0], s->emf[1], s->emf[2]};
    e[phase] *= 1.0 - lost;
    return (e[1] - e[2]) / (e[0] - e[2]);
}

typedef struct cause {
    int phase;   /* 0 .. 2; -1 = a channel's scale */
    double lack; /* of the phase's volts */
    double cost;
} cause;

/* Best share of a coil that is gone. */
static cause fit_coil(const star *s, int phase, double complex spoke, double complex r,
                      double sigma) {
    cause best = {phase, 0.0, INFINITY};
    double highest = fmin(COILS_MOST, 0.95 / cabs(spoke));
    for (int i = 1; i <= STEPS; i++) {
        double x = highest * i / STEPS;
        double off = cabs(clog(r / lines_without(s, phase, x * spoke))) / sigma;
        double part = x < 0.5 ? 1.0 : fabs(x - round(x)) / WHOLE_U;
        double cost = off * off + fmin(WHOLE_COST, part * part);
        if (cost < best.cost)
            best = (cause){phase, 1.0 - cabs(1.0 - x * spoke), cost};
    }
    return best;
}

static size_t list_causes(const star *s, double complex r, double sigma, cause *list) {
    size_t count = 0;
    double complex sound = lines_without(s, 0, 0.0);
    /* an upright scale: the angle alone is left over; nobody knows by how much it is off */
    double turned = carg(r / sound) / sigma;
    list[count++] = (cause){-1, 0.0, turned * turned + WHOLE_COST};
    for (int f = 0; f < 3; f++)
        for (size_t i = 0; i < s->spokes[f] && count < CAUSES_MOST; i++)
            list[count++] = fit_coil(s, f, s->spoke[f][i], r, sigma);
    return count;
}

/* The star's phases come in one order, the wires in that or in the other: the two lines tell. */
static double complex upright(const star *s, double complex ratio) {
    double own = carg(lines_without(s, 0, 0.0));
    return own * carg(ratio) < 0.0 ? conj(ratio) : ratio;
}

static int by_cost(const void *left, const void *right) {
    double a = ((const cause *)left)->cost;
    double b = ((const cause *)right)->cost;
    return (a > b) - (a < b);
}

bool sw_windings_by_coils(const sw_live *v, int slots, int pole_pairs, sw_winding_cause *found) {
    star s;
    cause list[CAUSES_MOST];
    *found = (sw_winding_cause){0};
    if (v->count != 2 || !star_of(slots, pole_pairs, &s))
        return false;
    double sigma = hypot(SIGMA, v->u);
    size_t count = list_causes(&s, upright(&s, v->ratio[1] / v->ratio[0]), sigma, list);
    qsort(list, count, sizeof *list, by_cost);
    if (list[0].cost > FITS)
        return false;
    for (size_t i = 0; i < count && list[i].cost < list[0].cost + AS_LIKELY; i++) {
        if (list[i].phase < 0)
            found->scale = true;
        else if (!found->phase[list[i].phase]) {
            found->phase[list[i].phase] = true;
            found->phases++;
            if (found->phases == 1) {
                found->first = list[i].phase + 1;
                found->lack = list[i].lack;
            }
        }
    }
    return true;
}
