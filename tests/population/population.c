/* Score of measuring on a population of simulated motors, family by family.
 *
 *   population [COUNT] [--seed N] [--family NAME] [--hint about|none|speed] [--list]
 *
 * Every motor is spun and recorded in a way drawn from its seed, its input calibrated with an
 * honest uncertainty (0.2 % of volts, 3 % of the low cut, 20 ppm of the clock), and measured. The
 * hint is what the person knows of the speed: `about` is off by up to 18 %, evenly.
 *
 * The voltage constant is judged given the right pole pairs (volts per hertz says the same). The
 * test fails where a figure is worse than the targets allow for a sample of this size (binomial
 * limits at 3.5 standard deviations), so that a failure is no chance event.
 */
#include "probes/simulate/simulate.h"
#include "src/measure/measure.h"

#include <gsl/gsl_rng.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { FAMILY_LIMIT = 40, BIN_COUNT = 6 };

static const double CHANCE = 3.5; /* standard deviations of a binomial count */

typedef enum hint { HINT_ABOUT, HINT_NONE, HINT_SPEED } hint;

typedef struct options {
    size_t count;
    unsigned long seed;
    const char *family;
    hint known;
    bool list;
} options;

typedef struct result {
    size_t family;
    bool alternating; /* truth */
    bool kind_right;
    bool measured; /* volts per hertz known */
    bool phases_right;
    int pole_pairs; /* truth */
    int answer;     /* 0 = cannot tell */
    double probability;
    double error; /* relative, of volts per hertz */
    double z;     /* error over its standard uncertainty */
} result;

static const char *const HINT_NAMES[] = {"about", "none", "speed"};
static const sw_sim_calibration CALIBRATION = {0.002, 0.03, 20e-6};

static size_t family_index(const char *name) {
    for (size_t i = 0; sw_sim_family_name(i) != NULL; i++)
        if (strcmp(sw_sim_family_name(i), name) == 0)
            return i;
    return 0;
}

static double top_speed_rpm(const sw_sim_truth *truth) {
    return isfinite(truth->hold_speed_rpm) ? truth->hold_speed_rpm : truth->top_speed_rpm;
}

static sw_measure_request request_for(const sw_sim_truth *truth, hint known, unsigned long seed) {
    sw_measure_request request = sw_measure_default();
    request.profile = sw_sim_profile(truth, &CALIBRATION);
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, seed ^ 0x5eedUL);
    double rpm = top_speed_rpm(truth);
    if (known == HINT_ABOUT)
        request.evidence.about_rpm = rpm * (1.0 + 0.36 * (gsl_rng_uniform(random) - 0.5));
    if (known == HINT_SPEED)
        request.evidence.speed = sw_quantity_of(rpm, 0.005 * rpm, "rpm");
    gsl_rng_free(random);
    return request;
}

static result judge(const sw_sim_spec *spec, const sw_sim_truth *truth, const sw_motor *motor) {
    result r = {.family = family_index(spec->motor.family),
                .alternating = spec->motor.kind == SW_SIM_MAGNET_AC,
                .pole_pairs = spec->motor.pole_pairs,
                .answer = motor->pole_pairs.value,
                .probability = motor->pole_pairs.probability,
                .error = NAN,
                .z = NAN};
    static const sw_motor_kind kinds[] = {SW_MAGNET_AC, SW_BRUSHED, SW_NO_GENERATOR};
    r.kind_right = motor->kind == kinds[spec->motor.kind];
    r.phases_right =
        spec->front.channels == 1 ? motor->phases == 0 : motor->phases == spec->motor.phases;
    r.measured = sw_quantity_known(motor->volts_per_hertz);
    if (r.alternating && r.measured) {
        double expected = truth->volts_per_hertz;
        r.error = motor->volts_per_hertz.value / expected - 1.0;
        r.z = (motor->volts_per_hertz.value - expected) / motor->volts_per_hertz.u;
    }
    return r;
}

