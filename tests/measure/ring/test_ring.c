/* The ring map against the flux that the simulated winding really links, and the tachometer. */
#include "tests/support.h"

#include "probes/simulate/machine.h"
#include "probes/simulate/simulate.h"
#include "src/measure/measure.h"

#include <gsl/gsl_math.h>
#include <math.h>
#include <stdio.h>
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

/* Poles by their names after the mark: a motor of each family, its magnets, coils, drills and
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
        for (unsigned long seed = 1; seed <= 1; seed++) {
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

static const sw_warning *warning_of(const sw_motor *motor, sw_warning_code code) {
    for (size_t i = 0; i < motor->warnings; i++)
        if (motor->warning[i].code == code)
            return &motor->warning[i];
    return NULL;
}

/* Half a pole's strength gone: the pole that is named is one of those that the terminals really
 * see weakest (a magnet shows at each coil, and those differ by the coils' tolerance). */
static void test_weak_magnet_is_named(void **state) {
    (void)state;
    static const char *const FAMILIES[] = {"model-14", "wheel-16", "hub-20", "hub-46"};
    int told = 0;
    for (size_t i = 0; i < sizeof FAMILIES / sizeof *FAMILIES; i++)
        for (int pole = 1; pole <= 6; pole += 5) {
            measured m;
            sw_sim_spec spec = spec_of(FAMILIES[i], 5);
            spec.motor.weak_magnet = pole;
            spec.motor.weak_strength = 0.3;
            measure_simulated(&spec, &m);
            truth_ring real;
            true_ring(&m.truth.spec, 0, &real);
            double low = 1;
            for (size_t h = 0; h < real.poles; h++)
                low = fmin(low, real.strength[h]);
            const sw_warning *warning = warning_of(&m.motor, SW_WARN_WEAK_MAGNET);
            print_message("%s pole %d: truth %.3f; %s\n", FAMILIES[i], pole, low,
                          warning != NULL ? warning->message : "no warning");
            if (low > 0.945)
                continue; /* less than 5 % and the map's own error: no word of it is right too */
            assert_non_null(warning);
            told++;
            int named = 0;
            assert_int_equal(sscanf(warning->message, "pole%*[s ]%d", &named), 1);
            assert_close(real.strength[named - 1], low, 0.01);
        }
    assert_true(told >= 2);
}

/* Nine slots and six poles: every coil group sees every third magnet at once, so that the wires
 * know nothing of one weak magnet. Nothing may be said of it. */
static void test_hidden_magnet(void **state) {
    (void)state;
    measured m;
    sw_sim_spec spec = spec_of("pump-6", 5);
    spec.motor.weak_magnet = 2;
    spec.motor.weak_strength = 0.3;
    measure_simulated(&spec, &m);
    double u = 0;
    assert_true(largest_error(&m, &u) < 0.005);
    assert_null(warning_of(&m.motor, SW_WARN_WEAK_MAGNET));
}

/* Magnets as they are drawn for good motors give no such warning. */
static void test_good_rings_are_left_alone(void **state) {
    (void)state;
    static const char *const FAMILIES[] = {"fan-8", "model-14", "drum-24", "hub-30"};
    for (size_t i = 0; i < sizeof FAMILIES / sizeof *FAMILIES; i++) {
        measured m;
        sw_sim_spec spec = spec_of(FAMILIES[i], 21);
        measure_simulated(&spec, &m);
        assert_null(warning_of(&m.motor, SW_WARN_WEAK_MAGNET));
    }
}

/* Fewer than three turns give no map, and say so. */
static void test_too_short(void **state) {
    (void)state;
    measured m;
    sw_sim_spec spec = spec_of("hub-46", 4);
    sw_sim_idealise(&spec);
    spec.front.tach_marks = 1;
    spec.spin.speed_rpm = 60;
    spec.spin.seconds = 2.5;
    measure_simulated(&spec, &m);
    assert_int_equal(m.motor.magnet_ring.poles, 0);
    cJSON *root = sw_motor_to_json(&m.motor);
    const cJSON *unknown = cJSON_GetObjectItemCaseSensitive(root, "unknown");
    assert_non_null(cJSON_GetObjectItemCaseSensitive(unknown, "magnet_ring"));
    cJSON_Delete(root);
}

/* Written and read back, number by number. */
static void test_document(void **state) {
    (void)state;
    measured m;
    sw_error error;
    sw_motor again;
    sw_sim_spec spec = spec_of("fan-8", 9);
    measure_simulated(&spec, &m);
    cJSON *made = sw_motor_to_json(&m.motor);
    char *text = cJSON_Print(made);
    cJSON *root = cJSON_Parse(text);
    cJSON_free(text);
    cJSON_Delete(made);
    assert_ok(sw_motor_parse(root, "motor.json", *state, &again, &error), &error);
    const sw_magnet_ring *ring = &m.motor.magnet_ring;
    assert_int_equal(again.magnet_ring.poles, ring->poles);
    assert_int_equal(again.magnet_ring.repeats, ring->repeats);
    assert_true(again.magnet_ring.from_mark == ring->from_mark);
    for (int h = 0; h < ring->poles; h++) {
        assert_close(again.magnet_ring.strength[h], ring->strength[h], 0);
        assert_close(again.magnet_ring.placement_deg[h], ring->placement_deg[h], 0);
    }
    cJSON *object = cJSON_GetObjectItemCaseSensitive(root, "magnet_ring");
    cJSON_DeleteItemFromArray(cJSON_GetObjectItemCaseSensitive(object, "placement"), 0);
    assert_int_equal(sw_motor_parse(root, "motor.json", *state, &again, &error), SW_VALUE);
    assert_non_null(strstr(error.message, "placement"));
    cJSON_Delete(root);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_ring_of_drawn_motors),
        cmocka_unit_test(test_weak_magnet_is_named),
        cmocka_unit_test(test_hidden_magnet),
        cmocka_unit_test(test_good_rings_are_left_alone),
        cmocka_unit_test(test_too_short),
        cmocka_unit_test(test_document),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
