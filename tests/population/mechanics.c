/* Run-downs and loaded runs of simulated motors against what the motors are.
 *   mechanics [run-downs] [loaded motors] [first seed]
 * Pole pairs and inertia are given exactly, so that the tables show the fits alone.
 */
#include "probes/simulate/simulate.h"
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

int main(int count, char **arguments) {
    static tally sum;
    long rundowns = count > 1 ? strtol(arguments[1], NULL, 10) : 120;
    unsigned long seed = count > 3 ? strtoul(arguments[3], NULL, 10) : 1;
    for (unsigned long i = 0; (long)i < rundowns; i++) {
        rundown_of(seed + i, SW_SIM_COAST_FREE, &sum);
        if (i % 3 == 0)
            rundown_of(seed + i, SW_SIM_COAST_DRILL, &sum);
    }
    printf("%-26s %5s %9s %9s %9s %9s\n", "error", "n", "median %", "90th %", "worst %",
           "k=2 holds");
    print("drag at middle speed", &sum.middle);
    print("constant term", &sum.constant);
    print("linear term", &sum.linear);
    printf("told %zu of %zu free run-downs; drill caught in %zu of %zu\n", sum.told, sum.drawn,
           sum.caught, sum.drills);
    return 0;
}