static int measure_one(const options *wanted, unsigned long seed, result *r) {
    sw_error error = {0};
    sw_sim_spec spec;
    sw_sim_truth truth;
    sw_waveform waveform = {0};
    sw_motor motor;
    sw_status status = sw_sim_family(wanted->family, seed, &spec, &error);
    if (status == SW_OK)
        status = sw_simulate(&spec, &waveform, &truth, &error);
    if (status == SW_OK) {
        sw_measure_request request = request_for(&truth, wanted->known, seed);
        status = sw_measure(&waveform, truth.clipped, &request, &motor, &error);
    }
    sw_waveform_free(&waveform);
    if (status != SW_OK) {
        fprintf(stderr, "seed %lu: %s\n", seed, error.message);
        return 1;
    }
    *r = judge(&spec, &truth, &motor);
    if (wanted->list)
        printf("%6lu %-14s pairs %3d answer %3d (%.4f) error %+.3f %% z %+.2f%s%s\n", seed,
               spec.motor.family, r->pole_pairs, r->answer, r->probability, 100.0 * r->error, r->z,
               r->kind_right ? "" : " WRONG KIND", r->phases_right ? "" : " WRONG PHASES");
    return 0;
}

/* Sums of a family, or of all. */
typedef struct score {
    size_t motors;
    size_t kinds_right;
    size_t phases_right;
    size_t alternating;
    size_t answered;
    size_t right;
    size_t sure; /* probability >= 0.99 */
    size_t sure_wrong;
    size_t judged; /* voltage constants */
    size_t covered;
    double median_error;
    double high_error; /* 99th percentile */
} score;

static void add_poles(score *s, const result *r) {
    bool right = r->answer == r->pole_pairs;
    s->alternating++;
    if (r->answer == 0)
        return;
    s->answered++;
    s->right += right;
    if (r->probability >= 0.99) {
        s->sure++;
        s->sure_wrong += !right;
    }
}

static score score_of(const result *results, size_t count, size_t family, double *errors) {
    score s = {.median_error = NAN, .high_error = NAN};
    for (size_t i = 0; i < count; i++) {
        const result *r = &results[i];
        if (family != FAMILY_LIMIT && r->family != family)
            continue;
        s.motors++;
        s.kinds_right += r->kind_right;
        s.phases_right += !r->alternating || r->phases_right;
        if (!r->alternating)
            continue;
        add_poles(&s, r);
        if (!isfinite(r->error))
            continue;
        errors[s.judged++] = fabs(r->error);
        s.covered += fabs(r->z) <= 2.0;
    }
    if (s.judged > 0) {
        gsl_sort(errors, 1, s.judged);
        s.median_error = gsl_stats_median_from_sorted_data(errors, 1, s.judged);
        s.high_error = gsl_stats_quantile_from_sorted_data(errors, 1, s.judged, 0.99);
    }
    return s;
}

static void print_score(const char *name, const score *s) {
    printf("%-14s %5zu %5zu %6zu | %5zu %5zu %5zu %5zu | %7.3f %7.3f", name, s->motors,
           s->kinds_right, s->phases_right, s->answered, s->right, s->sure, s->sure_wrong,
           100.0 * s->median_error, 100.0 * s->high_error);
    if (s->judged > 0)
        printf(" %6.1f", 100.0 * (double)s->covered / (double)s->judged);
    printf("\n");
}

