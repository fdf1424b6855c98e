/* What the person said about the speed, as a likelihood of each number of pole pairs.
 *
 * Every statement may be a slip (a wrong count, a gear in between, a misread display): beside its
 * own likelihood stands a small, flat share for that. Frequency f (Hz), speed n (rpm):
 * f = n p / 60.
 */
#include "src/measure/poles/poles_parts.h"

#include <math.h>

static const double SLIP_SPEED = 1e-4;
static const double SLIP_ABOUT = 1e-6;
static const double ABOUT_HALF_WIDTH = 0.2;
static const double ABOUT_EDGE = 0.03;    /* standard deviation of its soft edges */
static const double SPEED_U_LEAST = 2e-3; /* a speed given exactly is still read from something */

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

static void use_speed(const sw_speed_evidence *evidence, sw_statements *said) {
    double speed = evidence->speed.value;
    if (!(speed > 0.0) || !(evidence->frequency_hz > 0.0))
        return;
    double u = hypot(sw_quantity_u_or(evidence->speed, 0.01), SPEED_U_LEAST * speed);
    double exact = 60.0 * evidence->frequency_hz / speed;
    sw_statement *statement = sw_poles_state(said);
    for (int p = 1; p <= SW_POLE_PAIR_LIMIT; p++) {
        /* relative deviation of the speed that p would mean, in standard uncertainties */
        double deviation = (exact / p - 1.0) * speed / u;
        statement->score[p] = log(gauss(deviation) + SLIP_SPEED);
    }
    double nearest = fmax(1.0, round(exact));
    double doubt = fabs(exact / nearest - 1.0) * speed / u;
    sw_poles_word(statement, "At %.4g rpm and %.4g Hz there would be %.2f pole pairs%s.", speed,
                  evidence->frequency_hz, exact,
                  doubt > 3.0 ? ", which is no whole number: check the speed, or a gear" : "");
}

/* Relative likelihood of a rough speed that is `ratio` times too low. */
static double about_right(double ratio) {
    double beyond = fabs(ratio - 1.0) - ABOUT_HALF_WIDTH;
    return beyond <= 0.0 ? 1.0 : gauss(beyond / ABOUT_EDGE);
}

static void use_about(const sw_speed_evidence *evidence, sw_statements *said) {
    double about = evidence->about_rpm;
    if (!(about > 0.0) || !(evidence->frequency_hz > 0.0))
        return;
    int low = 0;
    int high = 0;
    sw_statement *statement = sw_poles_state(said);
    for (int p = 1; p <= SW_POLE_PAIR_LIMIT; p++) {
        double likely = about_right(60.0 * evidence->frequency_hz / p / about);
        statement->score[p] = log(likely + SLIP_ABOUT);
        if (likely < 0.2)
            continue;
        low = low == 0 ? p : low;
        high = p;
    }
    if (low == 0)
        sw_poles_word(statement, "No number of pole pairs fits about %.0f rpm at %.4g Hz.", about,
                      evidence->frequency_hz);
    else if (low == high)
        sw_poles_word(statement, "At about %.0f rpm and %.4g Hz, only %d pole pair%s possible.",
                      about, evidence->frequency_hz, low, low == 1 ? " is" : "s are");
    else
        sw_poles_word(statement, "At about %.0f rpm and %.4g Hz, %d to %d pole pairs are possible.",
                      about, evidence->frequency_hz, low, high);
}

void sw_poles_speed(const sw_speed_evidence *evidence, double *score, sw_statements *said) {
    for (int p = 0; p <= SW_POLE_PAIR_LIMIT; p++)
        score[p] = 0.0;
    use_usual_speed(evidence, score);
    use_speed(evidence, said);
    use_about(evidence, said);
    for (size_t i = 0; i < said->count; i++)
        for (int p = 1; p <= SW_POLE_PAIR_LIMIT; p++)
            score[p] += said->item[i].score[p];
}
