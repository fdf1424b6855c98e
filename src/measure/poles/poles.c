/* Number of pole pairs from the pattern that repeats once a shaft turn, and from what is known of
 * the speed.
 *
 * Per electrical cycle, 1/p is a frequency: whatever repeats once a shaft turn is periodic with p
 * cycles. Windings hide part of it (poles_prior.c): magnets may repeat every p/t cycles at the
 * terminals. For each pair (p, t) two groups of series are scored (poles_features.c,
 * poles_pattern.c): the times of the cycles, and their shapes. The posterior is
 *
 *     P(p | all) ~ usual(p) * speed(p) * counts(p)
 *                  * sum over t of symmetry(t | p) * pattern(p, t)^TEMPER
 *
 * TEMPER < 1: series that are called independent never quite are, noise is never quite white;
 * the exponent gives up some of the record's evidence for that (a "power posterior", Holmes &
 * Walker 2017). A small flat share stands beside it for records that follow no model at all.
 * Both were set so that the stated probabilities agree with the hit rates of simulated motors;
 * the speed statements enter in full.
 */
#include "src/measure/poles/poles.h"

#include "src/measure/poles/poles_parts.h"

#include <gsl/gsl_math.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double TEMPER = 1.0;
static const double NO_MODEL_SHARE = 1e-4;
static const double CANDIDATE_LEAST = 1e-3;
static const double HINT_LIMIT = 6.0;      /* log likelihood ratio */
static const double FASTEST_CHANGE = 0.04; /* relative, from cycle to cycle */
enum { CYCLES_LEAST = 8, CYCLES_MOST = 6000 };

typedef struct sw_posterior {
    double prior[SW_POLE_PAIR_LIMIT + 1]; /* usual counts and speed, normalised; nothing counted */
    double pattern[SW_POLE_PAIR_LIMIT + 1]; /* log Bayes factor of the record */
    int hidden[SW_POLE_PAIR_LIMIT + 1];     /* likeliest t */
    double total[SW_POLE_PAIR_LIMIT + 1];
    sw_stray_lines lines;
} sw_posterior;

void sw_poles_normalise(double *probability) {
    double sum = 0.0;
    for (int p = 1; p <= SW_POLE_PAIR_LIMIT; p++)
        sum += probability[p];
    for (int p = 1; p <= SW_POLE_PAIR_LIMIT && sum > 0.0; p++)
        probability[p] /= sum;
}

/* Usual counts times what was said of the speed. */
static void fill_prior(const sw_speed_evidence *evidence, sw_posterior *posterior,
                       sw_statements *said) {
    double score[SW_POLE_PAIR_LIMIT + 1];
    double highest = -INFINITY;
    sw_poles_usual(evidence->phases, posterior->prior);
    sw_poles_speed(evidence, score, said);
    for (int p = 1; p <= SW_POLE_PAIR_LIMIT; p++)
        highest = fmax(highest, score[p]);
    for (int p = 1; p <= SW_POLE_PAIR_LIMIT; p++)
        posterior->prior[p] *= exp(score[p] - highest);
    sw_poles_normalise(posterior->prior);
}

/* What is heard in a record. */
typedef struct sw_hearing {
    sw_pattern_block block[2]; /* motion, shape */
    sw_stray_lines lines;
    sw_pattern_scores score[2];
    double nothing[2]; /* score of choice 0 without any pattern */
} sw_hearing;

/* What is left when the lines are out also holds their ragged skirts: it may hint, not decide. */
static double hint(double score) {
    return score > 0.0 ? HINT_LIMIT * (1.0 - exp(-score / HINT_LIMIT)) : score;
}

/* Log likelihood of the record for one p and t. p = t = 1 has neither pattern nor ripple. */
static double record_score(const sw_hearing *hearing, int p, int t) {
    double rest = 0.0;
    double nothing = 0.0;
    for (size_t b = 0; b < 2; b++) {
        nothing += hearing->nothing[b];
        rest += hearing->score[b].score[p][t][0] - hearing->nothing[b];
    }
    double by_lines = nothing + hint(rest) + sw_poles_lines_score(&hearing->lines, p, t);
    double by_pattern = hearing->score[0].score[p][t][1] + hearing->score[1].score[p][t][1];
    return sw_poles_log_sum(by_lines, by_pattern);
}