static void print_reliability(const result *results, size_t count) {
    static const double edges[BIN_COUNT + 1] = {0.0, 0.5, 0.8, 0.9, 0.97, 0.99, 1.0001};
    printf("\nStated probability of the answer against how often it was right\n");
    for (int b = 0; b < BIN_COUNT; b++) {
        size_t answers = 0;
        size_t right = 0;
        double stated = 0.0;
        for (size_t i = 0; i < count; i++) {
            const result *r = &results[i];
            if (!r->alternating || r->answer == 0 || r->probability < edges[b] ||
                r->probability >= edges[b + 1])
                continue;
            answers++;
            right += r->answer == r->pole_pairs;
            stated += r->probability;
        }
        if (answers > 0)
            printf("  %.2f to %.2f: %5zu answers, stated %.4f, right %.4f\n", edges[b],
                   fmin(1.0, edges[b + 1]), answers, stated / (double)answers,
                   (double)right / (double)answers);
    }
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

static int verdict(const score *all, hint known) {
    int failures = 0;
    failures += check(too_few(all->kinds_right, all->motors, 0.995), "kind of motor");
    failures += check(too_few(all->phases_right, all->motors, 0.99), "number of phases");
    failures += check(too_few(all->judged, all->alternating, 0.995), "constants measured");
    failures += check(!(all->median_error <= 0.002), "median error of the constant, 0.2 %");
    failures += check(!(all->high_error <= 0.01), "99th percentile of the constant's error, 1 %");
    failures += check(too_few(all->covered, all->judged, 0.93), "k = 2 intervals too narrow");
    failures += check(too_many(all->covered, all->judged, 0.97), "k = 2 intervals too wide");
    failures += check(too_many(all->sure_wrong, all->sure, 0.01), "sure and wrong pole pairs");
    failures +=
        check(too_few(all->right, all->answered, 0.99), "pole pairs right of those answered");
    /* What share can be answered at all depends on the motors: many show no pattern of a turn. */
    double share = (double)all->answered / fmax(1.0, (double)all->alternating);
    if (known != HINT_NONE && share < 0.95)
        printf("short of the target: %.1f %% of the pole pairs answered, 95 %% wanted\n",
               100.0 * share);
    if (known != HINT_NONE)
        failures += check(too_few(all->answered, all->alternating, 0.75), "pole pairs answered");
    return failures;
}

static int parse(int argc, char **argv, options *wanted) {
    for (int i = 1; i < argc; i++) {
        if (strcmp(argv[i], "--list") == 0)
            wanted->list = true;
        else if (strcmp(argv[i], "--seed") == 0 && i + 1 < argc)
            wanted->seed = strtoul(argv[++i], NULL, 10);
        else if (strcmp(argv[i], "--family") == 0 && i + 1 < argc)
            wanted->family = argv[++i];
        else if (strcmp(argv[i], "--hint") == 0 && i + 1 < argc) {
            i++;
            for (int h = 0; h < 3; h++)
                if (strcmp(argv[i], HINT_NAMES[h]) == 0)
                    wanted->known = (hint)h;
        } else if (argv[i][0] != '-')
            wanted->count = strtoul(argv[i], NULL, 10);
        else
            return 1;
    }
    return wanted->count == 0;
}

int main(int argc, char **argv) {
    options wanted = {.count = 150, .seed = 1, .known = HINT_ABOUT};
    if (parse(argc, argv, &wanted) != 0) {
        fprintf(stderr, "usage: population [COUNT] [--seed N] [--family NAME] "
                        "[--hint about|none|speed] [--list]\n");
        return 2;
    }
    result *results = calloc(wanted.count, sizeof *results);
    double *errors = calloc(wanted.count, sizeof *errors);
    if (results == NULL || errors == NULL)
        return 1;
    int failures = 0;
    size_t done = 0;
    for (size_t i = 0; i < wanted.count; i++) {
        int failed = measure_one(&wanted, wanted.seed + i, &results[done]);
        failures += failed;
        done += failed == 0;
    }
    printf("%zu motors from seed %lu, speed hint: %s\n\n", done, wanted.seed,
           HINT_NAMES[wanted.known]);
    printf("%-14s %5s %5s %6s | %5s %5s %5s %5s | %7s %7s %6s\n", "family", "n", "kind", "phases",
           "answ.", "right", ">=.99", "wrong", "median%", "p99 %", "k=2 %");
    for (size_t f = 0; sw_sim_family_name(f) != NULL && f < FAMILY_LIMIT; f++) {
        score s = score_of(results, done, f, errors);
        if (s.motors > 0)
            print_score(sw_sim_family_name(f), &s);
    }
    score all = score_of(results, done, FAMILY_LIMIT, errors);
    print_score("all", &all);
    print_reliability(results, done);
    failures += verdict(&all, wanted.known);
    free(results);
    free(errors);
    return failures == 0 ? 0 : 1;
}
