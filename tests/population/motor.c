/* One motor of the population: simulated once, measured with each hint, and once more at an ideal
 * input where the oracle is asked. */
#include "tests/population/population.h"

#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

const char *const HINT_NAMES[HINT_COUNT] = {"about", "none", "speed"};
static const sw_sim_calibration CALIBRATION = {0.002, 0.03, 20e-6};
static const sw_sim_calibration EXACT = {0, 0, 0};

typedef struct record {
    sw_waveform waveform;
    sw_sim_truth truth;
} record;

static size_t family_index(const char *name) {
    for (size_t i = 0; sw_sim_family_name(i) != NULL; i++)
        if (strcmp(sw_sim_family_name(i), name) == 0)
            return i;
    return 0;
}

static double top_speed_rpm(const sw_sim_truth *truth) {
    return isfinite(truth->hold_speed_rpm) ? truth->hold_speed_rpm : truth->top_speed_rpm;
}

/* What the person says of the speed follows from the seed alone. */
static sw_measure_request request_for(const sw_sim_truth *truth, hint known) {
    sw_measure_request request = sw_measure_default();
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, truth->spec.seed ^ 0x5eedUL);
    double rpm = top_speed_rpm(truth);
    if (known == HINT_ABOUT)
        request.evidence.about_rpm = rpm * (1.0 + 0.36 * (gsl_rng_uniform(random) - 0.5));
    if (known == HINT_SPEED)
        request.evidence.speed = sw_quantity_of(rpm, 0.005 * rpm, "rpm");
    gsl_rng_free(random);
    return request;
}

static void judge(const sw_sim_truth *truth, const sw_motor *motor, result *r) {
    static const sw_motor_kind kinds[] = {SW_MAGNET_AC, SW_BRUSHED, SW_NO_GENERATOR};
    const sw_sim_spec *spec = &truth->spec;
    r->kind_right = motor->kind == kinds[spec->motor.kind];
    r->phases_right =
        spec->front.channels == 1 ? motor->phases == 0 : motor->phases == spec->motor.phases;
    r->found = (answer){motor->pole_pairs.value, motor->pole_pairs.probability};
    if (!r->alternating || !sw_quantity_known(motor->volts_per_hertz))
        return;
    double expected = truth->volts_per_hertz;
    r->error = motor->volts_per_hertz.value / expected - 1.0;
    r->z = (motor->volts_per_hertz.value - expected) / motor->volts_per_hertz.u;
}

static sw_status measure_real(const record *real, hint known, result *r, sw_error *error) {
    sw_motor motor;
    sw_measure_request request = request_for(&real->truth, known);
    request.profile = sw_sim_profile(&real->truth, &CALIBRATION);
    sw_status status = sw_measure(&real->waveform, real->truth.clipped, &request, &motor, error);
    if (status == SW_OK)
        judge(&real->truth, &motor, r);
    return status;
}

/* The hint is the one of the real record. */
static sw_status measure_ideal(const record *ideal, const sw_sim_truth *real, hint known, result *r,
                               sw_error *error) {
    sw_motor motor;
    sw_measure_request request = request_for(real, known);
    request.profile = sw_sim_profile(&ideal->truth, &EXACT);
    sw_status status = sw_measure(&ideal->waveform, 0, &request, &motor, error);
    if (status == SW_OK)
        r->ideal = (answer){motor.pole_pairs.value, motor.pole_pairs.probability};
    return status;
}

static void list(unsigned long seed, hint known, bool oracle, const result *r) {
    printf("%6lu %-14s %-5s pairs %3d answer %3d (%.4f)", seed, sw_sim_family_name(r->family),
           HINT_NAMES[known], r->pole_pairs, r->found.pole_pairs, r->found.probability);
    if (oracle && r->alternating)
        printf(" ideal %3d (%.4f) pattern %.4f %% turn %.4f %% evidence %.3g", r->ideal.pole_pairs,
               r->ideal.probability, 100.0 * r->pattern, 100.0 * r->turn, r->evidence);
    printf(" error %+.3f %% z %+.2f%s%s\n", 100.0 * r->error, r->z,
           r->kind_right ? "" : " WRONG KIND", r->phases_right ? "" : " WRONG PHASES");
}

static sw_status ask_oracle(const options *wanted, const sw_sim_truth *real,
                            result results[HINT_COUNT], sw_error *error) {
    record ideal = {0};
    sw_sim_spec spec = oracle_spec(&real->spec);
    double turn = NAN;
    double evidence = NAN;
    sw_status status = oracle_pattern(real, &turn, &evidence, error);
    if (status == SW_OK)
        status = sw_simulate(&spec, &ideal.waveform, &ideal.truth, error);
    for (int h = 0; h < HINT_COUNT && status == SW_OK; h++) {
        results[h].turn = turn;
        results[h].evidence = evidence;
        if (wanted->wanted[h])
            status = measure_ideal(&ideal, real, (hint)h, &results[h], error);
    }
    sw_waveform_free(&ideal.waveform);
    return status;
}

static sw_status measure_all(const options *wanted, const record *real, result results[HINT_COUNT],
                             sw_error *error) {
    const sw_sim_motor *motor = &real->truth.spec.motor;
    sw_status status = SW_OK;
    for (int h = 0; h < HINT_COUNT && status == SW_OK; h++) {
        results[h] = (result){.family = family_index(motor->family),
                              .alternating = motor->kind == SW_SIM_MAGNET_AC,
                              .pole_pairs = motor->pole_pairs,
                              .pattern = real->truth.pattern,
                              .turn = NAN,
                              .evidence = NAN,
                              .error = NAN,
                              .z = NAN};
        if (wanted->wanted[h])
            status = measure_real(real, (hint)h, &results[h], error);
    }
    if (status == SW_OK && wanted->oracle && motor->kind == SW_SIM_MAGNET_AC)
        status = ask_oracle(wanted, &real->truth, results, error);
    return status;
}

int motor_measure(const options *wanted, unsigned long seed, result results[HINT_COUNT]) {
    sw_error error = {0};
    sw_sim_spec spec;
    record real = {0};
    sw_status status = sw_sim_family(wanted->family, seed, &spec, &error);
    if (status == SW_OK)
        status = sw_simulate(&spec, &real.waveform, &real.truth, &error);
    if (status == SW_OK)
        status = measure_all(wanted, &real, results, &error);
    sw_waveform_free(&real.waveform);
    if (status != SW_OK) {
        fprintf(stderr, "seed %lu: %s\n", seed, error.message);
        return 1;
    }
    for (int h = 0; h < HINT_COUNT && wanted->list; h++)
        if (wanted->wanted[h])
            list(seed, (hint)h, wanted->oracle, &results[h]);
    return 0;
}
