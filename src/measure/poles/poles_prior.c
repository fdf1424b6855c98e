/* What is usual, as weak priors: pole counts, and how windings hide the pattern of the magnets.
 *
 * A phase's coils lie alike t = gcd(slots, pole pairs) times round the machine, so their sum sees
 * only what the magnets have in common t times a turn: lines at multiples of t/p (star of slots;
 * Bianchi & Dai Pre 2006). Which t are likely follows from the slots that give a three-phase
 * winding of useful winding factor: slots per pole and phase from 1/4 to 1/2 with coils round
 * one tooth, 1 to 3 with coils over several. Counts that are on the market weigh more, but never
 * so much that plain evidence could not win.
 */
#include "src/measure/poles/poles_parts.h"

#include "shared/number.h"

#include <math.h>
#include <string.h>

static const double UNUSUAL_SHARE = 0.3;       /* of a usual count's weight */
static const double ANY_SYMMETRY_SHARE = 0.15; /* spread evenly over the divisors */

/* Magnet counts met in scrap: pumps and fans, drives, hubs, washers, direct drives (common
 * practice, no source). */
static const int USUAL_POLES[] = {2,  4,  6,  8,  10, 12, 14, 16, 20, 22, 24, 26,
                                  28, 30, 32, 36, 40, 42, 46, 48, 56, 72, 80};
/* Two phases: 7.5 and 3.75 degree can steppers, 1.8 and 0.9 degree hybrid steppers. */
static const int USUAL_TWO_PHASE_POLES[] = {24, 48, 100, 200};
/* One phase: U-core pumps, four-pole fans, claw-pole timers. */
static const int USUAL_ONE_PHASE_POLES[] = {2, 4, 8, 10, 12, 16, 20, 24};

static const int USUAL_SLOTS[] = {3,  6,  9,  12, 15, 18, 21, 24, 27,
                                  30, 36, 39, 42, 45, 48, 51, 54, 63};

static bool is_among(int value, const int *list, size_t count) {
    for (size_t i = 0; i < count; i++) {
        if (list[i] == value)
            return true;
    }
    return false;
}

static bool is_usual(int phases, int poles) {
    if (phases == 1)
        return is_among(poles, USUAL_ONE_PHASE_POLES,
                        sizeof USUAL_ONE_PHASE_POLES / sizeof *USUAL_ONE_PHASE_POLES);
    if (phases == 2)
        return is_among(poles, USUAL_TWO_PHASE_POLES,
                        sizeof USUAL_TWO_PHASE_POLES / sizeof *USUAL_TWO_PHASE_POLES);
    if (is_among(poles, USUAL_POLES, sizeof USUAL_POLES / sizeof *USUAL_POLES))
        return true;
    /* One channel alone does not tell the phases: a stepper is possible. */
    return phases == 0 && is_usual(2, poles);
}

void sw_poles_usual(int phases, double *prior) {
    double sum = 0.0;
    prior[0] = 0.0;
    for (int p = 1; p <= SW_POLE_PAIR_LIMIT; p++) {
        prior[p] = is_usual(phases, 2 * p) ? 1.0 : UNUSUAL_SHARE;
        sum += prior[p];
    }
    for (int p = 1; p <= SW_POLE_PAIR_LIMIT; p++)
        prior[p] /= sum;
}

/* How often one meets these slots with these pole pairs, relative. */
static double slot_weight(int slots, int pole_pairs) {
    int t = sw_common_divisor(slots, pole_pairs);
    if (slots % 3 != 0 || (slots / t) % 3 != 0)
        return 0.0; /* no balanced three-phase winding */
    double per_pole_phase = (double)slots / (6.0 * pole_pairs);
    double weight = 0.0;
    if (per_pole_phase >= 0.25 && per_pole_phase <= 0.5)
        weight = 1.0;
    else if (pole_pairs <= 8 && fabs(per_pole_phase - round(per_pole_phase)) < 1e-9 &&
             per_pole_phase <= 4.0)
        weight = 0.7;
    bool usual = is_among(slots, USUAL_SLOTS, sizeof USUAL_SLOTS / sizeof *USUAL_SLOTS);
    return usual ? weight : 0.1 * weight;
}

void sw_poles_symmetry(int phases, int pole_pairs, double *share) {
    int divisors = 0;
    double sum = 0.0;
    memset(share, 0, (SW_POLE_PAIR_LIMIT + 1) * sizeof *share);
    for (int t = 1; t <= pole_pairs; t++)
        divisors += pole_pairs % t == 0;
    if (phases == 0 || phases == 3) {
        for (int slots = 3; slots <= 12 * pole_pairs && slots <= 144; slots += 3) {
            double weight = slot_weight(slots, pole_pairs);
            share[sw_common_divisor(slots, pole_pairs)] += weight;
            sum += weight;
        }
    }
    double spread = sum > 0.0 && phases != 0 ? ANY_SYMMETRY_SHARE : 0.5;
    if (!(sum > 0.0))
        spread = 1.0;
    for (int t = 1; t <= pole_pairs; t++) {
        double even = pole_pairs % t == 0 ? 1.0 / divisors : 0.0;
        double slots_say = sum > 0.0 ? share[t] / sum : 0.0;
        share[t] = spread * even + (1.0 - spread) * slots_say;
    }
}
