/* Run-downs and loaded runs of simulated motors against what the motors are.
 *   mechanics [run-downs] [motors under load] [first seed]
 * Pole pairs and inertia are given exactly, so that the tables show the fits alone.
 */
#include "probes/simulate/simulate.h"
#include "src/measure/loaded.h"
#include "src/measure/measure.h"
#include "src/measure/rundown.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

enum { MOST = 4000 };

typedef struct scores {
    size_t count;
    double error[MOST]; /* relative */
    double pull[MOST];  /* error over stated u */
} scores;

static void add(scores *s, sw_quantity found, double truth) {
    if (s->count >= MOST)
        return;
    s->error[s->count] = fabs(found.value / truth - 1);
    s->pull[s->count++] = fabs(found.value - truth) / found.u;
}

static void print(const char *name, scores *s) {
    size_t within = 0;
    for (size_t i = 0; i < s->count; i++)
        within += s->pull[i] <= 2;
    if (s->count == 0)
        return;
    gsl_sort(s->error, 1, s->count);
    printf("%-26s %5zu %9.2f %9.2f %9.2f %9.1f\n", name, s->count,
           100 * gsl_stats_median_from_sorted_data(s->error, 1, s->count),
           100 * gsl_stats_quantile_from_sorted_data(s->error, 1, s->count, 0.9),
           100 * s->error[s->count - 1], 100.0 * (double)within / (double)s->count);
}

static void check(sw_status status, const sw_error *error) {
    if (status == SW_OK)
        return;
    fprintf(stderr, "%s\n", error->message);
    exit(1);
}

static void course_of(const sw_sim_spec *spec, sw_sim_truth *truth, sw_motor *motor,
                      sw_course *course) {
    static const sw_sim_calibration HONEST = {0.002, 0.03, 20e-6};
    sw_waveform waveform;
    sw_error error;
    check(sw_simulate(spec, &waveform, truth, &error), &error);
    sw_measure_request request = sw_measure_default();
    request.profile = sw_sim_profile(truth, &HONEST);
    check(sw_measure_course(&waveform, truth->clipped, &request, motor, course, &error), &error);
    sw_waveform_free(&waveform);
}

typedef struct tally {
    size_t drawn;
    size_t told;
    size_t drills;
    size_t caught;
    scores middle;
    scores constant;
    scores linear;
} tally;

static void score_drag(const sw_sim_motor *truth, const sw_drag *drag, tally *sum) {
    double w = drag->middle_speed.value * M_PI / 30;
    double expected =
        truth->drag_constant_nm + w * (truth->drag_linear + w * truth->drag_quadratic);
    sum->told++;
    add(&sum->middle, drag->middle_torque, expected);
    add(&sum->constant, drag->constant, truth->drag_constant_nm);
    add(&sum->linear, drag->linear, truth->drag_linear);
}

static void talk(const sw_sim_spec *spec, const sw_rundown *rundown, const sw_drag *drag) {
    double w = drag->middle_speed.value * M_PI / 30;
    double expected = spec->motor.drag_constant_nm +
                      w * (spec->motor.drag_linear + w * spec->motor.drag_quadratic);
    printf("  %-12s %4lu %s %.2f..%.2f of %.2f..%.2f s, %zu cycles, %.1f..%.1f Hz, rms %.4f, "
           "stray %.3f, %.5g of %.5g N m, pull %.1f\n",
           spec->motor.family, spec->seed, spec->spin.coast == SW_SIM_COAST_FREE ? "free" : "drill",
           rundown->from_s, rundown->to_s, spec->spin.release_s, spec->spin.seconds,
           rundown->part.to - rundown->part.from, rundown->part.from_hz, rundown->part.to_hz,
           rundown->rms_cycles, rundown->stray_order, drag->middle_torque.value, expected,
           (drag->middle_torque.value - expected) / drag->middle_torque.u);
}

static void rundown_of(unsigned long seed, sw_sim_coast coast, tally *sum) {
    sw_sim_spec spec;
    sw_sim_truth truth;
    sw_motor motor;
    sw_course course;
    sw_rundown rundown;
    sw_error error;
    check(sw_sim_family(NULL, seed, &spec, &error), &error);
    if (spec.motor.kind != SW_SIM_MAGNET_AC)
        return;
    spec.spin.coast = coast;
    spec.spin.seconds = spec.spin.release_s + 4;
    course_of(&spec, &truth, &motor, &course);
    motor.pole_pairs.value = spec.motor.pole_pairs;
    motor.inertia = sw_quantity_of(spec.motor.inertia_kgm2, 0, "kg m2");
    check(sw_rundown_fit(&course.cycles, spec.motor.pole_pairs, &rundown, &error), &error);
    sw_rundown_tell(&rundown, SW_COAST_FREE, &motor);
    bool found = rundown.part.to > rundown.part.from;
    sum->drawn += coast == SW_SIM_COAST_FREE;
    sum->drills += found && coast == SW_SIM_COAST_DRILL;
    sum->caught += rundown.stray_order > 0 && coast == SW_SIM_COAST_DRILL;
    if (coast == SW_SIM_COAST_FREE && sw_quantity_known(motor.drag_torque.middle_torque))
        score_drag(&spec.motor, &motor.drag_torque, sum);
    if (getenv("TALK") != NULL)
        talk(&spec, &rundown, &motor.drag_torque);
    sw_cycles_free(&course.cycles);
}

/* ---- loaded runs ---- */

typedef struct windings {
    size_t drawn;
    size_t told; /* inductance */
    scores ohm;
    scores henry;
} windings;

