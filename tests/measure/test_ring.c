/* The ring map against the flux that the simulated winding really links, and the tachometer. */
#include "tests/support.h"

#include "probes/simulate/machine.h"
#include "probes/simulate/simulate.h"
#include "src/measure/measure.h"

#include <gsl/gsl_math.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* What the terminals see, from the machine's own table: the flux over the shaft angle has an
 * extreme at each pole, the first after angle zero (where the mark is) is pole 1. */
typedef struct truth_ring {
    size_t poles;
    double strength[SW_RING_POLE_LIMIT];
    double placement_deg[SW_RING_POLE_LIMIT];
} truth_ring;

static void integrate(const double *slope, size_t points, double *flux) {
    double mean = 0;
    flux[0] = 0;
    for (size_t i = 1; i < points; i++)
        flux[i] = flux[i - 1] + 0.5 * (slope[i - 1] + slope[i]);
    for (size_t i = 0; i < points; i++)
        mean += flux[i] / (double)points;
    for (size_t i = 0; i < points; i++)
        flux[i] -= mean;
}

static void true_ring(const sw_sim_spec *spec, size_t channel, truth_ring *ring) {
    sw_error error;
    sw_sim_truth truth = {0};
    sw_sim_machine machine;
    assert_ok(sw_machine_build(spec, &machine, &truth, &error), &error);
    const double *slope = machine.table[channel];
    size_t points = machine.points;
    double *flux = malloc(points * sizeof *flux);
    assert_non_null(flux);
    integrate(slope, points, flux);
    double mean = 0;
    *ring = (truth_ring){0};
    for (size_t i = 0; i < points; i++) {
        double a = slope[i];
        double b = slope[(i + 1) % points];
        if ((a < 0) == (b < 0) || ring->poles >= SW_RING_POLE_LIMIT)
            continue;
        double turn = ((double)i + a / (a - b)) / (double)points;
        size_t h = ring->poles++;
        ring->strength[h] = fabs(flux[i]);
        ring->placement_deg[h] = 360 * spec->motor.pole_pairs * turn - 180.0 * (double)h;
        mean += ring->strength[h];
    }
    double offset = 0;
    for (size_t h = 0; h < ring->poles; h++) {
        ring->strength[h] *= (double)ring->poles / mean;
        offset += ring->placement_deg[h] / (double)ring->poles;
    }
    for (size_t h = 0; h < ring->poles; h++)
        ring->placement_deg[h] -= offset;
    free(flux);
    sw_machine_free(&machine);
}

typedef struct measured {
    sw_sim_truth truth;
    sw_motor motor;
} measured;

static void measure_simulated(sw_sim_spec *spec, measured *m) {
    sw_error error;
    sw_waveform waveform;
    sw_sim_calibration honest = {0.002, 0.03, 2e-5};
    sw_measure_request request = sw_measure_default();
    assert_ok(sw_simulate(spec, &waveform, &m->truth, &error), &error);
    request.profile = sw_sim_profile(&m->truth, &honest);
    request.tach_channel = (int)waveform.channels;
    request.tach_marks = spec->front.tach_marks;
    assert_ok(sw_measure(&waveform, m->truth.clipped, &request, &m->motor, &error), &error);
    sw_waveform_free(&waveform);
}

static sw_sim_spec spec_of(const char *family, unsigned long seed) {
    sw_sim_spec spec;
    sw_error error;
    assert_ok(sw_sim_family(family, seed, &spec, &error), &error);
    spec.front.channels = 1;
    spec.front.automatic_level = false;
    spec.front.tach_marks = 1;
    return spec;
}

/* Largest error in strength; *worst_u: in units of its own uncertainty and a floor for the method
 * (a thousandth: interpolation between 32 points a cycle, the residual low cut). */
static double largest_error(const measured *m, double *worst_u) {
    const sw_magnet_ring *ring = &m->motor.magnet_ring;
    truth_ring real;
    true_ring(&m->truth.spec, 0, &real);
    assert_int_equal(ring->poles, 2 * m->truth.spec.motor.pole_pairs);
    assert_int_equal(real.poles, (size_t)ring->poles);
    assert_true(ring->from_mark);
    double worst = 0;
    for (size_t h = 0; h < real.poles; h++) {
        double off = fabs(ring->strength[h] - real.strength[h]);
        worst = fmax(worst, off);
        *worst_u = fmax(*worst_u, off / hypot(ring->strength_u[h], 1e-3));
    }
    return worst;
}

/* Poles by their names after the mark: 2 motors of each family, their magnets, coils, drills and
 * inputs drawn. Uncertainties from as few as ten turns have the tails of Student's t with nine
 * degrees of freedom; 1,000 poles stay within 6 of them (two-sided probability 2e-4 each). */
static void test_ring_of_drawn_motors(void **state) {
    (void)state;
    static const char *const FAMILIES[] = {"fan-4",    "pump-6",  "fan-8",   "model-14",
                                           "wheel-16", "drum-24", "hub-30",  "drum-36",
                                           "hub-46",   "drum-48", "ring-80", "stepper-24"};
    double worst = 0;
    double worst_u = 0;
    for (size_t i = 0; i < sizeof FAMILIES / sizeof *FAMILIES; i++)
        for (unsigned long seed = 1; seed <= 2; seed++) {
            measured m;
            sw_sim_spec spec = spec_of(FAMILIES[i], seed);
            measure_simulated(&spec, &m);
            double this_u = 0;
            double off = largest_error(&m, &this_u);
            print_message("%s %lu: %d pairs, strength off by %.2g, %.1f u\n", FAMILIES[i], seed,
                          m.motor.pole_pairs.value, off, this_u);
            worst = fmax(worst, off);
            worst_u = fmax(worst_u, this_u);
        }
    print_message("largest error of a strength %.2g, %.1f standard uncertainties\n", worst,
                  worst_u);
    assert_true(worst_u < 6);
    assert_true(worst < 0.02);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_ring_of_drawn_motors),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
