/* Do the magnets differ more than good ones do?
 *
 * The map is the row of the magnets folded with the winding's response, mode by mode
 * (ring_magnets.c). Of magnets that differ at random by sigma (standard deviation, relative) every
 * mode q of the map has the expected square sigma^2 |C_q|^2 + noise^2 and is exponentially
 * distributed about it, so that each mode that the winding shows at all, weakly or strongly, tells
 * sigma equally well: most of what a plain sum of squares makes of the map comes from one or two
 * strong modes alone. Modes below a twentieth of the mean flux are left out, for there the
 * response's own error of a tenth is more than the rest; so is the first, in which a rotor out of
 * true stands.
 *
 * Bayes over a grid of sigma, with two kinds of rotor: good ones differ by 1.8 % (nine in ten
 * between 0.9 and 3.5 %), spoiled ones (rust, heat, a short circuit while it ran) by 7.5 % (4 to
 * 13 %); one in six on a scrap pile is spoiled. All four are common practice, no source. With two
 * or three modes in sight, as most windings have, a spoiled rotor can look good by chance; the
 * probability says so.
 *
 * The first mode by itself is a rotor that is weak on one side. Windings that repeat within a turn
 * do not see it, nor do those whose coils stand opposite one another.
 */
#include "src/measure/ring/ring_magnets.h"

#include <gsl/gsl_math.h>
#include <math.h>

enum { GRID = 64 };

typedef struct kind {
    double middle; /* of sigma, log-normal */
    double width;  /* of its logarithm */
} kind;

static const kind GOOD = {0.018, 0.40};
static const kind SPOILED = {0.075, 0.35};
static const double SPOILED_SHARE = 1.0 / 6.0;
static const double LOWEST = 0.004; /* of the grid */
static const double HIGHEST = 0.3;
static const double SEEN_LEAST = 0.05;  /* of a response, else the model is not good enough */
static const double SIDE_LEAST = 0.015; /* likewise for the first mode, where more is at stake */
static const double OWN = 5e-4;         /* of a map's pole, beside its noise */

typedef struct modes {
    int count;
    double response[SW_RING_POLE_LIMIT]; /* squared */
    double seen[SW_RING_POLE_LIMIT];     /* squared */
    double noise;                        /* squared */
} modes;

static double square_of_mode(const double *value, int n, int q, double level) {
    double re = 0.0;
    double im = 0.0;
    for (int i = 0; i < n; i++) {
        double angle = 2.0 * M_PI * ((double)q * i - (double)n * floor((double)q * i / n)) / n;
        re += (value[i] - level) * cos(angle);
        im += (value[i] - level) * sin(angle);
    }
    return re * re + im * im;
}

static double mean_square_u(const sw_magnet_ring *ring) {
    double sum = OWN * OWN;
    for (int i = 0; i < ring->poles; i++)
        sum += ring->strength_u[i] * ring->strength_u[i] / ring->poles;
    return sum;
}

static void gather(const double *response, const sw_magnet_ring *ring, modes *m) {
    int n = ring->poles;
    m->count = 0;
    m->noise = mean_square_u(ring);
    for (int q = 2; 2 * q < n; q++) {
        double square = square_of_mode(response, n, q, 0.0);
        if (square < SEEN_LEAST * SEEN_LEAST)
            continue;
        m->response[m->count] = square;
        m->seen[m->count++] = square_of_mode(ring->strength, n, q, 1.0) / n;
    }
}

static double sigma_at(int step) {
    return LOWEST * pow(HIGHEST / LOWEST, (double)step / (GRID - 1));
}

static double log_likelihood(const modes *m, double sigma) {
    double sum = 0.0;
    for (int i = 0; i < m->count; i++) {
        double expected = sigma * sigma * m->response[i] + m->noise;
        sum -= log(expected) + m->seen[i] / expected;
    }
    return sum;
}

static double prior(const kind *k, double sigma) {
    double z = log(sigma / k->middle) / k->width;
    return exp(-0.5 * z * z) / k->width;
}

static void weigh(const modes *m, sw_magnet_ring *ring) {
    double weight[GRID];
    double top = -INFINITY;
    double all = 0.0;
    double spoiled = 0.0;
    double mean = 0.0;
    double square = 0.0;
    for (int s = 0; s < GRID; s++) {
        weight[s] = log_likelihood(m, sigma_at(s));
        top = fmax(top, weight[s]);
    }
    for (int s = 0; s < GRID; s++) {
        double sigma = sigma_at(s);
        double likely = exp(weight[s] - top);
        double bad = SPOILED_SHARE * prior(&SPOILED, sigma) * likely;
        double both = bad + (1.0 - SPOILED_SHARE) * prior(&GOOD, sigma) * likely;
        all += both;
        spoiled += bad;
        mean += both * sigma;
        square += both * sigma * sigma;
    }
    mean /= all;
    ring->magnet_spread = mean;
    ring->magnet_spread_u = sqrt(fmax(0.0, square / all - mean * mean));
    ring->spoiled = spoiled / all;
}

/* strength = 1 + a cos(once a turn): a, and its uncertainty from noise and from what single magnets
 * differ by. */
static void tell_side(const double *response, sw_magnet_ring *ring) {
    int n = ring->poles;
    double seen_by = sqrt(square_of_mode(response, n, 1, 0.0));
    if (n < 6 || seen_by < SIDE_LEAST)
        return;
    double single = isfinite(ring->magnet_spread) ? ring->magnet_spread : GOOD.middle;
    double noise = sqrt(mean_square_u(ring)) / seen_by;
    ring->one_side = 2.0 * sqrt(square_of_mode(ring->strength, n, 1, 1.0)) / n / seen_by;
    ring->one_side_u = hypot(single, noise) * sqrt(2.0 / n);
}

void sw_ring_spread(const double *response, sw_magnet_ring *ring) {
    modes m;
    gather(response, ring, &m);
    if (m.count > 0)
        weigh(&m, ring);
    tell_side(response, ring);
}