/* Sum over the hidden symmetry. */
static void fill_pattern(int phases, const sw_hearing *hearing, const bool *wanted,
                         sw_posterior *posterior) {
    double share[SW_POLE_PAIR_LIMIT + 1];
    for (int p = 1; p <= SW_POLE_PAIR_LIMIT; p++) {
        double best = -INFINITY;
        if (!wanted[p])
            continue;
        sw_poles_symmetry(phases, p, share);
        posterior->pattern[p] = -INFINITY;
        for (int t = 1; t <= p; t++) {
            if (p % t != 0 || !(share[t] > 0.0))
                continue;
            double value = log(share[t]) + TEMPER * record_score(hearing, p, t);
            posterior->pattern[p] = sw_poles_log_sum(posterior->pattern[p], value);
            if (value <= best)
                continue;
            best = value;
            posterior->hidden[p] = t;
        }
    }
}

static sw_status listen(const sw_cycles *cycles, const bool *wanted, sw_hearing *hearing,
                        sw_error *error) {
    sw_status status = sw_poles_motion(cycles, &hearing->block[0], error);
    if (status == SW_OK)
        status = sw_poles_shape(cycles, &hearing->block[1], error);
    if (status == SW_OK)
        status = sw_poles_strays(hearing->block, 2, &hearing->lines, error);
    for (size_t b = 0; b < 2 && status == SW_OK; b++)
        status = sw_pattern_score(&hearing->block[b], wanted, &hearing->score[b],
                                  &hearing->nothing[b], error);
    return status;
}

static sw_status read_pattern(const sw_cycles *cycles, int phases, const bool *wanted,
                              sw_posterior *posterior, sw_error *error) {
    sw_hearing *hearing = calloc(1, sizeof *hearing);
    if (!hearing)
        return sw_fail(error, SW_MEMORY, "out of memory");
    sw_status status = listen(cycles, wanted, hearing, error);
    if (status == SW_OK) {
        fill_pattern(phases, hearing, wanted, posterior);
        posterior->lines = hearing->lines;
    }
    for (size_t b = 0; b < 2; b++)
        sw_pattern_block_free(&hearing->block[b]);
    free(hearing);
    return status;
}

static void fill_total(const bool *wanted, bool heard, sw_posterior *posterior) {
    double highest = -INFINITY;
    for (int p = 1; p <= SW_POLE_PAIR_LIMIT && heard; p++) {
        if (wanted[p])
            highest = fmax(highest, posterior->pattern[p] + log(posterior->prior[p]));
    }
    for (int p = 1; p <= SW_POLE_PAIR_LIMIT; p++) {
        posterior->total[p] = posterior->prior[p];
        if (heard)
            posterior->total[p] =
                wanted[p] ? exp(posterior->pattern[p] + log(posterior->prior[p]) - highest) : 0.0;
    }
    sw_poles_normalise(posterior->total);
    for (int p = 1; p <= SW_POLE_PAIR_LIMIT && heard; p++)
        posterior->total[p] =
            (1.0 - NO_MODEL_SHARE) * posterior->total[p] + NO_MODEL_SHARE * posterior->prior[p];
}

void sw_poles_list(const double *total, sw_pole_pairs *result) {
    bool taken[SW_POLE_PAIR_LIMIT + 1] = {false};
    result->candidates = 0;
    while (result->candidates < SW_MOTOR_CANDIDATE_LIMIT) {
        int best = 0;
        for (int p = 1; p <= SW_POLE_PAIR_LIMIT; p++) {
            if (!taken[p] && (best == 0 || total[p] > total[best]))
                best = p;
        }
        if (result->candidates > 0 && total[best] < CANDIDATE_LEAST)
            break;
        taken[best] = true;
        result->candidate[result->candidates++] = (sw_pole_candidate){best, total[best]};
    }
    result->probability = result->candidate[0].probability;
    bool answered = result->probability >= SW_POLE_ANSWER_PROBABILITY;
    result->value = answered ? result->candidate[0].pole_pairs : 0;
}

/* How much the record speaks for p: against the mean over the others that the speed leaves. */
static double gain_of(const sw_posterior *posterior, const bool *wanted, int p) {
    double others = -INFINITY;
    double share = 0.0;
    for (int q = 1; q <= SW_POLE_PAIR_LIMIT; q++) {
        if (!wanted[q] || q == p)
            continue;
        others = sw_poles_log_sum(others, posterior->pattern[q] + log(posterior->prior[q]));
        share += posterior->prior[q];
    }
    return share > 0.0 ? posterior->pattern[p] - others + log(share) : 0.0;
}

