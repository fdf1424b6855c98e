#include "tests/population/mechanics.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

static const double HOLDS_LEAST = 0.93; /* what a printed +- of k = 2 must reach */
static const double BY_CHANCE = 1e-3;   /* how seldom a short form may fail by bad luck */

void scores_add(scores *s, sw_quantity found, double truth) {
    if (s->count >= SCORES_MOST)
        return;
    s->error[s->count] = fabs(found.value / truth - 1);
    s->pull[s->count++] = fabs(found.value - truth) / found.u;
}

void scores_head(void) {
    printf("%-26s %5s %9s %9s %9s %9s %9s\n", "error", "n", "median %", "90th %", "99th %",
           "worst %", "k=2 holds");
}

int scores_print(const char *name, scores *s) {
    unsigned within = 0;
    unsigned count = (unsigned)s->count;
    if (count == 0)
        return 0;
    for (size_t i = 0; i < count; i++)
        within += s->pull[i] <= 2;
    gsl_sort(s->error, 1, count);
    bool short_of = gsl_cdf_binomial_P(within, HOLDS_LEAST, count) < BY_CHANCE;
    printf("%-26s %5u %9.2f %9.2f %9.2f %9.2f %9.1f%s\n", name, count,
           100 * gsl_stats_median_from_sorted_data(s->error, 1, count),
           100 * gsl_stats_quantile_from_sorted_data(s->error, 1, count, 0.9),
           100 * gsl_stats_quantile_from_sorted_data(s->error, 1, count, 0.99),
           100 * s->error[count - 1], 100.0 * within / count, short_of ? "  TOO SELDOM" : "");
    return short_of;
}

bool scores_talk(void) {
    return getenv("TALK") != NULL;
}

bool refused(sw_status status, const sw_error *error, unsigned long seed, refusals *sum) {
    if (status == SW_OK)
        return false;
    if (sum->count++ == 0) {
        sum->first = *error;
        sum->seed = seed;
    }
    return true;
}

void refusals_print(const refusals *sum) {
    if (sum->count > 0)
        printf("refused: %zu (seed %lu: %s)\n", sum->count, sum->seed, sum->first.message);
}
