/* Laws that operating points obey, on random machines (seed printed on failure by cmocka's
 * message; SPINWORTH_SEED chooses another). */
#include "src/match/deliver/deliver.h"

#include "tests/support.h"

#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const double pi = 3.14159265358979324;

/* The solver's own limit for a change of its figures is 3e-4 between the last two grids, its
 * balance included; two such results are compared. */
static const double twice_solver = 1e-3;

typedef struct machine {
    sw_motor motor;
    sw_wiring wiring;
    sw_deliver_load load;
    double rpm;
} machine;

static unsigned long seed_of_run(void) {
    const char *given = getenv("SPINWORTH_SEED");
    return given != NULL ? strtoul(given, NULL, 10) : 4711;
}

static gsl_rng *start(const char *test) {
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, seed_of_run());
    printf("%s: seed %lu\n", test, seed_of_run());
    return random;
}

static double between(gsl_rng *random, double low, double high) {
    return low * pow(high / low, gsl_rng_uniform(random));
}

/* A star machine on a battery, from just above cut-in to far beyond. */
static machine draw(gsl_rng *random, int phases) {
    machine m;
    memset(&m, 0, sizeof m);
    sw_motor_init(&m.motor);
    m.motor.kind = SW_MAGNET_AC;
    m.motor.phases = phases;
    m.motor.connection = phases == 3 ? SW_STAR : SW_AS_IT_COMES;
    m.motor.pole_pairs.value = 1 + (int)gsl_rng_uniform_int(random, 40);
    const double ohm = between(random, 0.1, 10.0);
    m.rpm = between(random, 50.0, 2000.0);
    const double omega = 2.0 * pi * m.motor.pole_pairs.value * m.rpm / 60.0;
    const double henry =
        gsl_rng_uniform_int(random, 4) == 0 ? 0.0 : ohm / omega * between(random, 0.02, 50.0);
    m.load.kind = SW_LOAD_BATTERY;
    m.load.battery_v = between(random, 6.0, 60.0);
    m.load.battery_ohm = gsl_rng_uniform_int(random, 2) == 0 ? 0.0 : between(random, 0.01, 0.5);
    const double line_v = (m.load.battery_v + 2.0) / sqrt(2.0) * between(random, 1.02, 3.0);
    m.motor.voltage_constant = sw_quantity_of(line_v / m.rpm, NAN, "V/rpm");
    m.motor.winding_resistance = sw_quantity_of(ohm, NAN, "ohm");
    m.motor.winding_inductance = sw_quantity_of(henry * 1e3, NAN, "mH");
    m.wiring = sw_wiring_default(&m.motor);
    return m;
}

static void fix_drop(machine *m, double drop_v) {
    m->wiring.diode = (sw_diode){"", 0.0, 1.0, 0.0, drop_v};
}

static sw_operating_point run(const machine *m) {
    sw_operating_point point;
    sw_error error;
    memset(&error, 0, sizeof error);
    assert_ok(sw_deliver(&m->motor, &m->wiring, &m->load, m->rpm, &point, &error), &error);
    return point;
}

static void near(double found, double expected) {
    assert_close(found, expected, twice_solver * fabs(expected) + 1e-9);
}

static void energy_is_kept(void **state) {
    (void)state;
    gsl_rng *random = start("energy");
    for (int i = 0; i < 120; i++) {
        machine m = draw(random, 1 + i % 3);
        m.wiring.rectifier = (sw_rectifier)(i / 3 % 4);
        if (m.motor.phases == 3 && m.wiring.rectifier == SW_RECTIFIER_CENTRE_TAP) {
            continue;
        }
        m.load.capacitor_f = 0.01;
        m.motor.drag_torque.linear = sw_quantity_of(0.001, NAN, "N m s/rad");
        m.load.cable_dc_ohm = 0.05;
        m.load.cable_ac_ohm = 0.02;
        const sw_operating_point p = run(&m);
        const double sum = p.battery_power_w + p.resistance_loss_w + p.copper_loss_w +
                           p.diode_loss_w + p.drag_loss_w;
        assert_close(p.shaft_power_w, sum, 1e-3 * p.shaft_power_w); /* promised: 0.1 % */
        assert_true(p.residual < 5e-3);
    }
    gsl_rng_free(random);
}

