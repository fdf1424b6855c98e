/* Brushed motors: volts per rpm, from a measured speed and from counted turns, and the ripple. The
 * scope's zero is off by about as much as a cheap scope's, which its record does not show. */
#include "src/measure/measure.h"
#include "tests/population/mechanics.h"

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdio.h>

typedef struct tally {
    size_t drawn;
    size_t seen; /* as brushed */
    size_t ripple_told;
    size_t ripple_right;
    scores by_speed;
    scores by_turns;
    refusals refusals;
} tally;

static const double SPEED_U = 0.005; /* of a tachometer */
static const double TURNS_U = 0.15;  /* of a count */

static sw_status measure(const sw_waveform *waveform, const sw_sim_truth *truth, bool turns,
                         sw_motor *motor, sw_error *error) {
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, truth->spec.seed ^ 0xb0b5UL);
    double speed_off = gsl_ran_gaussian(random, SPEED_U);
    double turns_off = gsl_ran_gaussian(random, TURNS_U);
    gsl_rng_free(random);
    sw_measure_request request = sw_measure_default();
    double rpm = isfinite(truth->hold_speed_rpm) ? truth->hold_speed_rpm : truth->top_speed_rpm;
    if (turns)
        request.evidence.turns = truth->turns + turns_off;
    else
        request.evidence.speed = sw_quantity_of(rpm * (1 + speed_off), rpm * SPEED_U, "rpm");
    return sw_measure(waveform, truth->clipped, &request, motor, error);
}

static sw_status score(const sw_waveform *waveform, const sw_sim_truth *truth, bool turns,
                       tally *sum, sw_error *error) {
    sw_motor motor;
    sw_status status = measure(waveform, truth, turns, &motor, error);
    if (status != SW_OK)
        return status;
    sum->seen += !turns && motor.kind == SW_BRUSHED;
    if (motor.kind != SW_BRUSHED || !sw_quantity_known(motor.voltage_constant))
        return SW_OK;
    scores_add(turns ? &sum->by_turns : &sum->by_speed, motor.voltage_constant,
               truth->volts_per_rpm);
    if (!turns && motor.commutator_ripple > 0) {
        sum->ripple_told++;
        sum->ripple_right += motor.commutator_ripple == truth->ripple_per_turn;
    }
    if (scores_talk())
        printf("  %4lu %s: %.5g u %.2g of %.5g V/rpm, pull %.1f, ripple %d of %d\n",
               truth->spec.seed, turns ? "turns" : "speed", motor.voltage_constant.value,
               motor.voltage_constant.u, truth->volts_per_rpm,
               (motor.voltage_constant.value - truth->volts_per_rpm) / motor.voltage_constant.u,
               motor.commutator_ripple, truth->ripple_per_turn);
    return SW_OK;
}

/* The scope's zero: 1 % of the screen, standard deviation. */
static void offset_scope(unsigned long seed, sw_sim_front *front) {
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, seed ^ 0x2e20UL);
    front->offset = gsl_ran_gaussian(random, 0.01);
    gsl_rng_free(random);
}

static sw_status brushed_of(unsigned long seed, tally *sum, sw_error *error) {
    sw_sim_spec spec;
    sw_waveform waveform;
    sw_sim_truth truth;
    const char *family = seed % 2 == 0 ? "brushed-2" : "brushed-4";
    sw_status status = sw_sim_family(family, seed, &spec, error);
    if (status != SW_OK)
        return status;
    offset_scope(seed, &spec.front);
    status = sw_simulate(&spec, &waveform, &truth, error);
    if (status != SW_OK)
        return status;
    waveform.in_volts = true;
    sum->drawn++;
    status = score(&waveform, &truth, false, sum, error);
    if (status == SW_OK)
        status = score(&waveform, &truth, true, sum, error);
    sw_waveform_free(&waveform);
    return status;
}

int mechanics_brushed(long count, unsigned long seed) {
    static tally sum;
    for (unsigned long i = 0; (long)i < count; i++) {
        sw_error error;
        (void)refused(brushed_of(seed + i, &sum, &error), &error, seed + i, &sum.refusals);
    }
    scores_head();
    int failures = scores_print("volts per rpm by speed", &sum.by_speed);
    failures += scores_print("volts per rpm by turns", &sum.by_turns);
    printf("seen as brushed %zu of %zu; ripple told of %zu, right %zu\n", sum.seen, sum.drawn,
           sum.ripple_told, sum.ripple_right);
    refusals_print(&sum.refusals);
    return failures;
}
