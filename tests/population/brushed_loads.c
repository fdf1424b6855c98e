/* Ohms and brush drop of brushed motors from an open recording and two loaded ones, each with its
 * speed from a tachometer channel or read off one. Scope, zero and resistors are a little off. */
#include "src/measure/brushed/brushed_load.h"
#include "src/measure/measure.h"
#include "tests/population/mechanics.h"

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdio.h>

typedef struct drops {
    size_t drawn;
    size_t told;
    scores ohm;
    scores volt;
} drops;

typedef struct tally {
    drops tach; /* the speed of the very stretch */
    drops read; /* read off a tachometer, 0.5 % */
    refusals refusals;
} tally;

static const double SPEED_U = 0.005;
static const double LOAD_U = 0.01;
static const double SCALE_U = 0.015; /* of a scope */

/* What is off by chance in one motor's recordings. */
typedef struct luck {
    gsl_rng *random;
    double scale;
    bool tach;
} luck;

static sw_status record(const sw_sim_spec *motor, double load_ohm, double faster, luck *l,
                        sw_motor *found, sw_error *error) {
    sw_sim_spec spec = *motor;
    sw_waveform waveform;
    sw_sim_truth truth;
    spec.front.load_ohm = load_ohm;
    spec.spin.speed_rpm *= faster;
    spec.front.offset = gsl_ran_gaussian(l->random, 0.01);
    spec.front.tach_marks = l->tach ? 1 : 0;
    sw_status status = sw_simulate(&spec, &waveform, &truth, error);
    if (status != SW_OK)
        return status;
    for (size_t i = 0; i < waveform.frames; i++)
        waveform.channel[0].samples[i] *= l->scale;
    sw_measure_request request = sw_measure_default();
    request.profile.volts_per_unit.u = SCALE_U;
    request.tach_channel = l->tach ? 2 : 0;
    double rpm = truth.hold_speed_rpm;
    if (!l->tach)
        request.evidence.speed =
            sw_quantity_of(rpm * (1 + gsl_ran_gaussian(l->random, SPEED_U)), rpm * SPEED_U, "rpm");
    status = sw_measure(&waveform, truth.clipped, &request, found, error);
    sw_waveform_free(&waveform);
    return status;
}

static sw_status add_load(const sw_sim_spec *motor, double ohm, double faster, luck *l,
                          sw_brushed_load *load, sw_error *error) {
    sw_motor found;
    double stated = ohm * (1 + gsl_ran_gaussian(l->random, LOAD_U));
    sw_status status = record(motor, ohm, faster, l, &found, error);
    sw_quantity resistor = sw_quantity_of(stated, LOAD_U * stated, "ohm");
    return status == SW_OK ? sw_brushed_load_add(load, &found, resistor, error) : status;
}

static void score(const sw_sim_motor *truth, unsigned long seed, const sw_brushed_result *found,
                  drops *sum) {
    sum->drawn++;
    sum->told += found->brush_drop.u < SW_BRUSHED_DROP_TOLD_V;
    scores_add(&sum->ohm, found->resistance, truth->resistance_ohm);
    scores_add(&sum->volt, found->brush_drop, truth->brush_drop_v);
    if (scores_talk())
        printf("  %4lu R %.3g u %.2g of %.3g ohm, drop %.3g u %.2g of %.3g V\n", seed,
               found->resistance.value, found->resistance.u, truth->resistance_ohm,
               found->brush_drop.value, found->brush_drop.u, truth->brush_drop_v);
}

static sw_status motor_of(unsigned long seed, luck *l, drops *sum, sw_error *error) {
    sw_sim_spec spec;
    sw_motor open;
    sw_brushed_result result;
    sw_status status = sw_sim_family(seed % 2 == 0 ? "brushed-2" : "brushed-4", seed, &spec, error);
    if (status != SW_OK)
        return status;
    spec.spin.coast = SW_SIM_COAST_NO;
    spec.spin.lead_in_s = 1;
    spec.spin.seconds = spec.spin.release_s + 1;
    l->scale = 1 + gsl_ran_gaussian(l->random, SCALE_U);
    double ohm = spec.motor.resistance_ohm;
    status = record(&spec, 0, 1, l, &open, error);
    sw_brushed_load load = {
        .constant = open.voltage_constant, .scale_u = SCALE_U, .meter_ohm = sw_quantity_unknown()};
    if (status == SW_OK)
        status = add_load(&spec, 6 * ohm, 0.95, l, &load, error);
    if (status == SW_OK)
        status = add_load(&spec, 1.5 * ohm, 0.85, l, &load, error);
    if (status == SW_OK)
        status = sw_brushed_load_fit(&load, &result, error);
    if (status == SW_OK)
        score(&spec.motor, seed, &result, sum);
    return status;
}

int mechanics_brushed_loads(long count, unsigned long seed) {
    static tally sum;
    luck l = {.random = gsl_rng_alloc(gsl_rng_mt19937)};
    for (unsigned long i = 0; (long)i < count; i++) {
        sw_error error;
        gsl_rng_set(l.random, (seed + i) ^ 0xd209UL);
        l.tach = true;
        (void)refused(motor_of(seed + i, &l, &sum.tach, &error), &error, seed + i, &sum.refusals);
        l.tach = false;
        (void)refused(motor_of(seed + i, &l, &sum.read, &error), &error, seed + i, &sum.refusals);
    }
    gsl_rng_free(l.random);
    scores_head();
    int failures = scores_print("brushed: ohms, tach channel", &sum.tach.ohm);
    failures += scores_print("brush drop, tach channel", &sum.tach.volt);
    failures += scores_print("brushed: ohms, speed 0.5 %", &sum.read.ohm);
    failures += scores_print("brush drop, speed 0.5 %", &sum.read.volt);
    printf("brush drop known to 1 V or better: %zu and %zu of %zu\n", sum.tach.told, sum.read.told,
           sum.tach.drawn);
    refusals_print(&sum.refusals);
    return failures;
}
