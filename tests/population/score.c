/* Sums over results, and what they must reach.
 *
 * A share is judged by binomial limits at CHANCE standard deviations, so that a failure is no
 * chance event whatever the number of motors. What share of the pole pairs can be answered at all
 * depends on the motors; the 95 % are asked of those that are answered from an ideal input.
 */
#include "tests/population/population.h"

#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdio.h>

static const double CHANCE = 3.5; /* standard deviations of a binomial count */
/* About a third of the motors fall into each class. */
static const double PATTERN_EDGE[CLASS_COUNT - 1] = {0.001, 0.004};
static const double TURN_EDGE[CLASS_COUNT - 1] = {2e-5, 1e-4};

bool of_all(const result *r, size_t which) {
    (void)r;
    (void)which;
    return true;
}

bool of_family(const result *r, size_t family) {
    return r->family == family;
}

static size_t class_of(double value, const double *edges) {
    size_t class = 0;
    while (class < CLASS_COUNT - 1 && value >= edges[class])
        class ++;
    return class;
}

bool of_pattern_class(const result *r, size_t which) {
    return r->alternating && class_of(r->pattern, PATTERN_EDGE) == which;
}

bool of_turn_class(const result *r, size_t which) {
    return isfinite(r->turn) && class_of(r->turn, TURN_EDGE) == which;
}

static void add_poles(score *s, const result *r) {
    bool answered = r->found.pole_pairs != 0;
    bool right = r->found.pole_pairs == r->pole_pairs;
    bool sure = answered && r->found.probability >= 0.99;
    bool ideal = r->ideal.pole_pairs != 0;
    s->alternating++;
    s->answered += answered;
    s->right += right;
    s->stated += answered ? r->found.probability : 0;
    s->sure += sure;
    s->sure_wrong += sure && !right;
    s->ideal_answered += ideal;
    s->ideal_right += r->ideal.pole_pairs == r->pole_pairs;
    s->both += ideal && answered;
    s->hidden += oracle_hidden(r);
}

static void add(score *s, const result *r, double *errors) {
    s->motors++;
    s->kinds_right += r->kind_right;
    s->phases_right += !r->alternating || r->phases_right;
    if (!r->alternating)
        return;
    add_poles(s, r);
    if (!isfinite(r->error))
        return;
    errors[s->judged++] = fabs(r->error);
    s->covered += fabs(r->z) <= 2.0;
}

score score_of(const result *results, size_t count, chosen is_chosen, size_t which,
               double *errors) {
    score s = {.median_error = NAN, .high_error = NAN};
    for (size_t i = 0; i < count; i++)
        if (is_chosen(&results[i], which))
            add(&s, &results[i], errors);
    if (s.judged > 0) {
        gsl_sort(errors, 1, s.judged);
        s.median_error = gsl_stats_median_from_sorted_data(errors, 1, s.judged);
        s.high_error = gsl_stats_quantile_from_sorted_data(errors, 1, s.judged, 0.99);
    }
    return s;
}

/* Is `hits` of `count` too few for a share of at least `target`? */
static bool too_few(size_t hits, size_t count, double target) {
    double n = (double)count;
    return (double)hits < n * target - CHANCE * sqrt(n * target * (1.0 - target)) - 0.5;
}

static bool too_many(size_t hits, size_t count, double target) {
    double n = (double)count;
    return (double)hits > n * target + CHANCE * sqrt(n * target * (1.0 - target)) + 0.5;
}

static int check(bool bad, const char *what) {
    if (bad)
        printf("FAILED: %s\n", what);
    return bad ? 1 : 0;
}

static void tell_short(const char *of, size_t hits, size_t count) {
    double share = (double)hits / fmax(1.0, (double)count);
    if (share < 0.95)
        printf("short of the target: %.1f %% of the pole pairs %s answered, 95 %% wanted\n",
               100.0 * share, of);
}

static int verdict_answered(const score *all, bool oracle) {
    if (oracle) {
        tell_short("that an ideal input answers", all->both, all->ideal_answered);
        return check(too_few(all->both, all->ideal_answered, 0.95),
                     "pole pairs answered of those that an ideal input answers");
    }
    tell_short("of all motors", all->answered, all->alternating);
    return check(too_few(all->answered, all->alternating, 0.75), "pole pairs answered");
}

/* Without any hint few are answered and less surely: as many must be right as was stated. */
static int verdict_unhinted(const score *all) {
    double stated = all->stated / fmax(1.0, (double)all->answered);
    printf("%zu of %zu answered, stated %.3f, right %.3f\n", all->answered, all->alternating,
           stated, (double)all->right / fmax(1.0, (double)all->answered));
    return check(too_few(all->right, all->answered, stated), "pole pairs right as often as stated");
}

int score_verdict(const score *all, hint known, bool oracle) {
    int failures = 0;
    printf("\n");
    failures += check(too_few(all->kinds_right, all->motors, 0.995), "kind of motor");
    failures += check(too_few(all->phases_right, all->motors, 0.99), "number of phases");
    failures += check(too_few(all->judged, all->alternating, 0.995), "constants measured");
    failures += check(!(all->median_error <= 0.002), "median error of the constant, 0.2 %");
    failures += check(!(all->high_error <= 0.01), "99th percentile of the constant's error, 1 %");
    failures += check(too_few(all->covered, all->judged, 0.93), "k = 2 intervals too narrow");
    failures += check(too_many(all->covered, all->judged, 0.97), "k = 2 intervals too wide");
    failures += check(too_many(all->sure_wrong, all->sure, 0.01), "sure and wrong pole pairs");
    if (known == HINT_NONE)
        return failures + verdict_unhinted(all);
    failures +=
        check(too_few(all->right, all->answered, 0.99), "pole pairs right of those answered");
    return failures + verdict_answered(all, oracle);
}
