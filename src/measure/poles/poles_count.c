/* Magnets or rest positions counted when the recording is long done: Bayes' rule on the candidates
 * that it left. */
#include "src/measure/poles/poles_parts.h"

#include <math.h>
#include <string.h>

/* Left to what a list does not name, however sure it is of itself. */
static const double UNLISTED_LEAST = 1e-4;

/* A record's candidates as a prior over all; without any, what is usual. */
static void fill_prior(const sw_speed_evidence *evidence, const sw_pole_pairs *found,
                       double *prior) {
    double usual[SW_POLE_PAIR_LIMIT + 1];
    double listed = 0.0;
    double unlisted = 0.0;
    sw_poles_usual(evidence->phases, usual);
    for (int p = 0; p <= SW_POLE_PAIR_LIMIT; p++)
        prior[p] = 0.0;
    for (size_t i = 0; i < found->candidates; i++)
        if (found->candidate[i].pole_pairs <= SW_POLE_PAIR_LIMIT)
            prior[found->candidate[i].pole_pairs] = found->candidate[i].probability;
    if (found->candidates == 0 && found->value > 0 && found->value <= SW_POLE_PAIR_LIMIT)
        prior[found->value] = found->probability;
    for (int p = 1; p <= SW_POLE_PAIR_LIMIT; p++) {
        listed += prior[p];
        unlisted += prior[p] > 0.0 ? 0.0 : usual[p];
    }
    double left = fmax(1.0 - listed, UNLISTED_LEAST);
    for (int p = 1; p <= SW_POLE_PAIR_LIMIT && unlisted > 0.0; p++)
        if (!(prior[p] > 0.0))
            prior[p] = left * usual[p] / unlisted;
}

/* What is new is said first. */
static void say_first(const sw_pole_pairs *said, sw_pole_pairs *result) {
    size_t most = SW_MOTOR_EVIDENCE_LIMIT - said->evidences;
    size_t kept = result->evidences < most ? result->evidences : most;
    memmove(result->evidence[said->evidences], result->evidence[0],
            kept * sizeof result->evidence[0]);
    memcpy(result->evidence[0], said->evidence[0], said->evidences * sizeof said->evidence[0]);
    result->evidences = kept + said->evidences;
    for (size_t i = 0; i < said->againsts && result->againsts < SW_MOTOR_AGAINST_LIMIT; i++)
        memcpy(result->against[result->againsts++], said->against[i], sizeof said->against[0]);
}

/* A new count takes the place of a doubted one of its kind. */
static void forget_against(const char *of, sw_pole_pairs *result) {
    size_t kept = 0;
    for (size_t i = 0; i < result->againsts; i++) {
        if (strstr(result->against[i], of) != NULL)
            continue;
        if (kept < i)
            memcpy(result->against[kept], result->against[i], sizeof result->against[0]);
        kept++;
    }
    result->againsts = kept;
}

void sw_poles_count(const sw_speed_evidence *evidence, sw_pole_pairs *result) {
    double total[SW_POLE_PAIR_LIMIT + 1];
    sw_statements statements = {.count = 0};
    fill_prior(evidence, result, total);
    sw_poles_unsay_next(result);
    if (evidence->magnets > 0)
        forget_against("magnets counted", result);
    if (evidence->detents > 0)
        forget_against("rest positions", result);
    sw_poles_counts(evidence, total, &statements);
    sw_poles_list(total, result);
    sw_pole_pairs said = {.value = result->value};
    sw_poles_say_statements(&statements, &said);
    say_first(&said, result);
    sw_poles_say_next(evidence, result);
}
