#include "src/match/electric/march.h"

#include <math.h>
#include <string.h>

enum {
    ROOT_LIMIT = 40,
    TRIAL_LIMIT = 20000,
    STALL_LIMIT = 6,
    REPAIR_LIMIT = 6,
    HALVING_LIMIT = 30
};

/* Fractions of a grid step: the length that counts as none, the look-ahead that settles a
 * pattern, and the longest step while nothing conducts, where short pulses must not be missed. */
static const double nothing = 1e-10;
static const double look_ahead = 1e-6;
static const double idle_part = 0.25;
/* A margin this part of the breach's size is clear of zero. */
static const double clearly = 1e-3;
/* A pulse may be much shorter than a grid step, and a diode's voltage changes fastest as its
 * current begins: where a leg starts from rest, steps begin small and double. */
static const double start_part = 1.0 / 16.0;

/* Where a march stands. */
typedef struct walker {
    const sw_circuit *circuit;
    const sw_circulation *circulation;
    sw_electric_state *state;
    sw_tally *tally;
    sw_pattern pattern;
    double grid;
    double angle;
    double limit; /* longest step allowed just now */
    int stalls;   /* events in a row without progress */
} walker;

static void accept(walker *w, const sw_step *step) {
    if (w->tally != NULL) {
        sw_tally_add(w->circuit, &w->pattern, w->circulation, step, w->tally);
    }
    *w->state = sw_step_end(w->circuit, step);
    w->angle += step->length;
    w->limit *= 2.0;
}

static bool settle(walker *w) {
    return sw_pattern_settle(w->circuit, w->angle, look_ahead * w->grid, w->state, &w->pattern);
}

static sw_breach worst_at(const walker *w, const sw_step *step, int stage) {
    const sw_stage_result *result = &step->stage[stage];
    return sw_pattern_worst(w->circuit, &w->pattern, result->drive_v, &result->solution);
}

/* Margin of one condition at the end of a step of this length. */
static bool margin_after(const walker *w, const sw_breach *which, double length, sw_step *step,
                         double *margin) {
    if (!sw_step_try(w->circuit, &w->pattern, w->state, w->angle, length, step)) {
        return false;
    }
    const sw_stage_result *last = &step->stage[SW_STAGES - 1];
    *margin = sw_pattern_margin(w->circuit, &w->pattern, last->drive_v, &last->solution, which);
    return true;
}

/* A length below `high` at which the condition clearly holds; false when there is none. A leg that
 * has just been switched is at zero itself, which is not the instant that is looked for: then the
 * other end is drawn in until the condition holds. */
static bool find_low(const walker *w, const sw_breach *which, double high, double *low,
                     double *margin, sw_step *step) {
    *low = nothing * w->grid;
    if (margin_after(w, which, *low, step, margin) && *margin > clearly * fabs(which->margin)) {
        return true;
    }
    *low = high;
    for (int i = 0; i < HALVING_LIMIT; i++) {
        *low *= 0.5;
        if (margin_after(w, which, *low, step, margin) && *margin > 0.0) {
            return true;
        }
    }
    return false;
}

/* Length at which the condition reaches zero; *step ends there. */
static bool find_instant(const walker *w, const sw_breach *which, double high, sw_step *step) {
    double low = 0.0;
    double at_low = 0.0;
    double at_high = which->margin;
    double at = 0.0;
    if (!find_low(w, which, high, &low, &at_low, step)) {
        return margin_after(w, which, nothing * w->grid, step, &at);
    }
    int side = 0;
    for (int i = 0; i < ROOT_LIMIT; i++) {
        const double length = high - at_high * (high - low) / (at_high - at_low);
        if (!margin_after(w, which, length, step, &at)) {
            return false;
        }
        if (fabs(at) < 1e-14 || high - low < 1e-13 * w->grid) {
            return true;
        }
        if (at < 0.0) {
            high = length;
            at_high = at;
            at_low *= side < 0 ? 0.5 : 1.0;
            side = -1;
        } else {
            low = length;
            at_low = at;
            at_high *= side > 0 ? 0.5 : 1.0;
            side = 1;
        }
    }
    return true;
}

