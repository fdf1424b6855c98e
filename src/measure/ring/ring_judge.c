/* What the map means in words: a weak pole and where it is, or a ring that is uneven all round.
 *
 * A magnet passes every coil of the winding. Where the coils stand k times round the stator in one
 * pattern, so does the map, and which of k magnets is meant cannot be told. */
#include "src/measure/ring/ring.h"
#include "src/measure/ring/ring_magnets.h"

#include "shared/text.h"

#include <math.h>
#include <stdio.h>

enum { MOST_NAMED = 4 };

static const double weak_share = 0.05;     /* a pole that much below the mean is named */
static const double weak_u = 4.0;          /* and so many standard uncertainties */
static const double as_deep = 0.6;         /* of the deepest: named with it */
static const double uneven_share = 0.05;   /* standard deviation of all strengths */
static const double spoiled_likely = 0.5;  /* probability from which it is said */
static const double one_side_share = 0.12; /* run-out of good rotors: up to a quarter of that */
static const double one_side_u = 3.0;
static const double missing = 0.8;        /* of a magnet's strength */
static const double pattern_share = 0.85; /* of the variance that a repeat must explain */

static double noise_variance(const sw_magnet_ring *ring) {
    double sum = 0.0;
    for (int i = 0; i < ring->poles; i++)
        sum += ring->strength_u[i] * ring->strength_u[i] / ring->poles;
    return sum;
}

static double variance(const sw_magnet_ring *ring) {
    double sum = 0.0;
    for (int i = 0; i < ring->poles; i++)
        sum += pow(ring->strength[i] - 1.0, 2.0) / ring->poles;
    return sum;
}

/* Variance of what repeats every `period` poles. */
static double repeated_variance(const sw_magnet_ring *ring, int period) {
    double sum = 0.0;
    for (int i = 0; i < period; i++) {
        double mean = 0.0;
        for (int j = i; j < ring->poles; j += period)
            mean += (ring->strength[j] - 1.0) * period / ring->poles;
        sum += mean * mean / period;
    }
    return sum;
}

/* The largest number of times a turn that explains the pattern; 0 when there is none but noise. */
static int repeats_of(const sw_magnet_ring *ring) {
    double noise = noise_variance(ring);
    double all = variance(ring) - noise;
    if (all < 2.0 * noise)
        return 0;
    int pairs = ring->poles / 2;
    for (int r = pairs; r > 1; r--)
        if (pairs % r == 0 &&
            repeated_variance(ring, ring->poles / r) - noise / r > pattern_share * all)
            return r;
    return 1;
}

static double turn_degrees(const sw_magnet_ring *ring, int pole) {
    double pitch = 360.0 / ring->poles;
    double even = ring->first_deg + pitch * pole;
    return even - 360.0 * floor(even / 360.0);
}

/* Deepest first; as many as are nearly as deep and deeper than their neighbours. */
static int weak_poles(const sw_magnet_ring *ring, int *weak) {
    int deepest = 0;
    for (int i = 1; i < ring->poles; i++)
        if (ring->strength[i] < ring->strength[deepest])
            deepest = i;
    double depth = 1.0 - ring->strength[deepest];
    if (depth <= weak_share || depth <= weak_u * ring->strength_u[deepest])
        return 0;
    int count = 1;
    weak[0] = deepest;
    for (int i = 0; i < ring->poles; i++) {
        double here = ring->strength[i];
        double before = ring->strength[(i + ring->poles - 1) % ring->poles];
        double after = ring->strength[(i + 1) % ring->poles];
        bool lowest = here <= before && here <= after;
        if (i != deepest && lowest && 1.0 - here > fmax(weak_share, as_deep * depth)) {
            if (count < MOST_NAMED)
                weak[count] = i;
            count++;
        }
    }
    return count;
}

static void name_poles(const sw_magnet_ring *ring, const int *weak, int count, sw_text *line) {
    if (!ring->from_mark) {
        sw_text_add(line, "%d of the %d poles", count, ring->poles);
        return;
    }
    sw_text_add(line, "pole%s ", count > 1 ? "s" : "");
    for (int i = 0; i < count; i++)
        sw_text_add(line, "%s%d", i == 0 ? "" : i + 1 == count ? " and " : ", ", weak[i] + 1);
    sw_text_add(line, " after the mark (%.0f degrees of a turn)", turn_degrees(ring, weak[0]));
}

static void warn_weak(sw_motor *motor, const int *weak, int count) {
    const sw_magnet_ring *ring = &motor->magnet_ring;
    sw_text line = {0};
    name_poles(ring, weak, count, &line);
    double depth = 1.0 - ring->strength[weak[0]];
    sw_motor_warn(motor, SW_WARN_WEAK_MAGNET,
                  "%s: %.1f +- %.1f %% weaker at the terminals. A magnet there is weak, cracked or "
                  "missing%s%s",
                  sw_text_string(&line), 100.0 * depth, 200.0 * ring->strength_u[weak[0]],
                  count > 1 ? "; one magnet shows at every coil that it passes" : "",
                  ring->from_mark ? "" : ". A tachometer with one mark would say which");
    sw_text_free(&line);
}

