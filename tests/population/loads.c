/* Resistance and inductance from loaded runs of simulated motors, with one and with two resistors,
 * pole pairs known. */
#include "src/measure/bench/loaded.h"
#include "src/measure/measure.h"
#include "tests/population/mechanics.h"

#include <math.h>
#include <stdio.h>

typedef struct windings {
    size_t drawn;
    size_t told; /* inductance */
    scores ohm;
    scores henry;
} windings;

typedef struct tally {
    windings one;
    windings two;
    refusals refusals;
} tally;

/* The same motor, spun a little differently each time, open or with a resistor. */
static sw_status run_of(const sw_sim_spec *motor, const sw_profile *profile, double load_ohm,
                        double faster, sw_loaded *loaded, sw_error *error) {
    sw_sim_spec spec = *motor;
    sw_waveform waveform;
    sw_sim_truth truth;
    sw_motor record;
    sw_course course = {.line_over_lead = 1};
    spec.front.load_ohm = load_ohm;
    spec.spin.speed_rpm *= faster;
    spec.spin.ramp_rpm_per_s /= faster;
    sw_measure_request request = sw_measure_default();
    request.profile = *profile;
    sw_status status = sw_simulate(&spec, &waveform, &truth, error);
    if (status != SW_OK)
        return status;
    status = sw_measure_course(&waveform, truth.clipped, &request, &record, &course, error);
    sw_quantity load = load_ohm > 0 ? sw_quantity_of(load_ohm, 0, "ohm") : sw_quantity_unknown();
    if (status == SW_OK)
        status = sw_loaded_add(loaded, &course, load, error);
    sw_cycles_free(&course.cycles);
    sw_waveform_free(&waveform);
    return status;
}

static sw_status fit_winding(const sw_sim_motor *truth, unsigned long seed, const sw_loaded *loaded,
                             windings *sum, sw_error *error) {
    sw_loaded_result found;
    sw_status status = sw_loaded_fit(loaded, &found, error);
    if (status != SW_OK)
        return status;
    sum->drawn++;
    scores_add(&sum->ohm, found.resistance, truth->resistance_ohm);
    if (sw_quantity_known(found.inductance)) {
        sum->told++;
        scores_add(&sum->henry, found.inductance, 1000 * truth->inductance_h);
    }
    if (scores_talk())
        printf("  %-12s %4lu %zu runs: R %.4g u %.2g of %.4g, L %.4g u %.2g of %.4g mH, r %.2f, "
               "misfit %.2f, saturation %.3f\n",
               truth->family, seed, loaded->runs, found.resistance.value, found.resistance.u,
               truth->resistance_ohm, found.inductance.value, found.inductance.u,
               1000 * truth->inductance_h, found.correlation, found.misfit, found.saturation);
    return SW_OK;
}

/* A motor of the pile at a steady pace, with the probe's scale as its open volts need it. */
static sw_status draw(unsigned long seed, sw_sim_spec *spec, sw_profile *profile, sw_error *error) {
    static const sw_sim_calibration HONEST = {0.002, 0.03, 20e-6};
    sw_sim_truth truth;
    sw_waveform waveform;
    sw_status status = sw_sim_family(NULL, seed, spec, error);
    if (status != SW_OK || spec->motor.kind != SW_SIM_MAGNET_AC)
        return status;
    spec->front.channels = 1;
    spec->front.between = SW_SIM_BETWEEN_AUTOMATIC;
    spec->spin.coast = SW_SIM_COAST_NO;
    spec->spin.seconds = fmin(spec->spin.seconds, spec->spin.release_s);
    spec->front.level *= 0.9;
    status = sw_simulate(spec, &waveform, &truth, error);
    if (status != SW_OK)
        return status;
    sw_waveform_free(&waveform);
    spec->front.volts_per_unit = truth.spec.front.volts_per_unit;
    *profile = sw_sim_profile(&truth, &HONEST);
    return SW_OK;
}

static sw_status winding_of(unsigned long seed, tally *sum, sw_error *error) {
    sw_sim_spec spec;
    sw_profile profile;
    sw_status status = draw(seed, &spec, &profile, error);
    if (status != SW_OK || spec.motor.kind != SW_SIM_MAGNET_AC)
        return status;
    sw_loaded loaded = {.low_cut_u_hz = profile.low_cut_hz.u};
    double load_ohm = spec.motor.resistance_ohm * (1.5 + (double)(seed % 7));
    status = run_of(&spec, &profile, 0, 1, &loaded, error);
    if (status == SW_OK)
        status = run_of(&spec, &profile, load_ohm, 1.04, &loaded, error);
    if (status == SW_OK)
        status = fit_winding(&spec.motor, seed, &loaded, &sum->one, error);
    if (status == SW_OK)
        status = run_of(&spec, &profile, 3 * load_ohm, 0.93, &loaded, error);
    return status == SW_OK ? fit_winding(&spec.motor, seed, &loaded, &sum->two, error) : status;
}

int mechanics_loads(long count, unsigned long seed) {
    static tally sum;
    for (unsigned long i = 0; (long)i < count; i++) {
        sw_error error;
        (void)refused(winding_of(seed + i, &sum, &error), &error, seed + i, &sum.refusals);
    }
    scores_head();
    int failures = scores_print("resistance, one load", &sum.one.ohm);
    failures += scores_print("inductance, one load", &sum.one.henry);
    failures += scores_print("resistance, two loads", &sum.two.ohm);
    failures += scores_print("inductance, two loads", &sum.two.henry);
    printf("inductance told of %zu and %zu out of %zu\n", sum.one.told, sum.two.told,
           sum.one.drawn);
    refusals_print(&sum.refusals);
    return failures;
}