/* Legs that stop at an event carry exactly nothing from there on. */
static void stop_leg(walker *w, const sw_breach *breach) {
    const sw_topology *topology = w->circuit->topology;
    if (breach->sign != 0) {
        return;
    }
    const double rest = w->state->leg_a[breach->leg];
    w->state->leg_a[breach->leg] = 0.0;
    const int group = topology->leg[breach->leg].group;
    int others = 0;
    for (int k = 0; k < topology->legs; k++) {
        others += k != breach->leg && w->pattern.leg[k] != 0 && topology->leg[k].group == group;
    }
    for (int k = 0; topology->floating && k < topology->legs; k++) {
        if (k != breach->leg && w->pattern.leg[k] != 0 && topology->leg[k].group == group) {
            w->state->leg_a[k] = others == 1 ? 0.0 : w->state->leg_a[k] + rest / others;
        }
    }
    w->pattern.leg[breach->leg] = 0;
}

/* The step of length `high` ends with a broken condition: end it at the first breach. */
static bool switch_over(walker *w, sw_breach breach, double high) {
    sw_step step;
    for (int i = 0; i < REPAIR_LIMIT; i++) {
        if (!find_instant(w, &breach, high, &step)) {
            return false;
        }
        const sw_breach other = worst_at(w, &step, SW_STAGES - 1);
        if (other.margin > -sw_breach_tolerance ||
            (other.leg == breach.leg && other.sign == breach.sign)) {
            break;
        }
        breach = other;
        high = step.length;
    }
    w->stalls = step.length < 10.0 * nothing * w->grid ? w->stalls + 1 : 0;
    accept(w, &step);
    stop_leg(w, &breach);
    w->limit = breach.sign != 0 ? start_part * w->grid : w->grid;
    return settle(w);
}

static bool pattern_idle(const walker *w) {
    for (int k = 0; k < w->circuit->topology->legs; k++) {
        if (w->pattern.leg[k] != 0) {
            return false;
        }
    }
    return true;
}

/* The broken condition of a step, if any: at its end, or within (then *inside is set). */
static bool is_broken(const walker *w, const sw_step *step, sw_breach *breach, bool *inside) {
    *inside = false;
    *breach = worst_at(w, step, SW_STAGES - 1);
    if (breach->margin < -sw_breach_tolerance) {
        return true;
    }
    for (int s = 0; s + 1 < SW_STAGES; s++) {
        const sw_breach within = worst_at(w, step, s);
        if (within.margin < -1e-6) {
            *inside = true;
            *breach = within;
            return true;
        }
    }
    return false;
}

/* One accepted step, at most `length` long. */
static bool advance(walker *w, double length) {
    sw_step step;
    sw_breach breach;
    bool inside = false;
    length = fmin(length, pattern_idle(w) ? idle_part * w->grid : w->limit);
    for (int i = 0; i < HALVING_LIMIT; i++) {
        const bool solved = sw_step_try(w->circuit, &w->pattern, w->state, w->angle, length, &step);
        if (solved && (!is_broken(w, &step, &breach, &inside) || w->stalls > STALL_LIMIT)) {
            w->stalls = 0;
            accept(w, &step);
            return true;
        }
        if (solved && !inside) {
            if (w->stalls == STALL_LIMIT) {
                /* Chatter around one instant: get past it with a step nobody can see. */
                w->stalls++;
                length = look_ahead * w->grid;
                continue;
            }
            return switch_over(w, breach, length);
        }
        length *= 0.5;
    }
    return false;
}

bool sw_march(const sw_circuit *circuit, const sw_stretch *stretch,
              const sw_circulation *circulation, sw_electric_state *state, sw_tally *tally) {
    walker w;
    memset(&w, 0, sizeof w);
    w.circuit = circuit;
    w.circulation = circulation;
    w.state = state;
    w.tally = tally;
    w.grid = stretch->span / stretch->steps;
    w.angle = stretch->from;
    w.limit = w.grid;
    w.pattern = sw_pattern_of_state(circuit, state);
    if (!settle(&w)) {
        return false;
    }
    int trials = 0;
    for (int n = 1; n <= stretch->steps; n++) {
        const double target = stretch->from + n * w.grid;
        while (target - w.angle > nothing * w.grid) {
            if (++trials > TRIAL_LIMIT || !advance(&w, target - w.angle)) {
                return false;
            }
        }
    }
    return true;
}