/* How much the record speaks for the period that p has at the terminals: others may share it. */
static double repeat_gain(const sw_posterior *posterior, const bool *wanted, int p) {
    double most = gain_of(posterior, wanted, p);
    int period = p / GSL_MAX(1, posterior->hidden[p]);
    for (int q = 1; q <= SW_POLE_PAIR_LIMIT; q++)
        if (wanted[q] && q / GSL_MAX(1, posterior->hidden[q]) == period)
            most = fmax(most, gain_of(posterior, wanted, q));
    return most;
}

static void tell(const sw_posterior *posterior, const bool *wanted, bool heard, size_t cycles,
                 sw_pole_pairs *result) {
    int best = result->candidate[0].pole_pairs;
    if (!heard)
        sw_poles_say_short(cycles, result);
    else if (wanted[best])
        sw_poles_say_pattern(&posterior->lines, best, posterior->hidden[best],
                             gain_of(posterior, wanted, best), repeat_gain(posterior, wanted, best),
                             result);
}

static bool shape_fine(const sw_cycle *cycle) {
    for (int k = 0; k < SW_CYCLE_POINTS; k++) {
        if (!isfinite(cycle->shape[k]))
            return false;
    }
    return true;
}

static bool cycle_fine(const sw_cycle *cycle) {
    return isfinite(cycle->start_s) && isfinite(cycle->length_s) && cycle->length_s > 0.0 &&
           shape_fine(cycle);
}

/* Speed that changes fast from cycle to cycle also changes within them. */
static bool is_fast(const sw_cycle *a, const sw_cycle *b) {
    return fabs(log(b->length_s / a->length_s)) > FASTEST_CHANGE;
}

/* Cut the first moments of a start and the last of a stop. */
static sw_cycles trimmed(sw_cycles run) {
    size_t from = 0;
    size_t to = run.count;
    for (size_t i = 0; i + 1 < run.count && i < run.count / 4; i++) {
        if (is_fast(&run.cycle[i], &run.cycle[i + 1]))
            from = i + 1;
        if (is_fast(&run.cycle[run.count - 1 - i], &run.cycle[run.count - 2 - i]))
            to = run.count - 1 - i;
    }
    return (sw_cycles){to - from, run.cycle + from};
}

/* The longest run of usable cycles, not longer than what is needed. */
static sw_cycles usable_cycles(const sw_cycles *cycles) {
    sw_cycles best = {0};
    for (size_t i = 0; cycles && i < cycles->count;) {
        size_t from = i;
        while (i < cycles->count && cycle_fine(&cycles->cycle[i]) && i - from < CYCLES_MOST)
            i++;
        if (i - from > best.count)
            best = (sw_cycles){i - from, cycles->cycle + from};
        if (i == from)
            i++;
    }
    return best.count > 0 ? trimmed(best) : best;
}

sw_status sw_poles_estimate(const sw_cycles *cycles, const sw_speed_evidence *evidence,
                            sw_pole_pairs *result, sw_error *error) {
    memset(result, 0, sizeof *result);
    sw_posterior *posterior = calloc(1, sizeof *posterior);
    if (!posterior)
        return sw_fail(error, SW_MEMORY, "out of memory");
    sw_statements said = {.count = 0};
    fill_prior(evidence, posterior, &said);
    bool wanted[SW_POLE_PAIR_LIMIT + 1] = {false};
    for (int p = 1; p <= SW_POLE_PAIR_LIMIT; p++)
        wanted[p] = posterior->prior[p] > 1e-5;
    sw_cycles used = usable_cycles(cycles);
    bool heard = used.count >= CYCLES_LEAST;
    sw_status status = SW_OK;
    if (heard)
        status = read_pattern(&used, evidence->phases, wanted, posterior, error);
    if (status == SW_OK) {
        fill_total(wanted, heard, posterior);
        sw_poles_counts(evidence, posterior->total, &said);
        sw_poles_turns(evidence, posterior->total, &said);
        sw_poles_list(posterior->total, result);
        sw_poles_say_statements(&said, result);
        tell(posterior, wanted, heard, used.count, result);
        sw_poles_say_next(evidence, result);
    }
    free(posterior);
    return status;
}