static void cut_in_divides_nothing_from_something(void **state) {
    (void)state;
    gsl_rng *random = start("cut-in");
    for (int i = 0; i < 60; i++) {
        machine m = draw(random, 1 + i % 3);
        double rpm = 0.0;
        assert_int_equal(sw_deliver_cut_in(&m.motor, &m.wiring, &m.load, &rpm, NULL), SW_OK);
        m.rpm = 0.9999 * rpm;
        assert_true(run(&m).dc_current_a == 0.0);
        m.rpm = 1.01 * rpm;
        assert_true(run(&m).dc_current_a > 0.0);
    }
    gsl_rng_free(random);
}

/* All volts times k: currents times k, powers times k squared (with a fixed drop). */
static void volts_scale(void **state) {
    (void)state;
    gsl_rng *random = start("volts");
    for (int i = 0; i < 30; i++) {
        machine m = draw(random, 1 + i % 3);
        fix_drop(&m, 0.5);
        const sw_operating_point before = run(&m);
        const double k = between(random, 0.3, 5.0);
        m.motor.voltage_constant.value *= k;
        m.load.battery_v *= k;
        fix_drop(&m, 0.5 * k);
        const sw_operating_point after = run(&m);
        near(after.dc_current_a, k * before.dc_current_a);
        near(after.shaft_power_w, k * k * before.shaft_power_w);
    }
    gsl_rng_free(random);
}

/* k times the speed with a k-th of volts per speed, inductance and capacitance is the same. */
static void time_scales(void **state) {
    (void)state;
    gsl_rng *random = start("time");
    for (int i = 0; i < 30; i++) {
        machine m = draw(random, 1 + i % 3);
        m.load.capacitor_f = 0.005;
        if (i % 2 == 0) {
            m.load.kind = SW_LOAD_RESISTOR;
            m.load.resistor_ohm = 8.0 * m.motor.winding_resistance.value;
        }
        const sw_operating_point before = run(&m);
        const double k = between(random, 0.1, 10.0);
        m.rpm *= k;
        m.motor.voltage_constant.value /= k;
        m.motor.winding_inductance.value /= k;
        m.load.capacitor_f /= k;
        const sw_operating_point after = run(&m);
        near(after.dc_current_a, before.dc_current_a);
        near(after.copper_loss_w, before.copper_loss_w);
        near(after.shaft_torque_nm * k, before.shaft_torque_nm);
    }
    gsl_rng_free(random);
}

/* A star put in delta is, for a sine, a star of 1/sqrt 3 the volts and a third of the ohms. */
static void delta_is_a_star_for_a_sine(void **state) {
    (void)state;
    gsl_rng *random = start("delta");
    for (int i = 0; i < 30; i++) {
        machine m = draw(random, 3);
        m.motor.voltage_constant.value *= sqrt(3.0);
        m.wiring.connection = SW_DELTA;
        const sw_operating_point delta = run(&m);
        assert_true(delta.circulating_current_rms_a == 0.0);
        m.motor.voltage_constant.value /= sqrt(3.0);
        m.motor.winding_resistance.value /= 3.0;
        m.motor.winding_inductance.value /= 3.0;
        m.wiring.connection = SW_STAR;
        const sw_operating_point star = run(&m);
        near(delta.dc_current_a, star.dc_current_a);
        near(delta.copper_loss_w, star.copper_loss_w);
        near(delta.phase_current_rms_a * sqrt(3.0), star.phase_current_rms_a);
        /* And what was measured in delta and stays there has its terminal values. */
        m.motor.connection = SW_DELTA;
        m.wiring.connection = SW_AS_IT_COMES;
        near(run(&m).dc_current_a, star.dc_current_a);
    }
    gsl_rng_free(random);
}

/* Third harmonic E3 of a phase goes round the delta: E3 / |R + 3 j w L|, of windings, and shows
 * in no line; in star it shows nowhere. */
