/* Short and long run-downs of rotors that are out of balance, stepped through by themselves: no
 * term below nothing, and the printed +- holds. */
#include "tests/support.h"

#include "src/measure/bench/rundown.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdlib.h>

enum { MOTORS = 240, MOST = 4000 };

static const unsigned long SEED = 20;

typedef struct rotor {
    int pole_pairs;
    double inertia;
    double term[SW_DRAG_TERMS];
    double unbalance; /* N m */
    double speed;     /* rad/s */
    double seconds;   /* of the run-down that were recorded */
    double jitter;    /* cycles */
} rotor;

/* Of a drum or a hub, as a person may let go of it: a quarter of a second to four. */
static rotor draw(gsl_rng *random) {
    rotor r = {.pole_pairs = 4 + (int)gsl_rng_uniform_int(random, 25),
               .inertia = 0.01 * exp(gsl_ran_flat(random, 0, 1.5)),
               .speed = gsl_ran_flat(random, 15, 60),
               .seconds = 0.25 * exp(gsl_ran_flat(random, 0, log(16))),
               .jitter = 1e-4 * exp(gsl_ran_flat(random, 0, 1.5))};
    r.term[0] = gsl_ran_flat(random, 0.1, 0.8);
    r.term[1] = gsl_ran_flat(random, 0, 0.006);
    r.term[2] = gsl_rng_uniform(random) < 0.3 ? gsl_ran_flat(random, 0, 2e-4) : 0;
    r.unbalance = 0.03 * r.term[0] * gsl_rng_uniform(random);
    return r;
}

/* Crossings of a second of holding and of the run-down after it; returns how many. */
static size_t spin(const rotor *r, gsl_rng *random, double *crossing) {
    const double step_s = 2e-5;
    double angle = gsl_ran_flat(random, 0, 2 * M_PI);
    double w = r->speed;
    double pitch = 2 * M_PI / r->pole_pairs;
    double next = angle + pitch;
    size_t count = 0;
    for (double t = 0; t < 1 + r->seconds && w > 4 && count < MOST; t += step_s) {
        double torque = r->term[0] + w * (r->term[1] + w * r->term[2]) + r->unbalance * sin(angle);
        double later = t > 1 ? w - torque / r->inertia * step_s : w;
        double on = (w + later) / 2 * step_s;
        if (angle + on >= next) {
            double error = gsl_ran_gaussian(random, r->jitter) * pitch / w;
            crossing[count++] = t + (next - angle) / on * step_s + error;
            next += pitch;
        }
        angle += on;
        w = later;
    }
    return count;
}

static bool fitted(const rotor *r, gsl_rng *random, sw_rundown *rundown) {
    double *crossing = calloc(MOST, sizeof *crossing);
    assert_non_null(crossing);
    size_t count = spin(r, random, crossing);
    sw_cycles cycles = {.count = count - 1};
    sw_error error;
    cycles.cycle = calloc(count, sizeof *cycles.cycle);
    assert_non_null(cycles.cycle);
    for (size_t i = 0; i + 1 < count; i++) {
        sw_cycle *cycle = &cycles.cycle[i];
        *cycle = (sw_cycle){.start_s = crossing[i],
                            .length_s = crossing[i + 1] - crossing[i],
                            .flux = 1,
                            .flux_u = 1e-4,
                            .length_u_s = 1e-6,
                            .shape_u = 1e-4};
        for (int k = 0; k < SW_CYCLE_POINTS; k++)
            cycle->shape[k] = sin(2 * M_PI * k / SW_CYCLE_POINTS);
    }
    assert_ok(sw_rundown_fit(&cycles, r->pole_pairs, rundown, &error), &error);
    sw_cycles_free(&cycles);
    free(crossing);
    return rundown->part.to > rundown->part.from;
}

static void told(const rotor *r, const sw_rundown *rundown, sw_motor *motor) {
    sw_motor_init(motor);
    motor->pole_pairs.value = r->pole_pairs;
    motor->inertia = sw_quantity_of(r->inertia, 0, "kg m2");
    sw_rundown_tell(rundown, SW_COAST_FREE, motor);
}

static bool holds(sw_quantity found, double truth) {
    return fabs(found.value - truth) <= 2 * found.u;
}

/* The truth lies within +- (k = 2) for 95.4 %; five standard deviations of the binomial below that
 * are 6.8 % of 240 and more of fewer. */
static void the_terms_are_physical_and_their_uncertainty_true(void **state) {
    (void)state;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, SEED);
    size_t held[SW_DRAG_TERMS + 1] = {0};
    size_t count = 0;
    size_t short_ones = 0;
    for (int i = 0; i < MOTORS; i++) {
        rotor r = draw(random);
        sw_rundown rundown;
        sw_motor motor;
        if (!fitted(&r, random, &rundown))
            continue;
        told(&r, &rundown, &motor);
        const sw_drag *drag = &motor.drag_torque;
        if (!sw_quantity_known(drag->constant))
            continue;
        count++;
        short_ones += rundown.turns < 3;
        if (drag->constant.value < 0 || drag->linear.value < 0 || drag->quadratic.value < 0)
            fail_msg("seed %lu, motor %d, %.2g turns: %g, %g, %g", SEED, i, rundown.turns,
                     drag->constant.value, drag->linear.value, drag->quadratic.value);
        double w = drag->middle_speed.value * M_PI / 30;
        held[0] += holds(drag->constant, r.term[0]);
        held[1] += holds(drag->linear, r.term[1]);
        held[2] += holds(drag->quadratic, r.term[2]);
        held[3] += holds(drag->middle_torque, r.term[0] + w * (r.term[1] + w * r.term[2]));
    }
    gsl_rng_free(random);
    print_message("seed %lu: %zu told, %zu of less than 3 turns; held %zu %zu %zu, middle %zu\n",
                  SEED, count, short_ones, held[0], held[1], held[2], held[3]);
    assert_true(count > 120 && short_ones > 40);
    double least = (double)count * 0.954 - 5 * sqrt((double)count * 0.954 * 0.046);
    for (size_t k = 0; k <= SW_DRAG_TERMS; k++)
        assert_true((double)held[k] >= least);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_terms_are_physical_and_their_uncertainty_true),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
