#include "tests/support.h"

#include "tests/measure/support_coast.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdlib.h>

enum { MOST = 20000 };

double coast_speed(const coast_model *model, double time_s) {
    double rest = model->constant / model->linear;
    return (model->from_rad_s + rest) * exp(-model->linear * time_s / model->inertia) - rest;
}

/* Its integral from 0. */
static double coast_angle(const coast_model *model, double time_s) {
    double rest = model->constant / model->linear;
    double rate = model->linear / model->inertia;
    return (model->from_rad_s + rest) * -expm1(-rate * time_s) / rate - rest * time_s;
}

/* Held: w0 (1 + 0.01 sin 4 t), up to t = 0, where both angle and speed go over. */
static double angle_at(const coast_model *model, double time_s) {
    if (time_s >= 0)
        return coast_angle(model, time_s);
    return model->from_rad_s * (time_s + 0.01 / 4 * (1 - cos(4 * time_s)));
}

static double speed_at(const coast_model *model, double time_s) {
    return time_s >= 0 ? coast_speed(model, time_s)
                       : model->from_rad_s * (1 + 0.01 * sin(4 * time_s));
}

static double time_of(const coast_model *model, double angle, double near_s) {
    double at = near_s;
    for (int i = 0; i < 60; i++)
        at -= (angle_at(model, at) - angle) / speed_at(model, at);
    return at;
}

void coast_cycles(const coast_model *model, sw_cycles *cycles) {
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    double *crossing = calloc(MOST, sizeof *crossing);
    assert_non_null(random);
    assert_non_null(crossing);
    gsl_rng_set(random, model->seed);
    double at = -model->held_s;
    double first = angle_at(model, at);
    size_t count = 0;
    while (count < MOST && speed_at(model, at) > model->to_rad_s) {
        double period_s = 2 * M_PI / model->pole_pairs / speed_at(model, at);
        bool off = gsl_rng_uniform(random) < model->outliers;
        double error = gsl_ran_gaussian(random, model->jitter) + (off ? 0.2 : 0);
        crossing[count++] = at + model->held_s + error * period_s;
        at = time_of(model, first + 2 * M_PI * (double)count / model->pole_pairs, at + period_s);
    }
    cycles->count = count - 1;
    cycles->cycle = calloc(count, sizeof *cycles->cycle);
    assert_non_null(cycles->cycle);
    for (size_t i = 0; i + 1 < count; i++) {
        sw_cycle *cycle = &cycles->cycle[i];
        *cycle = (sw_cycle){.start_s = crossing[i],
                            .length_s = crossing[i + 1] - crossing[i],
                            .flux = 1,
                            .flux_u = 1e-4,
                            .length_u_s = 1e-6,
                            .shape_u = 1e-4};
        for (int k = 0; k < SW_CYCLE_POINTS; k++)
            cycle->shape[k] = sin(2 * M_PI * k / SW_CYCLE_POINTS);
    }
    free(crossing);
    gsl_rng_free(random);
}
