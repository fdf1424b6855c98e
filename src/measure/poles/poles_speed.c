/* What the person said about speed and counts, as a likelihood of each number of pole pairs.
 *
 * Every statement may be a slip (a wrong count, a gear in between, a misread display): beside its
 * own likelihood stands a small, flat share for that. Frequency f (Hz), speed n (rpm):
 * f = n p / 60.
 */
#include "src/measure/poles/poles_parts.h"

#include <math.h>
#include <stdlib.h>

static const double SLIP_SPEED = 1e-4;
static const double SLIP_ABOUT = 1e-6;
static const double SLIP_COUNT = 2e-2;
static const double ABOUT_HALF_WIDTH = 0.2;
static const double ABOUT_EDGE = 0.03;    /* standard deviation of its soft edges */
static const double SPEED_U_LEAST = 2e-3; /* a speed given exactly is still read from something */
static const double TURNS_U_DEFAULT = 0.25;
static const double TURNS_DOUBT_LIMIT = 0.3; /* pole pairs */

static double gauss(double deviations) {
    return exp(-0.5 * deviations * deviations);
}

/* Spindles at hand turn between a slow hand and a fast drill: weak, and only a slope outside. */
static double usual_speed(double speed_rpm) {
    static const double slow_rpm = 40.0;
    static const double fast_rpm = 3500.0;
    if (speed_rpm < slow_rpm)
        return pow(speed_rpm / slow_rpm, 2.0);
    if (speed_rpm > fast_rpm)
        return pow(fast_rpm / speed_rpm, 3.0);
    return 1.0;
}

static void use_usual_speed(const sw_speed_evidence *evidence, double *score) {
    if (!(evidence->frequency_hz > 0.0))
        return;
    for (int p = 1; p <= SW_POLE_PAIR_LIMIT; p++)
        score[p] += log(fmax(usual_speed(60.0 * evidence->frequency_hz / p), 1e-12));
}

static void use_speed(const sw_speed_evidence *evidence, double *score, sw_pole_pairs *result) {
    double speed = evidence->speed.value;
    if (!(speed > 0.0) || !(evidence->frequency_hz > 0.0))
        return;
    double u = hypot(sw_quantity_u_or(evidence->speed, 0.01), SPEED_U_LEAST * speed);
    double exact = 60.0 * evidence->frequency_hz / speed;
    for (int p = 1; p <= SW_POLE_PAIR_LIMIT; p++) {
        /* relative deviation of the speed that p would mean, in standard uncertainties */
        double deviation = (exact / p - 1.0) * speed / u;
        score[p] += log(gauss(deviation) + SLIP_SPEED);
    }
    double nearest = fmax(1.0, round(exact));
    double doubt = fabs(exact / nearest - 1.0) * speed / u;
    sw_poles_say(result, "At %.4g rpm and %.4g Hz there would be %.2f pole pairs%s.", speed,
                 evidence->frequency_hz, exact,
                 doubt > 3.0 ? ", which is no whole number: check the speed, or a gear" : "");
}

/* Relative likelihood of a rough speed that is `ratio` times too low. */
static double about_right(double ratio) {
    double beyond = fabs(ratio - 1.0) - ABOUT_HALF_WIDTH;
    return beyond <= 0.0 ? 1.0 : gauss(beyond / ABOUT_EDGE);
}

static void use_about(const sw_speed_evidence *evidence, double *score, sw_pole_pairs *result) {
    double about = evidence->about_rpm;
    if (!(about > 0.0) || !(evidence->frequency_hz > 0.0))
        return;
    int low = 0;
    int high = 0;
    for (int p = 1; p <= SW_POLE_PAIR_LIMIT; p++) {
        double likely = about_right(60.0 * evidence->frequency_hz / p / about);
        score[p] += log(likely + SLIP_ABOUT);
        if (likely < 0.2)
            continue;
        low = low == 0 ? p : low;
        high = p;
    }
    if (low == 0)
        sw_poles_say(result, "No number of pole pairs fits about %.0f rpm at %.4g Hz.", about,
                     evidence->frequency_hz);
    else if (low == high)
        sw_poles_say(result, "At about %.0f rpm and %.4g Hz, only %d pole pair%s possible.", about,
                     evidence->frequency_hz, low, low == 1 ? " is" : "s are");
    else
        sw_poles_say(result, "At about %.0f rpm and %.4g Hz, %d to %d pole pairs are possible.",
                     about, evidence->frequency_hz, low, high);
}

static void use_turns(const sw_speed_evidence *evidence, double *score, sw_pole_pairs *result) {
    if (!(evidence->turns > 0.0) || !(evidence->cycles_in_all > 0.0))
        return;
    double u = evidence->turns_u > 0.0 ? evidence->turns_u : TURNS_U_DEFAULT;
    double exact = evidence->cycles_in_all / evidence->turns;
    double exact_u = exact * u / evidence->turns;
    if (exact_u > TURNS_DOUBT_LIMIT) {
        sw_poles_say(result,
                     "%.4g turns are too few to count by: %.1f +- %.1f pole pairs. Count at "
                     "least %.0f turns.",
                     evidence->turns, exact, exact_u, ceil(exact * u / TURNS_DOUBT_LIMIT));
        return;
    }
    for (int p = 1; p <= SW_POLE_PAIR_LIMIT; p++) {
        double turns = evidence->cycles_in_all / p;
        score[p] += log(gauss((turns - evidence->turns) / u) + SLIP_SPEED);
    }
    sw_poles_say(result, "%.0f cycles in %.4g turns are %.2f pole pairs.", evidence->cycles_in_all,
                 evidence->turns, exact);
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

static void use_detents(const sw_speed_evidence *evidence, double *score, sw_pole_pairs *result) {
    if (evidence->detents <= 0)
        return;
    for (int p = 1; p <= SW_POLE_PAIR_LIMIT; p++)
        score[p] += log(detents_right(evidence->detents, p) + SLIP_COUNT / SW_POLE_PAIR_LIMIT);
    sw_poles_say(result,
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

static void use_magnets(const sw_speed_evidence *evidence, double *score, sw_pole_pairs *result) {
    if (evidence->magnets <= 0)
        return;
    for (int p = 1; p <= SW_POLE_PAIR_LIMIT; p++)
        score[p] += log(magnets_right(evidence->magnets, p) + SLIP_COUNT / SW_POLE_PAIR_LIMIT);
    if (evidence->magnets % 2 != 0)
        sw_poles_say(result, "%d magnets counted: an odd number, so one was missed or doubled.",
                     evidence->magnets);
    else
        sw_poles_say(result, "%d magnets counted: %d pole pair%s.", evidence->magnets,
                     evidence->magnets / 2, evidence->magnets == 2 ? "" : "s");
}

void sw_poles_counts(const sw_speed_evidence *evidence, double *score, sw_pole_pairs *result) {
    use_detents(evidence, score, result);
    use_magnets(evidence, score, result);
}

void sw_poles_speed(const sw_speed_evidence *evidence, double *score, sw_pole_pairs *result) {
    for (int p = 0; p <= SW_POLE_PAIR_LIMIT; p++)
        score[p] = 0.0;
    use_usual_speed(evidence, score);
    use_speed(evidence, score, result);
    use_about(evidence, score, result);
    use_turns(evidence, score, result);
    sw_poles_counts(evidence, score, result);
}
