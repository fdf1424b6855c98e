/* What the files of the mechanics' score pass to each other. */
#ifndef SPINWORTH_TESTS_POPULATION_MECHANICS_H
#define SPINWORTH_TESTS_POPULATION_MECHANICS_H

#include "probes/simulate/simulate.h"
#include "shared/quantity.h"

#include <stdbool.h>
#include <stddef.h>

enum { SCORES_MOST = 4000 };

typedef struct scores {
    size_t count;
    double error[SCORES_MOST]; /* relative */
    double pull[SCORES_MOST];  /* error over stated u */
} scores;

void scores_add(scores *s, sw_quantity found, double truth);
void scores_head(void);
/* A row of the table; returns 1, and says so, when the printed +- held too seldom to be chance. */
int scores_print(const char *name, scores *s);

/* Set by TALK=1 in the environment: a line a motor. */
bool scores_talk(void);

/* Each simulates `count` motors from `seed` on, prints its table and returns how many of its rows
 * fell short. A recording that is refused is counted, with the first reason. */
int mechanics_rundowns(long count, unsigned long seed);
int mechanics_loads(long count, unsigned long seed);
int mechanics_brushed(long count, unsigned long seed);
int mechanics_brushed_loads(long count, unsigned long seed);

/* Refusals: how many, and why the first. */
typedef struct refusals {
    size_t count;
    unsigned long seed;
    sw_error first;
} refusals;

/* True when it was one, counted. */
bool refused(sw_status status, const sw_error *error, unsigned long seed, refusals *sum);
void refusals_print(const refusals *sum);

#endif
