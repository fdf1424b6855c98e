/* Score of the pole-pair estimator on its own cycle model: how many are answered, how many of
 * those are right, per family, and how often each stated probability was right.
 *   poles_score [motors a family] [seed] [about 0|1]
 */
#include "src/measure/poles.h"
#include "tests/measure/poles_model.h"

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { BINS = 6 };
static const double BIN_EDGE[BINS + 1] = {0.0, 0.5, 0.8, 0.9, 0.99, 0.999, 1.001};

typedef struct tally {
    int drawn, answered, right, best_right;
    int in_bin[BINS], bin_right[BINS];
    double bin_sum[BINS];
} tally;

static void count_one(tally *sum, const sw_pole_pairs *found, int truth) {
    bool best_right = found->candidate[0].pole_pairs == truth;
    sum->drawn++;
    sum->answered += found->value != 0;
    sum->right += found->value == truth;
    sum->best_right += best_right;
    for (int b = 0; b < BINS; b++) {
        if (found->probability < BIN_EDGE[b] || found->probability >= BIN_EDGE[b + 1])
            continue;
        sum->in_bin[b]++;
        sum->bin_right[b] += best_right;
        sum->bin_sum[b] += found->probability;
    }
}

static void add(tally *sum, const tally *part) {
    sum->drawn += part->drawn;
    sum->answered += part->answered;
    sum->right += part->right;
    sum->best_right += part->best_right;
    for (int b = 0; b < BINS; b++) {
        sum->in_bin[b] += part->in_bin[b];
        sum->bin_right[b] += part->bin_right[b];
        sum->bin_sum[b] += part->bin_sum[b];
    }
}

static void print_row(const char *name, const tally *sum) {
    printf("%-28s %5d %9.1f %9.1f %9.1f\n", name, sum->drawn,
           100.0 * sum->answered / fmax(1, sum->drawn), 100.0 * sum->right / fmax(1, sum->answered),
           100.0 * sum->best_right / fmax(1, sum->drawn));
}

static void print_reliability(const tally *sum) {
    printf("\nstated          n   mean stated   right\n");
    for (int b = 0; b < BINS; b++) {
        if (sum->in_bin[b])
            printf("%.3f-%.3f %6d %10.4f %10.4f\n", BIN_EDGE[b], fmin(1.0, BIN_EDGE[b + 1]),
                   sum->in_bin[b], sum->bin_sum[b] / sum->in_bin[b],
                   (double)sum->bin_right[b] / sum->in_bin[b]);
    }
}

static void try_motor(const model_family *family, gsl_rng *random, bool about, tally *sum,
                      double *slowest_s) {
    model_motor motor = model_draw(family, random);
    sw_cycles cycles;
    sw_speed_evidence evidence = {.speed = {NAN, NAN, NULL}, .phases = family->phases};
    sw_pole_pairs found;
    model_cycles(&motor, random, &cycles, &evidence.frequency_hz);
    if (about)
        evidence.about_rpm = motor.hold_rpm / (0.85 + 0.3 * gsl_rng_uniform(random));
    clock_t before = clock();
    if (sw_poles_estimate(&cycles, &evidence, &found, NULL) != SW_OK)
        exit(1);
    *slowest_s = fmax(*slowest_s, (double)(clock() - before) / CLOCKS_PER_SEC);
    count_one(sum, &found, family->pole_pairs);
    if (getenv("VERBOSE") && (found.value != family->pole_pairs))
        printf("  %s truth %d n %zu turns %.0f noise %.3f ripple %.4f magnets %.4f: %d %.3f, %d "
               "%.3f, %d %.3f\n",
               found.value ? "WRONG" : "open", family->pole_pairs, cycles.count,
               (double)cycles.count / family->pole_pairs, motor.noise, motor.ripple[0],
               motor.strength_spread, found.candidate[0].pole_pairs, found.candidate[0].probability,
               found.candidates > 1 ? found.candidate[1].pole_pairs : 0,
               found.candidates > 1 ? found.candidate[1].probability : 0.0,
               found.candidates > 2 ? found.candidate[2].pole_pairs : 0,
               found.candidates > 2 ? found.candidate[2].probability : 0.0);
    free(cycles.cycle);
}

int main(int argc, char **argv) {
    int each = argc > 1 ? (int)strtol(argv[1], NULL, 10) : 25;
    unsigned long seed = argc > 2 ? strtoul(argv[2], NULL, 10) : 1;
    bool about = argc > 3 ? strcmp(argv[3], "0") != 0 : true;
    size_t families = 0;
    const model_family *family = model_families(&families);
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    tally all = {0};
    double slowest_s = 0.0;
    gsl_rng_set(random, seed);
    printf("%-28s %5s %9s %9s %9s\n", "family", "n", "answered%", "right%", "best%");
    for (size_t f = 0; f < families; f++) {
        tally part = {0};
        for (int i = 0; i < each; i++)
            try_motor(&family[f], random, about, &part, &slowest_s);
        print_row(family[f].name, &part);
        add(&all, &part);
    }
    print_row("all", &all);
    print_reliability(&all);
    printf("slowest %.3f s, seed %lu\n", slowest_s, seed);
    gsl_rng_free(random);
    return 0;
}
