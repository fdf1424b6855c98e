/* What the files of the population score pass to each other. */
#ifndef SPINWORTH_TESTS_POPULATION_POPULATION_H
#define SPINWORTH_TESTS_POPULATION_POPULATION_H

#include "probes/simulate/simulate.h"
#include "src/measure/measure.h"

#include <stdbool.h>
#include <stddef.h>

enum { FAMILY_LIMIT = 40, CLASS_COUNT = 3 };

/* What the person knows of the speed. */
typedef enum hint { HINT_ABOUT, HINT_NONE, HINT_SPEED, HINT_COUNT } hint;

typedef struct options {
    size_t count;
    unsigned long seed;
    const char *family;
    bool wanted[HINT_COUNT];
    bool oracle;
    bool list;
} options;

/* An answer for the pole pairs. */
typedef struct answer {
    int pole_pairs; /* 0 = cannot tell */
    double probability;
} answer;

/* One motor, measured with one hint. */
typedef struct result {
    size_t family;
    bool alternating; /* truth */
    bool kind_right;
    bool phases_right;
    int pole_pairs; /* truth */
    answer found;
    answer ideal;    /* from an ideal input; only with the oracle */
    double pattern;  /* what differs from cycle to cycle, rms over the fundamental */
    double turn;     /* the part of it that tells a whole turn; NaN = not asked */
    double evidence; /* what noise lets through of it, nats; NaN = not asked */
    double error;    /* relative, of volts per hertz */
    double z;        /* error over its standard uncertainty */
} result;

/* Sums of a family, of a class, or of all. */
typedef struct score {
    size_t motors;
    size_t kinds_right;
    size_t phases_right;
    size_t alternating;
    size_t answered;
    size_t right;
    double stated; /* sum of the answers' probabilities */
    size_t sure;   /* probability >= 0.99 */
    size_t sure_wrong;
    size_t ideal_answered;
    size_t ideal_right;
    size_t both;   /* answered where the ideal input gives an answer too */
    size_t hidden; /* no once-a-turn part above the noise */
    size_t judged; /* voltage constants */
    size_t covered;
    double median_error;
    double high_error; /* 99th percentile */
} score;

/* Which results count. */
typedef bool (*chosen)(const result *r, size_t which);

extern const char *const HINT_NAMES[HINT_COUNT];

/* oracle.c: the same motor and spin at an ideal input. */
sw_sim_spec oracle_spec(const sw_sim_spec *spec);
/* The wave's lines that tell a whole turn from a part of it: rms over the fundamental, and the
 * log likelihood ratio that the record's noise leaves to somebody who knows them exactly. */
sw_status oracle_pattern(const sw_sim_truth *truth, double *rms, double *evidence, sw_error *error);
bool oracle_hidden(const result *r);

/* motor.c: simulate and measure one motor with every wanted hint. 0, or the number of failures. */
int motor_measure(const options *wanted, unsigned long seed, result results[HINT_COUNT]);

/* score.c */
bool of_all(const result *r, size_t which);
bool of_family(const result *r, size_t family);
bool of_pattern_class(const result *r, size_t which);
bool of_turn_class(const result *r, size_t which);
/* errors: room for count numbers. */
score score_of(const result *results, size_t count, chosen is_chosen, size_t which, double *errors);
/* Prints what fell short; returns how many failures. */
int score_verdict(const score *all, hint known, bool oracle);

/* tables.c */
void print_tables(const result *results, size_t count, bool oracle, double *errors);
void print_hints(const score scores[HINT_COUNT], const options *wanted);

#endif
