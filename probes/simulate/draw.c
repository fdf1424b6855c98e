#include "probes/simulate/draw.h"

#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdint.h>

/* Neighbouring seeds must not give related streams: the 64-bit finaliser of Steele, Lea and
 * Flood (2014), from memory. */
static uint64_t mix(uint64_t x) {
    x += 0x9e3779b97f4a7c15U;
    x = (x ^ (x >> 30U)) * 0xbf58476d1ce4e5b9U;
    x = (x ^ (x >> 27U)) * 0x94d049bb133111ebU;
    return x ^ (x >> 31U);
}

gsl_rng *sw_draw_new(unsigned long seed, sw_sim_stream stream) {
    gsl_rng *random = gsl_rng_alloc(gsl_rng_taus2);
    if (random != NULL)
        gsl_rng_set(random, (unsigned long)(mix(mix(seed) + (uint64_t)stream) & 0xffffffffU));
    return random;
}

double sw_draw_between(gsl_rng *random, double low, double high) {
    return gsl_ran_flat(random, low, high);
}

double sw_draw_log(gsl_rng *random, double low, double high) {
    return exp(gsl_ran_flat(random, log(low), log(high)));
}

double sw_draw_normal(gsl_rng *random, double sd) {
    return sd * gsl_ran_gaussian_ziggurat(random, 1.0);
}

double sw_draw_tolerance(gsl_rng *random, double sd) {
    double drawn = 4.0;
    while (fabs(drawn) > 3.0)
        drawn = gsl_ran_gaussian_ziggurat(random, 1.0);
    return sd * drawn;
}
