/* Somebody who knows more than a recording can tell, to hold the pole-pair score against.
 *
 * Ideal input: the same machine, spun the same way (wobble, chuck, gear lines), but recorded
 * without noise, hum, rounding, clamps, low cut or clock error. It is measured with the same hint
 * by the same program. What it cannot answer there lies in motor and spin or in the method, not in
 * the recording; so this is the yardstick for what a recording costs, no proof that nobody could
 * answer. Nor is it an upper bound: now and then a motor is answered from its recording and not
 * from here (seed 18, a hub of 32 poles, is surer with noise at 1e-4 of full scale than with
 * none), since small leftovers of the analysis stand out over a floor of nearly nothing.
 *
 * Hidden: that proof, where there is one. One turn of the simulator's own table of the EMF is
 * taken apart into its orders. Magnets alone show multiples of t = gcd(slots, pole pairs) a turn;
 * all other orders come from coils, run-out and stator offset, and only these tell a whole turn
 * from a t-th of it. For somebody who knows these lines' amplitudes and phases exactly, and speed
 * and wobble too, n samples in white noise of variance s^2 give the mean log likelihood ratio
 *     D = n sum_k (A_k^2 / 2) / (2 s^2)
 * between "they are there" and "they are not" (known signal in white noise; Kay, Fundamentals of
 * Statistical Signal Processing II, 1998, ch. 4). Nobody does better from the wave's shape, so
 * below LEAST_EVIDENCE the turn is hidden in it. The drill's own ripple, which may still show the
 * turn, is left out. With one pole pair a cycle is a turn, and nothing can be hidden.
 */
#include "tests/population/population.h"

#include "probes/simulate/front.h"
#include "probes/simulate/machine.h"

#include <gsl/gsl_fft_real.h>
#include <gsl/gsl_math.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Odds of 20 to 1, less than what an answer at 0.97 takes. */
static const double LEAST_EVIDENCE = 3.0;

sw_sim_spec oracle_spec(const sw_sim_spec *spec) {
    sw_sim_spec ideal = *spec;
    ideal.front.clock_error = 0;
    ideal.front.low_cut_hz = 0;
    ideal.front.linear_limit = 0;
    ideal.front.noise = 0;
    ideal.front.flicker = 0;
    ideal.front.hum = 0;
    ideal.front.offset = 0;
    ideal.front.bits = 0;
    ideal.front.automatic_level = false;
    return ideal;
}

/* |H|^2 of the input's low cut. */
static double passed(double low_cut_hz, double hz) {
    return 1 / (1 + pow(low_cut_hz / hz, 2));
}

/* Variance of a sample at the input, units of full scale squared: noise and rounding. */
static double noise_variance(const sw_sim_front *front) {
    double step = front->bits > 0 ? ldexp(1, 1 - front->bits) : 0;
    return front->noise * front->noise + step * step / 12;
}

/* Squared amplitude of order k of a table's transform (half-complex, radix 2). */
static double power_of(const double *transform, size_t points, size_t k) {
    return 4 * (pow(transform[k], 2) + pow(transform[points - k], 2)) / pow((double)points, 2);
}

static void sum_orders(const sw_sim_truth *truth, const double *transform, size_t points,
                       double *rms, double *evidence) {
    const sw_sim_front *front = &truth->spec.front;
    size_t pairs = (size_t)truth->spec.motor.pole_pairs;
    double turns_hz = truth->hold_speed_rpm / 60;
    double gain = 2 * M_PI * turns_hz * sw_front_load_gain(&truth->spec) / front->volts_per_unit;
    double part = 0;
    double seen = 0;
    for (size_t k = 1; k < points / 2; k++) {
        double power = power_of(transform, points, k);
        double hz = turns_hz * (double)k;
        if (k % pairs == 0 || (truth->symmetry > 1 && k % (size_t)truth->symmetry == 0))
            continue;
        part += power;
        if (hz < front->rate_hz / 2)
            seen += power * gain * gain * passed(front->low_cut_hz, hz);
    }
    double samples = front->rate_hz * (truth->hold_to_s - truth->hold_from_s);
    *rms = sqrt(part / power_of(transform, points, pairs));
    *evidence = samples * seen / 2 / (2 * noise_variance(front));
}

sw_status oracle_pattern(const sw_sim_truth *truth, double *rms, double *evidence,
                         sw_error *error) {
    sw_sim_machine machine;
    sw_sim_truth unused = *truth;
    sw_status status = sw_machine_build(&truth->spec, &machine, &unused, error);
    if (status != SW_OK)
        return status;
    double *transform = malloc(machine.points * sizeof *transform);
    if (transform == NULL) {
        status = sw_fail(error, SW_MEMORY, "out of memory");
    } else {
        memcpy(transform, machine.table[0], machine.points * sizeof *transform);
        gsl_fft_real_radix2_transform(transform, 1, machine.points);
        sum_orders(truth, transform, machine.points, rms, evidence);
    }
    free(transform);
    sw_machine_free(&machine);
    return status;
}

bool oracle_hidden(const result *r) {
    return r->pole_pairs > 1 && r->evidence < LEAST_EVIDENCE;
}
