/* Run-downs of simulated motors, every other one cut short. Pole pairs and inertia are given
 * exactly, so that the table shows the fit alone. A drill that was left on is declared free every
 * time: how often is it caught? */
#include "src/measure/bench/rundown.h"
#include "src/measure/measure.h"
#include "tests/population/mechanics.h"

#include <gsl/gsl_math.h>
#include <stdio.h>

typedef struct tally {
    size_t drawn;
    size_t told;
    size_t free_found;
    size_t wronged; /* free ones that were taken for a drill */
    size_t drills;
    size_t caught;
    size_t doubted;   /* as short as a drill's, but no line of its gears */
    size_t drag_told; /* drills whose drag was told as the motor's */
    scores middle;
    scores constant;
    scores linear;
    size_t below; /* with a term below nothing; the simulator has none */
    refusals refusals;
} tally;

static void score_drag(const sw_sim_motor *truth, const sw_drag *drag, tally *sum) {
    double w = drag->middle_speed.value * M_PI / 30;
    double expected =
        truth->drag_constant_nm + w * (truth->drag_linear + w * truth->drag_quadratic);
    sum->told++;
    scores_add(&sum->middle, drag->middle_torque, expected);
    scores_add(&sum->constant, drag->constant, truth->drag_constant_nm);
    scores_add(&sum->linear, drag->linear, truth->drag_linear);
    sum->below += drag->constant.value < 0 || drag->linear.value < 0 || drag->quadratic.value < 0;
}

static void talk(const sw_sim_spec *spec, const sw_rundown *rundown, const sw_motor *motor) {
    const sw_drag *drag = &motor->drag_torque;
    double w = drag->middle_speed.value * M_PI / 30;
    double expected = spec->motor.drag_constant_nm +
                      w * (spec->motor.drag_linear + w * spec->motor.drag_quadratic);
    printf("  %-12s %4lu %s %.2f..%.2f of %.2f..%.2f s, %zu cycles, %.1f..%.1f Hz, rms %.4f, "
           "stray %.3f, %.5g of %.5g N m, pull %.1f%s\n",
           spec->motor.family, spec->seed, spec->spin.coast == SW_SIM_COAST_FREE ? "free" : "drill",
           rundown->from_s, rundown->to_s, spec->spin.release_s, spec->spin.seconds,
           rundown->part.to - rundown->part.from, rundown->part.from_hz, rundown->part.to_hz,
           rundown->rms_cycles, rundown->stray_order, drag->middle_torque.value, expected,
           (drag->middle_torque.value - expected) / drag->middle_torque.u,
           sw_motor_warned(motor, SW_WARN_DRILL_ATTACHED) ? ", drill" : "");
}

static sw_status measure(const sw_sim_spec *spec, sw_motor *motor, sw_rundown *rundown,
                         sw_error *error) {
    static const sw_sim_calibration HONEST = {0.002, 0.03, 20e-6};
    sw_waveform waveform;
    sw_sim_truth truth;
    sw_course course = {.line_over_lead = 1};
    sw_status status = sw_simulate(spec, &waveform, &truth, error);
    if (status != SW_OK)
        return status;
    sw_measure_request request = sw_measure_default();
    request.profile = sw_sim_profile(&truth, &HONEST);
    status = sw_measure_course(&waveform, truth.clipped, &request, motor, &course, error);
    sw_waveform_free(&waveform);
    motor->pole_pairs.value = spec->motor.pole_pairs;
    motor->inertia = sw_quantity_of(spec->motor.inertia_kgm2, 0, "kg m2");
    if (status == SW_OK)
        status = sw_rundown_fit(&course.cycles, spec->motor.pole_pairs, rundown, error);
    if (status == SW_OK)
        sw_rundown_tell(rundown, SW_COAST_FREE, motor);
    sw_cycles_free(&course.cycles);
    return status;
}

static void rundown_of(unsigned long seed, sw_sim_coast coast, tally *sum) {
    sw_sim_spec spec;
    sw_motor motor;
    sw_rundown rundown;
    sw_error error;
    if (refused(sw_sim_family(NULL, seed, &spec, &error), &error, seed, &sum->refusals) ||
        spec.motor.kind != SW_SIM_MAGNET_AC)
        return;
    spec.spin.coast = coast;
    static const double SECONDS[] = {4, 0.4, 4, 0.8, 4, 1.6};
    size_t length = coast == SW_SIM_COAST_FREE ? seed % (sizeof SECONDS / sizeof *SECONDS) : 0;
    spec.spin.seconds = spec.spin.release_s + SECONDS[length];
    sum->drawn += coast == SW_SIM_COAST_FREE;
    if (refused(measure(&spec, &motor, &rundown, &error), &error, seed, &sum->refusals))
        return;
    bool found = rundown.part.to > rundown.part.from;
    bool said_drill = sw_motor_warned(&motor, SW_WARN_DRILL_ATTACHED);
    bool told = sw_quantity_known(motor.drag_torque.middle_torque);
    if (coast == SW_SIM_COAST_DRILL) {
        sum->drills += found;
        sum->caught += found && said_drill;
        sum->doubted += found && sw_motor_warned(&motor, SW_WARN_DRAG_DOUBTFUL);
        sum->drag_told += told;
    } else {
        sum->free_found += found;
        sum->wronged += found && said_drill;
        if (told)
            score_drag(&spec.motor, &motor.drag_torque, sum);
    }
    if (scores_talk())
        talk(&spec, &rundown, &motor);
}

int mechanics_rundowns(long count, unsigned long seed) {
    static tally sum;
    for (unsigned long i = 0; (long)i < count; i++) {
        rundown_of(seed + i, SW_SIM_COAST_FREE, &sum);
        if (i % 3 == 0)
            rundown_of(seed + i, SW_SIM_COAST_DRILL, &sum);
    }
    scores_head();
    int failures = scores_print("drag at middle speed", &sum.middle);
    failures += scores_print("constant term", &sum.constant);
    failures += scores_print("linear term", &sum.linear);
    printf("told %zu of %zu free run-downs, %zu with a term below nothing, %zu of %zu taken for a "
           "drill\n"
           "drill left on but called free: caught in %zu of %zu, drag told all the same in %zu, "
           "with a warning in %zu\n",
           sum.told, sum.drawn, sum.below, sum.wronged, sum.free_found, sum.caught, sum.drills,
           sum.drag_told, sum.doubted);
    refusals_print(&sum.refusals);
    return failures + (sum.below > 0);
}
