/* How many terms of the drag does a run-down support?
 *
 * All three are fitted; leaving some out is the same regression with those held at nought. For
 * terms b with covariance C, split into those kept S and left out R:
 *   chi2 = bR' C_RR^-1 bR,   bS|R = bS - C_SR C_RR^-1 bR,   C_S|R = C_SS - C_SR C_RR^-1 C_RS.
 * Of the seven choices that one counts which has the least chi2 + k ln n (Schwarz 1978; k terms,
 * n independent values) among those whose terms are all positive, as friction, eddy currents and
 * air are. Every bearing rubs, and at the speeds of a drum air is little: to leave the constant
 * part out costs extra, as does the square. A term below zero (a bearing that warms up, stiff
 * grease) is believed only when no choice without one comes near, and a short run-down never is a
 * reason for one: over a turn or two, or a small fall of the speed, anything uneven bends the curve
 * as much.
 *
 * For chi2, C carries what the fit cannot see (own_error) too.
 */
#include "src/measure/bench/rundown_parts.h"

#include <math.h>
#include <string.h>

enum { CHOICES = 1 << SW_DRAG_TERMS };

static const double FORCED = 16; /* of the criterion: four standard uncertainties */
static const double TURNS_LEAST = 3;
static const double FALL_LEAST = 2; /* first speed over last */
static const double PENALTY_LEAST = 2;
static const double NO_FRICTION = 4; /* two standard uncertainties */
static const double SQUARE = 2;

typedef double terms[SW_DRAG_TERMS];

typedef struct choice {
    double criterion;
    terms term;
    terms covariance[SW_DRAG_TERMS];
    bool positive;
} choice;

/* Hold one more term at nought: the step of a sweep, in place. */
static void leave_out(size_t out, choice *c) {
    double variance = fmax(c->covariance[out][out], 1e-300);
    terms share;
    for (size_t k = 0; k < SW_DRAG_TERMS; k++)
        share[k] = c->covariance[k][out] / variance;
    double value = c->term[out];
    for (size_t k = 0; k < SW_DRAG_TERMS; k++) {
        c->term[k] = k == out ? 0 : c->term[k] - share[k] * value;
        for (size_t l = 0; l < SW_DRAG_TERMS; l++)
            if (k != out && l != out)
                c->covariance[k][l] -= share[k] * share[l] * variance;
    }
    for (size_t k = 0; k < SW_DRAG_TERMS; k++)
        c->covariance[k][out] = c->covariance[out][k] = 0;
}

/* chi2 of leaving out all terms but those of the mask, with the wider covariance. */
static double chi_square(const sw_retardation_fit *full, const terms own, unsigned mask) {
    choice c = {.criterion = 0};
    double sum = 0;
    memcpy(c.term, full->term, sizeof c.term);
    memcpy(c.covariance, full->covariance, sizeof c.covariance);
    for (size_t k = 0; k < SW_DRAG_TERMS; k++)
        c.covariance[k][k] += own[k] * own[k];
    for (size_t k = 0; k < SW_DRAG_TERMS; k++)
        if (!(mask & 1U << k)) {
            sum += c.term[k] * c.term[k] / fmax(c.covariance[k][k], 1e-300);
            leave_out(k, &c);
        }
    return sum;
}

static choice make(const sw_retardation_fit *full, const terms own, unsigned mask) {
    choice c = {.positive = true};
    double penalty = fmax(PENALTY_LEAST, log(fmax(1, full->values)));
    memcpy(c.term, full->term, sizeof c.term);
    memcpy(c.covariance, full->covariance, sizeof c.covariance);
    c.criterion =
        chi_square(full, own, mask) + (mask & 1U ? 0 : NO_FRICTION) + (mask & 4U ? SQUARE : 0);
    for (size_t k = 0; k < SW_DRAG_TERMS; k++) {
        c.criterion += mask & 1U << k ? penalty : 0;
        if (!(mask & 1U << k))
            leave_out(k, &c);
    }
    for (size_t k = 0; k < SW_DRAG_TERMS; k++)
        c.positive = c.positive && !(mask & 1U << k && c.term[k] <= 0);
    return c;
}

/* What the fit cannot see may bend any one of the terms. */
static void own_errors(const sw_retardation_fit *full, const sw_rundown *rundown, terms own) {
    double middle_hz = (rundown->part.from_hz + rundown->part.to_hz) / 2;
    double slowing = full->term[0] + middle_hz * (full->term[1] + middle_hz * full->term[2]);
    for (size_t k = 0; k < SW_DRAG_TERMS; k++)
        own[k] = rundown->own_error * slowing / pow(middle_hz, (double)k);
}

void sw_rundown_choose_terms(const sw_retardation_fit *full, sw_rundown *rundown) {
    choice best = {.criterion = HUGE_VAL};
    choice any = {.criterion = HUGE_VAL};
    terms own;
    own_errors(full, rundown, own);
    for (unsigned mask = 1; mask < CHOICES; mask++) {
        choice c = make(full, own, mask);
        if (c.criterion < any.criterion)
            any = c;
        if (c.positive && c.criterion < best.criterion)
            best = c;
    }
    bool long_enough =
        rundown->turns >= TURNS_LEAST && rundown->part.from_hz >= FALL_LEAST * rundown->part.to_hz;
    bool none = isinf(best.criterion);
    rundown->falling = none || (long_enough && best.criterion > any.criterion + FORCED);
    if (rundown->falling)
        best = any;
    memcpy(rundown->term, best.term, sizeof best.term);
    memcpy(rundown->covariance, best.covariance, sizeof best.covariance);
    for (size_t k = 0; k < SW_DRAG_TERMS; k++) {
        rundown->full[k] = full->term[k];
        rundown->full_u[k] = sqrt(fmax(0, full->covariance[k][k]));
    }
}
