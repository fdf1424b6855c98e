/* What the person counted, into the posterior of pole pairs: turns, rest positions, magnets.
 *
 * A count of turns has its own small uncertainty (where the first and the last turn begin), and it
 * may be a blunder: another spin's, every other turn, a number made to fit. With the share b of
 * blunders, which know nothing of the pole pairs,
 *
 *     L(n | p) ~ (1 - b) g_p(n) + b q(n),    q(n) = sum over p of P(p) g_p(n) + r(n)
 *
 * g_p is the count's Gauss about the turns that p would mean, over its peak. A blunder is any
 * number within a factor of two (r), or one of those that fit some candidate (the sum, with P from
 * all other evidence): people repeat what they were told, and count again until it fits. So a count
 * that fits a likely candidate leaves the others their share b, and one that fits an unlikely
 * candidate alone is itself in doubt.
 */
#include "shared/text.h"
#include "src/measure/poles/poles_parts.h"

#include <gsl/gsl_math.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

static const double SLIP_COUNT = 2e-2;
static const double BLUNDER = 0.05; /* of counted turns; common practice, no source */
static const double TURNS_U_DEFAULT = 0.25;
static const double TURNS_DOUBT_LIMIT = 0.3; /* pole pairs */
static const double FITS_LEAST = 0.02;       /* probability of what a count fits */
static const double AGAINST = 0.2;           /* likelihood over that of the best */
static const double AGAINST_ALL = 1e-3;      /* likelihood at 3.7 standard uncertainties */

sw_statement *sw_poles_state(sw_statements *said) {
    sw_statement *statement = &said->item[said->count++];
    *statement = (sw_statement){.decides = true};
    return statement;
}

void sw_poles_word(sw_statement *statement, const char *format, ...) {
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(statement->sentence, sizeof statement->sentence, format, arguments);
    va_end(arguments);
}

static double gauss(double deviations) {
    return exp(-0.5 * deviations * deviations);
}

/* Density of any number within a factor of two, over the peak of a Gauss of u. */
static double any_number(double turns, double u) {
    return sqrt(2.0 * M_PI) * u / (turns * 2.0 * M_LN2);
}

void sw_poles_turns(const sw_speed_evidence *evidence, double *total, sw_statements *said) {
    if (!(evidence->turns > 0.0) || !(evidence->cycles_in_all > 0.0))
        return;
    double u = evidence->turns_u > 0.0 ? evidence->turns_u : TURNS_U_DEFAULT;
    double exact = evidence->cycles_in_all / evidence->turns;
    double exact_u = exact * u / evidence->turns;
    sw_statement *statement = sw_poles_state(said);
    if (exact_u > TURNS_DOUBT_LIMIT) {
        statement->decides = false;
        sw_poles_word(statement,
                      "%.4g turns are too few to count by: %.1f +- %.1f pole pairs. Count at "
                      "least %.0f turns.",
                      evidence->turns, exact, exact_u, ceil(exact * u / TURNS_DOUBT_LIMIT));
        return;
    }
    double right[SW_POLE_PAIR_LIMIT + 1];
    double fits = 0.0;
    double best = 0.0;
    for (int p = 1; p <= SW_POLE_PAIR_LIMIT; p++) {
        right[p] = gauss((evidence->cycles_in_all / p - evidence->turns) / u);
        fits += total[p] * right[p];
        best = fmax(best, right[p]);
    }
    double floor = BLUNDER * (fits + any_number(evidence->turns, u));
    for (int p = 1; p <= SW_POLE_PAIR_LIMIT; p++) {
        statement->score[p] = log(right[p] + 1e-12);
        total[p] *= (1.0 - BLUNDER) * right[p] + floor;
    }
    sw_poles_normalise(total);
    sw_poles_word(statement, "%.0f cycles in %.4g turns are %.2f pole pairs%s.",
                  evidence->cycles_in_all, evidence->turns, exact,
                  fits < FITS_LEAST * best ? ", which all else speaks against" : "");
}

/* A battery through a lamp on two wires holds the magnets in one place per pole pair. Cogging
 * doubles the count at times, and one is easily miscounted. */
static double detents_right(int counted, int p) {
    if (counted == p)
        return 1.0;
    if (counted == 2 * p)
        return 0.1;
    return gauss((counted - p) / (0.3 + 0.02 * p)) * 0.5;
}

static void use_detents(const sw_speed_evidence *evidence, sw_statements *said) {
    if (evidence->detents <= 0)
        return;
    sw_statement *statement = sw_poles_state(said);
    for (int p = 1; p <= SW_POLE_PAIR_LIMIT; p++)
        statement->score[p] =
            log(detents_right(evidence->detents, p) + SLIP_COUNT / SW_POLE_PAIR_LIMIT);
    sw_poles_word(statement,
                  "%d rest positions in a turn (battery through a lamp): as many pole pairs.",
                  evidence->detents);
}

static double magnets_right(int counted, int p) {
    if (counted == 2 * p)
        return 1.0;
    if (counted % 2 != 0 && abs(counted - 2 * p) == 1)
        return 0.4;
    /* pairs counted for magnets, or an iron pole between two magnets of one kind */
    return counted == p ? 0.03 : gauss((counted - 2 * p) / (1.0 + 0.02 * p)) * 0.1;
}

static void use_magnets(const sw_speed_evidence *evidence, sw_statements *said) {
    if (evidence->magnets <= 0)
        return;
    sw_statement *statement = sw_poles_state(said);
    for (int p = 1; p <= SW_POLE_PAIR_LIMIT; p++)
        statement->score[p] =
            log(magnets_right(evidence->magnets, p) + SLIP_COUNT / SW_POLE_PAIR_LIMIT);
    if (evidence->magnets % 2 != 0)
        sw_poles_word(statement, "%d magnets counted: an odd number, so one was missed or doubled.",
                      evidence->magnets);
    else
        sw_poles_word(statement, "%d magnets counted: %d pole pair%s.", evidence->magnets,
                      evidence->magnets / 2, evidence->magnets == 2 ? "" : "s");
}

void sw_poles_counts(const sw_speed_evidence *evidence, double *total, sw_statements *said) {
    size_t first = said->count;
    use_detents(evidence, said);
    use_magnets(evidence, said);
    for (size_t i = first; i < said->count; i++)
        for (int p = 1; p <= SW_POLE_PAIR_LIMIT; p++)
            total[p] *= exp(said->item[i].score[p]);
    sw_poles_normalise(total);
}

/* Does a statement fit another number of pole pairs far better than the answer, or none at all? */
static bool speaks_against(const sw_statement *statement, int answer) {
    double best = -INFINITY;
    if (answer == 0 || answer > SW_POLE_PAIR_LIMIT || !statement->decides)
        return false;
    for (int p = 1; p <= SW_POLE_PAIR_LIMIT; p++)
        best = fmax(best, statement->score[p]);
    return statement->score[answer] < fmax(best + log(AGAINST), log(AGAINST_ALL));
}

void sw_poles_say_statements(const sw_statements *said, sw_pole_pairs *result) {
    for (size_t i = 0; i < said->count; i++) {
        const sw_statement *statement = &said->item[i];
        bool against = speaks_against(statement, result->value);
        if (against && result->againsts < SW_MOTOR_AGAINST_LIMIT)
            sw_text_copy(statement->sentence, result->against[result->againsts++],
                         sizeof result->against[0]);
        else if (!against)
            sw_poles_say(result, "%s", statement->sentence);
    }
}
