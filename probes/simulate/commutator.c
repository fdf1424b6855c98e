/* Brushed motors: K coils behind a commutator.
 *
 * Each coil's EMF is a sine of the electrical angle with a flattened top; the brushes always
 * collect the coils of one half with the same sign, so that the volts are the mean of |e| over
 * the coils, smoothed over the width of a brush. K segments leave a ripple of K periods a turn
 * for even K and 2 K for odd K in a two-pole machine. Coils that differ add a pattern once a
 * turn. Source: textbook, and probes of the ripple formula 1 - cos(pi / K) in the tests.
 */
#include "probes/simulate/machine.h"

#include "probes/simulate/draw.h"

#include <gsl/gsl_math.h>
#include <math.h>
#include <stdlib.h>

enum { POINTS = 8192, BAR_LIMIT = 256, BRUSH_STEPS = 5 };
static const double BRUSH_BARS = 0.3; /* width over which a brush smears, in bars */

static double coils_at(double angle_rad, const double *strength, int bars, int pole_pairs) {
    double sum = 0;
    for (int c = 0; c < bars; c++)
        sum += strength[c] * fabs(sin(pole_pairs * (angle_rad + 2 * M_PI * c / bars)));
    return sum / bars;
}

/* A brush touches two bars at once: the mean over its width. */
static double brushes_at(double angle_rad, const double *strength, int bars, int pole_pairs) {
    double width = BRUSH_BARS * 2 * M_PI / bars;
    double sum = 0;
    for (int i = 0; i < BRUSH_STEPS; i++) {
        double shift = width * ((i + 0.5) / BRUSH_STEPS - 0.5);
        sum += coils_at(angle_rad + shift, strength, bars, pole_pairs);
    }
    return sum / BRUSH_STEPS;
}

static void fill(const sw_sim_motor *motor, const double *strength, double *table) {
    double mean = 0;
    for (size_t i = 0; i < POINTS; i++) {
        table[i] =
            brushes_at(2 * M_PI * (double)i / POINTS, strength, motor->slots, motor->pole_pairs);
        mean += table[i] / POINTS;
    }
    /* volts = V/rpm x rpm, rpm = w 60 / 2 pi */
    double volt_second = motor->volts_per_rpm * 60 / (2 * M_PI);
    for (size_t i = 0; i < POINTS; i++)
        table[i] *= volt_second / mean;
}

static int ripple_of(int bars, int pole_pairs) {
    int odd_turn = bars * 2 * pole_pairs;
    /* |sin| repeats 2 p times a turn, the coils K times: their least common multiple. */
    for (int k = bars; k <= odd_turn; k += bars)
        if (k % (2 * pole_pairs) == 0)
            return k;
    return odd_turn;
}

sw_status sw_commutator_table(const sw_sim_spec *spec, sw_sim_machine *machine, sw_sim_truth *truth,
                              sw_error *error) {
    const sw_sim_motor *motor = &spec->motor;
    double strength[BAR_LIMIT];
    if (spec->front.channels != 1)
        return sw_fail(error, SW_UNSUPPORTED, "a brushed motor has one pair of wires to record");
    if (motor->slots < 3 || motor->slots > BAR_LIMIT)
        return sw_fail(error, SW_UNSUPPORTED, "found %d commutator bars, expected 3 to %d",
                       motor->slots, BAR_LIMIT);
    gsl_rng *random = sw_draw_new(spec->seed, SW_SIM_STREAM_COILS);
    machine->table[0] = malloc(POINTS * sizeof(double));
    if (random == NULL || machine->table[0] == NULL) {
        gsl_rng_free(random);
        free(machine->table[0]);
        return sw_fail(error, SW_MEMORY, "not enough memory for the machine's table");
    }
    for (int c = 0; c < motor->slots; c++)
        strength[c] = 1 + sw_draw_tolerance(random, motor->coil_sd);
    gsl_rng_free(random);
    machine->channels = 1;
    machine->points = POINTS;
    fill(motor, strength, machine->table[0]);
    truth->volts_per_rpm = motor->volts_per_rpm;
    truth->ripple_per_turn = ripple_of(motor->slots, motor->pole_pairs);
    return SW_OK;
}
