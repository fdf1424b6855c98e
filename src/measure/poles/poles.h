/* Pole pairs from the pattern that repeats once a shaft turn, fused with what is known of the
 * speed. See poles.c for the likelihood. */
#ifndef SPINWORTH_MEASURE_POLES_H
#define SPINWORTH_MEASURE_POLES_H

#include "shared/motor.h"
#include "src/measure/signal/cycles.h"

enum { SW_POLE_PAIR_LIMIT = 120 };

/* What the person knows beside the record. NaN or 0 = not said. */
typedef struct sw_speed_evidence {
    sw_quantity speed;    /* "rpm" of the stretch at the magnets' shaft, measured (--speed) */
    double about_rpm;     /* rough: flat within 20 % either way, soft edges (--about) */
    double turns;         /* turns counted over the whole record, +-0.25 (--turns) */
    double turns_u;       /* standard uncertainty of turns */
    int detents;          /* rest positions counted in one turn (--detents) */
    int magnets;          /* magnets counted (--magnets) */
    double frequency_hz;  /* electrical, of the stretch that `speed` and `about_rpm` mean */
    double cycles_in_all; /* electrical cycles while `turns` were counted */
    int phases;           /* 0 = not known */
} sw_speed_evidence;

/* Posterior over 1 .. SW_POLE_PAIR_LIMIT. value is 0 when no candidate reaches the probability
 * that an answer needs; evidence says in plain words what spoke for it. cycles may be NULL or
 * short: then the speed evidence alone decides. */
sw_status sw_poles_estimate(const sw_cycles *cycles, const sw_speed_evidence *evidence,
                            sw_pole_pairs *result, sw_error *error);

/* Counts made later (detents, magnets) into what a record gave: Bayes' rule on its candidates. What
 * it does not list shares evenly what the list leaves. phases as in the evidence. */
void sw_poles_count(const sw_speed_evidence *evidence, sw_pole_pairs *result);

#endif
