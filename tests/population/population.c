/* Score of measuring on a population of simulated motors, family by family.
 *
 *   population [COUNT] [--seed N] [--family NAME] [--hint about|none|speed|all] [--oracle] [--list]
 *
 * Every motor is spun and recorded in a way drawn from its seed, its input calibrated with an
 * honest uncertainty (0.2 % of volts, 3 % of the low cut, 20 ppm of the clock), and measured. The
 * hint is what the person knows of the speed: `about` is off by up to 18 %, evenly; `speed` is
 * known to 0.5 %; `all` takes one after the other and ends with a table of the three.
 *
 * `--oracle` measures each motor a second time at an ideal input (oracle.c) and judges the share
 * of answers by that. The voltage constant is judged given the right pole pairs (volts per hertz
 * says the same). Limits: score.c.
 */
#include "tests/population/population.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool want_hint(const char *name, options *wanted) {
    bool known = strcmp(name, "all") == 0;
    for (int h = 0; h < HINT_COUNT; h++) {
        wanted->wanted[h] = strcmp(name, "all") == 0 || strcmp(name, HINT_NAMES[h]) == 0;
        known = known || wanted->wanted[h];
    }
    return known;
}

/* An option with a value: how many words were taken, 0 when it is none of them. */
static int parse_valued(char **words, int left, options *wanted) {
    if (left < 2)
        return 0;
    if (strcmp(words[0], "--seed") == 0)
        wanted->seed = strtoul(words[1], NULL, 10);
    else if (strcmp(words[0], "--family") == 0)
        wanted->family = words[1];
    else if (strcmp(words[0], "--hint") != 0 || !want_hint(words[1], wanted))
        return 0;
    return 2;
}

static int parse_word(char **words, int left, options *wanted) {
    if (strcmp(words[0], "--list") == 0)
        wanted->list = true;
    else if (strcmp(words[0], "--oracle") == 0)
        wanted->oracle = true;
    else if (words[0][0] != '-')
        wanted->count = strtoul(words[0], NULL, 10);
    else
        return parse_valued(words, left, wanted);
    return 1;
}

static bool parse(int argc, char **argv, options *wanted) {
    for (int i = 1; i < argc;) {
        int taken = parse_word(argv + i, argc - i, wanted);
        if (taken == 0)
            return false;
        i += taken;
    }
    return wanted->count > 0;
}

/* results[h][i]: hint h, motor i. */
static int measure_population(const options *wanted, result *results[HINT_COUNT], size_t *done) {
    int failures = 0;
    for (size_t i = 0; i < wanted->count; i++) {
        result one[HINT_COUNT];
        int failed = motor_measure(wanted, wanted->seed + i, one);
        failures += failed;
        if (failed != 0)
            continue;
        for (int h = 0; h < HINT_COUNT; h++)
            results[h][*done] = one[h];
        ++*done;
    }
    return failures;
}

static int report(const options *wanted, result *const results[HINT_COUNT], size_t done,
                  double *errors) {
    int failures = 0;
    int hints = 0;
    score all[HINT_COUNT] = {0};
    for (int h = 0; h < HINT_COUNT; h++) {
        if (!wanted->wanted[h])
            continue;
        printf("%s%zu motors from seed %lu, speed hint: %s\n\n", hints++ > 0 ? "\n" : "", done,
               wanted->seed, HINT_NAMES[h]);
        print_tables(results[h], done, wanted->oracle, errors);
        all[h] = score_of(results[h], done, of_all, 0, errors);
        failures += score_verdict(&all[h], (hint)h, wanted->oracle);
    }
    if (hints > 1)
        print_hints(all, wanted);
    return failures;
}

int main(int argc, char **argv) {
    options wanted = {.count = 150, .seed = 1, .wanted = {[HINT_ABOUT] = true}};
    if (!parse(argc, argv, &wanted)) {
        fprintf(stderr, "usage: population [COUNT] [--seed N] [--family NAME] "
                        "[--hint about|none|speed|all] [--oracle] [--list]\n");
        return 2;
    }
    result *room = calloc(HINT_COUNT * wanted.count, sizeof *room);
    double *errors = calloc(wanted.count, sizeof *errors);
    int failures = 1;
    if (room != NULL && errors != NULL) {
        size_t done = 0;
        result *results[HINT_COUNT];
        for (size_t h = 0; h < HINT_COUNT; h++)
            results[h] = room + h * wanted.count;
        failures = measure_population(&wanted, results, &done);
        failures += report(&wanted, results, done, errors);
    }
    free(room);
    free(errors);
    return failures == 0 ? 0 : 1;
}