static void third_harmonic_goes_round_the_delta(void **state) {
    (void)state;
    gsl_rng *random = start("third");
    for (int i = 0; i < 20; i++) {
        machine m = draw(random, 3);
        m.motor.voltage_constant.value *= sqrt(3.0);
        const double star_a = run(&m).dc_current_a;
        m.wiring.connection = SW_DELTA;
        const sw_operating_point without = run(&m);
        m.motor.harmonics_of_phase = true;
        m.motor.harmonics = 2;
        m.motor.harmonic[0] = (sw_harmonic){1, 1.0, 0.0};
        m.motor.harmonic[1] = (sw_harmonic){3, 0.15, 360.0 * gsl_rng_uniform(random)};
        const sw_operating_point with = run(&m);
        const double winding_v = m.motor.voltage_constant.value * m.rpm / sqrt(3.0);
        const double omega = 2.0 * pi * m.motor.pole_pairs.value * m.rpm / 60.0;
        const double expected = 0.15 * winding_v /
                                hypot(0.5 * m.motor.winding_resistance.value,
                                      3.0 * omega * 0.5e-3 * m.motor.winding_inductance.value);
        assert_close(with.circulating_current_rms_a, expected, 1e-9 * expected);
        near(with.dc_current_a, without.dc_current_a);
        near(with.copper_loss_w - with.circulating_loss_w, without.copper_loss_w);
        m.wiring.connection = SW_STAR;
        near(run(&m).dc_current_a, star_a);
        m.load.battery_v *= 1e3; /* below cut-in it still goes round */
        m.wiring.connection = SW_DELTA;
        assert_close(run(&m).copper_loss_w, with.circulating_loss_w,
                     1e-9 * with.circulating_loss_w);
    }
    gsl_rng_free(random);
}

static void current_rises_with_speed(void **state) {
    (void)state;
    gsl_rng *random = start("rise");
    for (int i = 0; i < 15; i++) {
        machine m = draw(random, 1 + i % 3);
        const double rpm = m.rpm;
        double last_a = 0.0;
        for (int k = 4; k <= 24; k++) {
            m.rpm = rpm * k / 8.0;
            const double now_a = run(&m).dc_current_a;
            assert_true(now_a >= last_a * (1.0 - twice_solver));
            last_a = now_a;
        }
    }
    gsl_rng_free(random);
}

/* n machines: the battery's resistance counts n times for each. A rewound one: k times the volts,
 * k squared the impedance. */
static void machines_and_rewinding_scale(void **state) {
    (void)state;
    gsl_rng *random = start("rescale");
    for (int i = 0; i < 20; i++) {
        machine m = draw(random, 1 + i % 3);
        m.wiring.machines = 3;
        const sw_operating_point three = run(&m);
        m.wiring.machines = 1;
        m.load.battery_ohm *= 3.0;
        const sw_operating_point one = run(&m);
        near(three.dc_current_a, 3.0 * one.dc_current_a);
        near(three.shaft_torque_nm, 3.0 * one.shaft_torque_nm);
        near(three.phase_current_rms_a, one.phase_current_rms_a);
        near(three.resistance_loss_w, 3.0 * one.resistance_loss_w);
        fix_drop(&m, 0.6);
        const sw_operating_point plain = run(&m);
        const double k = between(random, 0.3, 3.0);
        m.wiring.rewind = k;
        m.load.battery_v *= k;
        m.load.battery_ohm *= k * k;
        fix_drop(&m, 0.6 * k);
        const sw_operating_point rewound = run(&m);
        near(rewound.dc_current_a * k, plain.dc_current_a);
        near(rewound.shaft_power_w, plain.shaft_power_w);
    }
    gsl_rng_free(random);
}

/* A winding that holds its current for fifty periods: nearly the closed form without
 * resistance, I = 3/(pi X) sqrt(E^2 - (2 pi V/9)^2) (see the outside checks); what resistance
 * takes is R/X = 0.3 %, times a few. */
static void long_time_constants_do_not_crawl(void **state) {
    (void)state;
    machine m;
    gsl_rng *random = start("fifty periods");
    m = draw(random, 3);
    gsl_rng_free(random);
    m.rpm = 600.0;
    m.motor.pole_pairs.value = 10;
    m.motor.voltage_constant.value = 20.0 * sqrt(1.5) / m.rpm;
    m.motor.winding_inductance.value = 2.0;
    m.motor.winding_resistance.value = 2e-3 / (50.0 / 100.0);
    m.load.battery_v = 12.0;
    m.load.battery_ohm = 0.0;
    fix_drop(&m, 0.0);
    const double x = 2.0 * pi * 100.0 * 1e-3;
    const double expected = 3.0 / (pi * x) * sqrt(400.0 - pow(2.0 * pi * 12.0 / 9.0, 2.0));
    assert_close(run(&m).dc_current_a, expected, 0.01 * expected);
}

