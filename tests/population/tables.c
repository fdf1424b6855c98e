/* The score tables as text. */
#include "tests/population/population.h"

#include <math.h>
#include <stdio.h>

enum { BIN_COUNT = 6 };

static const char *const PATTERN_NAMES[CLASS_COUNT] = {"below 0.1 %", "to 0.4 %", "above 0.4 %"};
static const char *const TURN_NAMES[CLASS_COUNT] = {"below 0.002 %", "to 0.01 %", "above 0.01 %"};

static void print_row(const char *name, const score *s) {
    printf("%-14s %5zu %5zu %6zu | %5zu %5zu %5zu %5zu | %7.3f %7.3f", name, s->motors,
           s->kinds_right, s->phases_right, s->answered, s->right, s->sure, s->sure_wrong,
           100.0 * s->median_error, 100.0 * s->high_error);
    if (s->judged > 0)
        printf(" %6.1f", 100.0 * (double)s->covered / (double)s->judged);
    printf("\n");
}

static void print_measured(const result *results, size_t count, double *errors) {
    printf("%-14s %5s %5s %6s | %5s %5s %5s %5s | %7s %7s %6s\n", "family", "n", "kind", "phases",
           "answ.", "right", ">=.99", "wrong", "median%", "p99 %", "k=2 %");
    for (size_t f = 0; sw_sim_family_name(f) != NULL && f < FAMILY_LIMIT; f++) {
        score s = score_of(results, count, of_family, f, errors);
        if (s.motors > 0)
            print_row(sw_sim_family_name(f), &s);
    }
    score all = score_of(results, count, of_all, 0, errors);
    print_row("all", &all);
}

static void print_oracle_head(const char *of) {
    printf("\n%-14s %5s | %5s %5s %5s %5s | %5s %5s | %5s %6s | %6s\n", of, "n", "answ.", "right",
           ">=.99", "wrong", "ideal", "right", "both", "both %", "hidden");
}

static void print_oracle_row(const char *name, const score *s) {
    if (s->alternating == 0)
        return;
    printf("%-14s %5zu | %5zu %5zu %5zu %5zu | %5zu %5zu | %5zu ", name, s->alternating,
           s->answered, s->right, s->sure, s->sure_wrong, s->ideal_answered, s->ideal_right,
           s->both);
    if (s->ideal_answered > 0)
        printf("%6.1f | %6zu\n", 100.0 * (double)s->both / (double)s->ideal_answered, s->hidden);
    else
        printf("%6s | %6zu\n", "-", s->hidden);
}

static void print_classes(const char *of, chosen is_chosen, const char *const names[CLASS_COUNT],
                          const result *results, size_t count, double *errors) {
    print_oracle_head(of);
    for (size_t c = 0; c < CLASS_COUNT; c++) {
        score s = score_of(results, count, is_chosen, c, errors);
        print_oracle_row(names[c], &s);
    }
}

static void print_oracle(const result *results, size_t count, double *errors) {
    printf("\nPole pairs beside those told from an ideal input (both %%: answered where that one "
           "answers)");
    print_oracle_head("family");
    for (size_t f = 0; sw_sim_family_name(f) != NULL && f < FAMILY_LIMIT; f++) {
        score s = score_of(results, count, of_family, f, errors);
        print_oracle_row(sw_sim_family_name(f), &s);
    }
    score all = score_of(results, count, of_all, 0, errors);
    print_oracle_row("all", &all);
    printf("\nThe same by what differs from cycle to cycle, rms over the fundamental");
    print_classes("pattern", of_pattern_class, PATTERN_NAMES, results, count, errors);
    printf("\nThe same by the part of it that tells a whole turn");
    print_classes("turn", of_turn_class, TURN_NAMES, results, count, errors);
}

static void print_bin(const result *results, size_t count, double from, double to) {
    size_t answers = 0;
    size_t right = 0;
    double stated = 0.0;
    for (size_t i = 0; i < count; i++) {
        const result *r = &results[i];
        if (!r->alternating || r->found.pole_pairs == 0 || r->found.probability < from ||
            r->found.probability >= to)
            continue;
        answers++;
        right += r->found.pole_pairs == r->pole_pairs;
        stated += r->found.probability;
    }
    if (answers > 0)
        printf("  %.2f to %.2f: %5zu answers, stated %.4f, right %.4f\n", from, fmin(1.0, to),
               answers, stated / (double)answers, (double)right / (double)answers);
}

static void print_reliability(const result *results, size_t count) {
    static const double edges[BIN_COUNT + 1] = {0.0, 0.5, 0.8, 0.9, 0.97, 0.99, 1.0001};
    printf("\nStated probability of the answer against how often it was right\n");
    for (int b = 0; b < BIN_COUNT; b++)
        print_bin(results, count, edges[b], edges[b + 1]);
}

void print_tables(const result *results, size_t count, bool oracle, double *errors) {
    print_measured(results, count, errors);
    if (oracle)
        print_oracle(results, count, errors);
    print_reliability(results, count);
}

void print_hints(const score scores[HINT_COUNT], const options *wanted) {
    printf("\nPole pairs by what is known of the speed");
    print_oracle_head("hint");
    for (int h = 0; h < HINT_COUNT; h++)
        if (wanted->wanted[h])
            print_oracle_row(HINT_NAMES[h], &scores[h]);
    if (!wanted->oracle)
        printf("(ideal, both, hidden: only with --oracle)\n");
}