/* Slots known: the magnets themselves, in place of what the terminals see of them. */
static void warn_magnet(sw_motor *motor) {
    const sw_magnet_ring *ring = &motor->magnet_ring;
    double lack = ring->weak_lack.value;
    char where[96];
    if (ring->from_mark)
        snprintf(where, sizeof where,
                 "Turn the shaft %.0f degrees on from the mark: it stands at a coil of these wires",
                 turn_degrees(ring, ring->weak_pole[0]));
    else
        snprintf(where, sizeof where, "A sensor that sees one mark on the shaft would say where");
    if (ring->weak_count > 1)
        sw_motor_warn(motor, SW_WARN_WEAK_MAGNET,
                      "one of %d magnets in like places %s (%.0f +- %.0f %% less), or many are "
                      "uneven (rust, heat). %s, or one of its likes does",
                      ring->weak_count,
                      lack > missing ? "is missing or dead" : "is weak or cracked", 100.0 * lack,
                      200.0 * ring->weak_lack.u, where);
    else
        sw_motor_warn(motor, SW_WARN_WEAK_MAGNET, "one magnet %s (%.0f +- %.0f %% less)%s. %s",
                      lack > missing ? "is missing or dead" : "is weak or cracked", 100.0 * lack,
                      200.0 * ring->weak_lack.u,
                      ring->spoiled >= spoiled_likely ? ", or many are uneven (rust, heat)" : "",
                      where);
}

/* Three phases where nobody said how many: nearly every motor whose slots are a multiple of three.
 */
static int phases_of(const sw_motor *motor) {
    if (motor->phases > 0)
        return motor->phases;
    return motor->slots % 3 == 0 ? 3 : 0;
}

static bool warn_one_side(sw_motor *motor) {
    const sw_magnet_ring *ring = &motor->magnet_ring;
    if (!(ring->one_side > one_side_share + one_side_u * ring->one_side_u))
        return false;
    sw_motor_warn(
        motor, SW_WARN_WEAK_MAGNET,
        "the magnets are up to %.0f %% weaker on one side of the rotor than on the other: "
        "partly demagnetised there (heat, a short circuit, a strong magnet), or the rotor "
        "is out of true. Look whether it rubs; pull a screwdriver off either side",
        100.0 * fmin(1.0, 2.0 * ring->one_side / (1.0 + ring->one_side)));
    return true;
}

static bool warn_spoiled(sw_motor *motor) {
    const sw_magnet_ring *ring = &motor->magnet_ring;
    if (!(ring->spoiled >= spoiled_likely))
        return false;
    const char *sure = ring->spoiled > 0.95  ? "almost certainly"
                       : ring->spoiled > 0.8 ? "likely"
                                             : "perhaps";
    sw_motor_warn(motor, SW_WARN_WEAK_MAGNET,
                  "the magnets themselves differ by about %.0f +- %.0f %% (standard deviation, by "
                  "slots and poles; good ones: 1 to 4 %%): %s corroded or partly demagnetised. "
                  "Look at the ring; rust eats on",
                  100.0 * ring->magnet_spread, 200.0 * ring->magnet_spread_u, sure);
    return true;
}

void sw_ring_judge(sw_motor *motor) {
    sw_magnet_ring *ring = &motor->magnet_ring;
    sw_motor_unwarn(motor, SW_WARN_WEAK_MAGNET);
    if (ring->poles == 0)
        return;
    ring->repeats = repeats_of(ring);
    const sw_stator stator = {motor->slots, ring->poles, phases_of(motor),
                              motor->harmonics_of_phase};
    bool miscounted = motor->phases == 3 && motor->slots % 3 != 0; /* see poles/recount.c */
    if (motor->slots > 0 && !miscounted)
        sw_ring_magnets(&stator, ring);
    if (ring->weak_count > 0) {
        warn_magnet(motor);
        return;
    }
    if (warn_one_side(motor) || warn_spoiled(motor))
        return;
    int weak[MOST_NAMED];
    int count = weak_poles(ring, weak);
    double spread = sqrt(fmax(0.0, variance(ring) - noise_variance(ring)));
    if (count > 0 && count <= MOST_NAMED)
        warn_weak(motor, weak, count);
    else if (count > 0 || spread > uneven_share)
        sw_motor_warn(motor, SW_WARN_WEAK_MAGNET,
                      "the poles differ by %.0f %% (standard deviation; usual: below %.0f %%): "
                      "magnets demagnetised by heat or a short circuit, corroded, or a rotor out "
                      "of true",
                      100.0 * spread, 100.0 * uneven_share);
}