/* Plain circuits have plain answers. */
static void brushed_and_resistors_by_hand(void **state) {
    (void)state;
    machine m;
    memset(&m, 0, sizeof m);
    sw_motor_init(&m.motor);
    m.motor.kind = SW_BRUSHED;
    m.motor.voltage_constant = sw_quantity_of(0.05, NAN, "V/rpm");
    m.motor.winding_resistance = sw_quantity_of(1.5, NAN, "ohm");
    m.motor.brush_drop = sw_quantity_of(1.0, NAN, "V");
    m.wiring = sw_wiring_default(&m.motor);
    fix_drop(&m, 0.6);
    m.load = (sw_deliver_load){.kind = SW_LOAD_BATTERY, .battery_v = 12.0, .battery_ohm = 0.5};
    m.rpm = 400.0;
    sw_operating_point p = run(&m);
    assert_close(p.dc_current_a, (20.0 - 1.0 - 0.6 - 12.0) / 2.0, 1e-9);
    assert_close(p.shaft_power_w, 20.0 * p.dc_current_a, 1e-9);
    assert_close(p.shaft_power_w,
                 p.battery_power_w + p.resistance_loss_w + p.copper_loss_w + p.diode_loss_w, 1e-9);
    m.rpm = 200.0;
    assert_true(run(&m).dc_current_a == 0.0);
    m.wiring.rectifier = SW_RECTIFIER_NONE;
    assert_int_equal(sw_deliver(&m.motor, &m.wiring, &m.load, 200.0, &p, NULL), SW_UNSUPPORTED);

    /* Three phases, 10 V line to line at 1000 rpm and 50 Hz, 2 ohm and 10 mH line to line, 3 ohm
     * across each pair: per phase 10/sqrt3 V behind 1 + j pi/2 ohm on 1 ohm. */
    sw_motor_init(&m.motor);
    m.motor.kind = SW_MAGNET_AC;
    m.motor.phases = 3;
    m.motor.pole_pairs.value = 3;
    m.motor.voltage_constant = sw_quantity_of(0.01, NAN, "V/rpm");
    m.motor.winding_resistance = sw_quantity_of(2.0, NAN, "ohm");
    m.motor.winding_inductance = sw_quantity_of(10.0, NAN, "mH");
    m.load = (sw_deliver_load){.kind = SW_LOAD_RESISTOR, .resistor_ohm = 3.0};
    m.rpm = 1000.0;
    p = run(&m);
    const double amps = 10.0 / sqrt(3.0) / hypot(2.0, pi / 2.0);
    assert_close(p.phase_current_rms_a, amps, 1e-9);
    assert_close(p.ac_power_w, 3.0 * amps * amps, 1e-9);
    assert_close(p.shaft_power_w, 6.0 * amps * amps, 1e-9);
}

/* Every kind of circuit, far beyond what anyone builds, comes to an answer. */
static void wild_values_converge(void **state) {
    (void)state;
    gsl_rng *random = start("wild");
    int solved = 0;
    for (int i = 0; i < 200; i++) {
        machine m = draw(random, 1 + i % 3);
        m.wiring.rectifier = (sw_rectifier)(i / 3 % 4);
        m.motor.winding_inductance.value *= between(random, 0.01, 10.0);
        m.load.kind = (sw_load_kind)gsl_rng_uniform_int(random, 3);
        m.load.resistor_ohm = between(random, 0.01, 1000.0);
        m.load.capacitor_f = between(random, 1e-6, 1.0);
        m.load.battery_v *= between(random, 0.1, 1.5);
        sw_operating_point p;
        sw_error error;
        const sw_status status = sw_deliver(&m.motor, &m.wiring, &m.load, m.rpm, &p, &error);
        if (status == SW_UNSUPPORTED) {
            continue;
        }
        assert_ok(status, &error);
        assert_true(isfinite(p.dc_current_a) && isfinite(p.shaft_torque_nm));
        solved++;
    }
    assert_true(solved > 150);
    gsl_rng_free(random);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(energy_is_kept),
        cmocka_unit_test(cut_in_divides_nothing_from_something),
        cmocka_unit_test(volts_scale),
        cmocka_unit_test(time_scales),
        cmocka_unit_test(delta_is_a_star_for_a_sine),
        cmocka_unit_test(third_harmonic_goes_round_the_delta),
        cmocka_unit_test(current_rises_with_speed),
        cmocka_unit_test(machines_and_rewinding_scale),
        cmocka_unit_test(long_time_constants_do_not_crawl),
        cmocka_unit_test(brushed_and_resistors_by_hand),
        cmocka_unit_test(wild_values_converge),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