/* The same motor, spun a little differently each time, open or with a resistor. */
static void run_of(const sw_sim_spec *motor, const sw_profile *profile, double load_ohm,
                   double faster, sw_loaded *loaded) {
    sw_sim_spec spec = *motor;
    sw_waveform waveform;
    sw_sim_truth truth;
    sw_motor record;
    sw_course course;
    sw_error error;
    spec.front.load_ohm = load_ohm;
    spec.spin.speed_rpm *= faster;
    spec.spin.ramp_rpm_per_s /= faster;
    sw_measure_request request = sw_measure_default();
    request.profile = *profile;
    check(sw_simulate(&spec, &waveform, &truth, &error), &error);
    check(sw_measure_course(&waveform, truth.clipped, &request, &record, &course, &error), &error);
    sw_quantity load = load_ohm > 0 ? sw_quantity_of(load_ohm, 0, "ohm") : sw_quantity_unknown();
    check(sw_loaded_add(loaded, &course, load, &error), &error);
    sw_cycles_free(&course.cycles);
    sw_waveform_free(&waveform);
}

static void score_winding(const sw_sim_motor *truth, const sw_loaded_result *found, windings *sum) {
    sum->drawn++;
    add(&sum->ohm, found->resistance, truth->resistance_ohm);
    if (!sw_quantity_known(found->inductance))
        return;
    sum->told++;
    add(&sum->henry, found->inductance, 1000 * truth->inductance_h);
}

static void fit_winding(const sw_sim_motor *truth, unsigned long seed, const sw_loaded *loaded,
                        windings *sum) {
    sw_loaded_result result;
    sw_error error;
    check(sw_loaded_fit(loaded, &result, &error), &error);
    score_winding(truth, &result, sum);
    if (getenv("TALK") != NULL)
        printf("  %-12s %4lu %zu runs: R %.4g u %.2g of %.4g, L %.4g u %.2g of %.4g mH, r %.2f, "
               "misfit %.2f, saturation %.3f\n",
               truth->family, seed, loaded->runs, result.resistance.value, result.resistance.u,
               truth->resistance_ohm, result.inductance.value, result.inductance.u,
               1000 * truth->inductance_h, result.correlation, result.misfit, result.saturation);
}

static void winding_of(unsigned long seed, windings *one_load, windings *two_loads) {
    static const sw_sim_calibration HONEST = {0.002, 0.03, 20e-6};
    sw_sim_spec spec;
    sw_sim_truth truth;
    sw_waveform waveform;
    sw_error error;
    check(sw_sim_family(NULL, seed, &spec, &error), &error);
    if (spec.motor.kind != SW_SIM_MAGNET_AC)
        return;
    spec.front.channels = 1;
    spec.front.between = SW_SIM_BETWEEN_AUTOMATIC;
    spec.spin.coast = SW_SIM_COAST_NO;
    spec.spin.seconds = fmin(spec.spin.seconds, spec.spin.release_s);
    spec.front.level *= 0.9;
    check(sw_simulate(&spec, &waveform, &truth, &error), &error);
    sw_waveform_free(&waveform);
    spec.front.volts_per_unit = truth.spec.front.volts_per_unit;
    sw_profile profile = sw_sim_profile(&truth, &HONEST);
    sw_loaded loaded = {.low_cut_u_hz = profile.low_cut_hz.u};
    double load_ohm = spec.motor.resistance_ohm * (1.5 + (double)(seed % 7));
    run_of(&spec, &profile, 0, 1, &loaded);
    run_of(&spec, &profile, load_ohm, 1.04, &loaded);
    fit_winding(&spec.motor, seed, &loaded, one_load);
    run_of(&spec, &profile, 3 * load_ohm, 0.93, &loaded);
    fit_winding(&spec.motor, seed, &loaded, two_loads);
}

static void print_head(void) {
    printf("%-26s %5s %9s %9s %9s %9s\n", "error", "n", "median %", "90th %", "worst %",
           "k=2 holds");
}

static void rundowns(long count, unsigned long seed) {
    static tally sum;
    for (unsigned long i = 0; (long)i < count; i++) {
        rundown_of(seed + i, SW_SIM_COAST_FREE, &sum);
        if (i % 3 == 0)
            rundown_of(seed + i, SW_SIM_COAST_DRILL, &sum);
    }
    print_head();
    print("drag at middle speed", &sum.middle);
    print("constant term", &sum.constant);
    print("linear term", &sum.linear);
    printf("told %zu of %zu free run-downs; drill caught in %zu of %zu\n", sum.told, sum.drawn,
           sum.caught, sum.drills);
}

static void loads(long count, unsigned long seed) {
    static windings one_load;
    static windings two_loads;
    for (unsigned long i = 0; (long)i < count; i++)
        winding_of(seed + i, &one_load, &two_loads);
    print_head();
    print("resistance, one load", &one_load.ohm);
    print("inductance, one load", &one_load.henry);
    print("resistance, two loads", &two_loads.ohm);
    print("inductance, two loads", &two_loads.henry);
    printf("inductance told of %zu and %zu out of %zu\n", one_load.told, two_loads.told,
           one_load.drawn);
}

int main(int count, char **arguments) {
    unsigned long seed = count > 3 ? strtoul(arguments[3], NULL, 10) : 1;
    long run_downs = count > 1 ? strtol(arguments[1], NULL, 10) : 150;
    long loaded = count > 2 ? strtol(arguments[2], NULL, 10) : 120;
    if (run_downs > 0)
        rundowns(run_downs, seed);
    if (loaded > 0)
        loads(loaded, seed);
    return 0;
}
