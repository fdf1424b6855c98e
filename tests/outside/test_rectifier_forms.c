/* Rectifiers against closed forms and textbook examples. Ideal diodes unless said. */
#include "src/match/deliver/deliver.h"
#include "src/match/electric/option.h"

#include "tests/support.h"

#include <math.h>
#include <string.h>

static const double pi = 3.14159265358979324;

/* A machine whose peak (one phase: of the winding; three: of a star phase) is peak_v at hertz. */
typedef struct bench {
    sw_motor motor;
    sw_wiring wiring;
    sw_deliver_load load;
    double rpm;
} bench;

static bench bench_of(int phases, double peak_v, double hertz, double ohm, double henry) {
    bench b;
    memset(&b, 0, sizeof b);
    sw_motor_init(&b.motor);
    b.motor.kind = SW_MAGNET_AC;
    b.motor.phases = phases;
    b.motor.connection = phases == 3 ? SW_STAR : SW_AS_IT_COMES;
    b.motor.pole_pairs.value = 10;
    b.rpm = 6.0 * hertz;
    const double line = phases == 3 ? sqrt(1.5) : sqrt(0.5);
    const double twice = phases == 3 ? 2.0 : 1.0;
    b.motor.voltage_constant = sw_quantity_of(peak_v * line / b.rpm, NAN, "V/rpm");
    b.motor.winding_resistance = sw_quantity_of(twice * ohm, NAN, "ohm");
    b.motor.winding_inductance = sw_quantity_of(twice * henry * 1e3, NAN, "mH");
    b.wiring = sw_wiring_default(&b.motor);
    b.wiring.diode = (sw_diode){"", 0.0, 1.0, 0.0, 0.0};
    return b;
}

static bench with_battery(bench b, double volts, double ohm) {
    b.load.kind = SW_LOAD_BATTERY;
    b.load.battery_v = volts;
    b.load.battery_ohm = ohm;
    return b;
}

static sw_operating_point run(const bench *b) {
    sw_operating_point point;
    sw_error error;
    memset(&error, 0, sizeof error);
    assert_ok(sw_deliver(&b->motor, &b->wiring, &b->load, b->rpm, &point, &error), &error);
    return point;
}

/* The solver stops when halving its steps moves no figure by more than 3e-4. */
static const double grid = 5e-4;

/* Battery charger with resistance only: I = 2/(pi R) (E cos a - V (pi/2 - a)), sin a = V/E, from
 * the integral of (E sin x - V)/R. 20 V peak, 0.5 ohm, 12 V: 6.20381 A; with two diodes of 0.9 V:
 * 4.21155 A, rms 6.4483 A. */
static void resistive_charger(void **state) {
    (void)state;
    bench b = with_battery(bench_of(1, 20.0, 50.0, 0.5, 0.0), 12.0, 0.0);
    sw_operating_point p = run(&b);
    assert_close(p.dc_current_a, 6.20381, grid * 6.2);
    assert_close(p.phase_current_rms_a, 8.88337, grid * 8.9);
    b.wiring.diode.drop_v = 0.9;
    p = run(&b);
    assert_close(p.dc_current_a, 4.21155, grid * 4.2);
    assert_close(p.phase_current_rms_a, 6.4483, grid * 6.4);
    const double a = asin(13.8 / 20.0);
    assert_close(p.dc_current_a, 2.0 / (pi * 0.5) * (20.0 * cos(a) - 13.8 * (pi / 2.0 - a)),
                 grid * 4.2);
}

/* The same with 5 mH as well: an event-driven simulation written apart from this program gives
 * 1.4088 A mean, 1.9066 A rms, 3.34 A peak. */
static void inductive_charger(void **state) {
    (void)state;
    bench b = with_battery(bench_of(1, 20.0, 50.0, 0.5, 0.005), 12.0, 0.0);
    b.wiring.diode.drop_v = 0.9;
    const sw_operating_point p = run(&b);
    assert_close(p.dc_current_a, 1.4088, 1.5 * grid * 1.4);
    assert_close(p.phase_current_rms_a, 1.9066, 1.5 * grid * 1.9);
    assert_close(p.phase_current_peak_a, 3.34, 0.01); /* three digits given, 2.5 degree steps */
    assert_int_equal(p.conduction, SW_CONDUCTION_PULSED);
}

/* Inductance only: current starts at sin a = V/E and ends where the areas are equal,
 * E (cos a - cos t) = V (t - a): 36.87 and 201.879 degrees, mean 3.19515 A, rms 3.9088 A. */
static void charger_with_inductance_only(void **state) {
    (void)state;
    const bench b = with_battery(bench_of(1, 20.0, 50.0, 0.0, 0.005), 12.0, 0.0);
    const sw_operating_point p = run(&b);
    assert_close(p.dc_current_a, 3.19515, grid * 3.2);
    assert_close(p.phase_current_rms_a, 3.9088, grid * 3.9);
}

/* M. H. Rashid, Power Electronics, 3rd ed., Example 3.2: half-wave charger of 12 V, 84.853 V peak,
 * 5 A mean, R = 4.256 ohm: rms 8.2123 A, 287.03 W in the resistor, 60 W into the battery, diode
 * sees 96.853 V (the book rounds R to 4.26). */
static void half_wave_charger(void **state) {
    (void)state;
    bench b = with_battery(bench_of(1, 84.853, 60.0, 4.256, 0.0), 12.0, 0.0);
    b.wiring.rectifier = SW_RECTIFIER_HALF_WAVE;
    const sw_operating_point p = run(&b);
    assert_close(p.dc_current_a, 5.0, grid * 5.0);
    assert_close(p.phase_current_rms_a, 8.2123, grid * 8.2);
    assert_close(p.copper_loss_w, 287.03, 2.0 * grid * 287.0);
    assert_close(p.battery_power_w, 60.0, grid * 60.0);
    assert_close(p.diode_peak_inverse_v, 96.853, 0.03); /* 1.25 degree steps at the peak */
    assert_close(p.efficiency, 0.17289, 2.0 * grid * 0.173);
}

/* Three phases, 20 V peak a phase, 0.5 ohm, 24 V; and 14.5 V, just above cut-in, where current
 * flows through two phases at a time: event-driven simulation. */
static void three_phase_resistive(void **state) {
    (void)state;
    bench b = with_battery(bench_of(3, 20.0, 100.0, 0.5, 0.0), 24.0, 0.0);
    sw_operating_point p = run(&b);
    assert_close(p.dc_current_a, 9.296, grid * 9.3 + 5e-4);
    assert_close(p.phase_current_rms_a, 7.538, grid * 7.5 + 5e-4);
    assert_close(p.copper_loss_w, 85.23, 2.0 * grid * 85.2);
    b = with_battery(bench_of(3, 14.5, 100.0, 0.5, 0.0), 24.0, 0.0);
    p = run(&b);
    assert_close(p.dc_current_a, 0.4238, grid * 0.42 + 5e-5);
    assert_close(p.phase_current_peak_a, 1.115, 0.003);
    assert_int_equal(p.conduction, SW_CONDUCTION_PULSED);
}

/* Everything at once: 20 V, 100 Hz, 0.5 ohm, 1 mH, diodes of 0.9 V and 0.01 ohm, 24 V behind
 * 0.02 ohm (event-driven simulation). */
static void three_phase_complete(void **state) {
    (void)state;
    bench b = with_battery(bench_of(3, 20.0, 100.0, 0.5, 0.001), 24.0, 0.02);
    b.wiring.diode.drop_v = 0.9;
    b.wiring.diode.rs_ohm = 0.01;
    const sw_operating_point p = run(&b);
    assert_close(p.dc_current_a, 4.961, grid * 5.0 + 5e-4);
    assert_close(p.phase_current_rms_a, 3.88, grid * 3.9 + 5e-3);
    assert_close(p.battery_power_w, 119.07, grid * 119.0);
    assert_close(p.copper_loss_w, 22.58, 2.0 * grid * 22.6 + 5e-3);
    assert_close(p.diode_loss_w, 9.38, grid * 9.4 + 5e-3);
}

/* Inductance only, three diodes always on: cos d = 2 pi V / (9 E), I = 3/(pi X) sqrt(E^2 -
 * (2 pi V/9)^2), for V < 1.2926 E (derived from the six-step voltage across each phase). Tends to
 * 3 E/(pi X), which does not depend on speed. 24 V: 16.5977 A; 12 V: 27.6012 A. */
static void three_phase_inductance_only(void **state) {
    (void)state;
    const double x = 2.0 * pi * 100.0 * 0.001;
    const double volts[] = {24.0, 12.0, 4.0};
    const double rms[] = {12.4277, 20.4589, NAN};
    for (int i = 0; i < 3; i++) {
        const bench b = with_battery(bench_of(3, 20.0, 100.0, 0.0, 0.001), volts[i], 0.0);
        const sw_operating_point p = run(&b);
        const double part = 2.0 * pi * volts[i] / 9.0;
        const double expected = 3.0 / (pi * x) * sqrt(20.0 * 20.0 - part * part);
        assert_close(p.dc_current_a, expected, grid * expected);
        if (!isnan(rms[i])) {
            assert_close(p.phase_current_rms_a, rms[i], grid * rms[i]);
        }
        assert_int_equal(p.conduction, SW_CONDUCTION_CONTINUOUS);
    }
}

/* Rails at constant current, which no home-built load is: a huge voltage behind a huge
 * resistance. Mean voltage. */
static double volts_at_current(const bench *b, double amps) {
    const double ohm = 1e4;
    sw_electric_option option;
    sw_circuit circuit;
    sw_circulation circulation;
    sw_periodic periodic;
    sw_tally tally;
    sw_error error;
    memset(&error, 0, sizeof error);
    memset(&periodic, 0, sizeof periodic);
    assert_ok(sw_option_build(&b->motor, &b->wiring, &b->load, &option, &error), &error);
    option.circuit.load_v = -ohm * amps;
    option.circuit.load_ohm = ohm;
    sw_option_at(&option, b->rpm, &circuit, &circulation);
    circuit.scale_v = option.drive_v * b->rpm;
    assert_ok(sw_shoot(&circuit, &circulation, 144, &periodic, &tally, &error), &error);
    return tally.rail_v / tally.angle;
}

/* Overlap: M. H. Rashid, Power Electronics, 4th ed., Example 3.16: 208 V line to line, 60 Hz,
 * 0.5 mH a phase, 60 A: 280.9 V less 10.8 V. Single phase 120 V, 60 Hz, 1 mH, 10 A: 108.038 V
 * less 2 w L I / pi = 2.4 V (a case as in Mohan, Undeland and Robbins, Power Electronics, ch. 5,
 * recomputed). With constant current a single-phase bridge has both diodes of a branch conduct at
 * once, which no battery or resistor brings about; the same commutation in the winding is that of
 * a centre tap whose halves have the full voltage and twice the inductance. The current is
 * constant to V ripple / 10 kohm; the tolerance is 1 % of the drop and the last digit. */
static void commutation_overlap(void **state) {
    (void)state;
    bench b = with_battery(bench_of(3, 208.0 * sqrt(2.0 / 3.0), 60.0, 0.0, 0.0005), 12.0, 0.0);
    assert_close(volts_at_current(&b, 60.0), 270.1, 0.1);
    assert_close(volts_at_current(&b, 60.0),
                 3.0 * sqrt(2.0) * 208.0 / pi - 6.0 * 60.0 * 0.0005 * 60.0, 0.1);
    b = with_battery(bench_of(1, 240.0 * sqrt(2.0), 60.0, 0.0, 0.004), 12.0, 0.0);
    b.wiring.rectifier = SW_RECTIFIER_CENTRE_TAP;
    assert_close(volts_at_current(&b, 10.0), 105.638, 0.024);
}

/* Mean voltage of ideal rectifiers on a resistor without inductance (Rashid, ch. 3): half wave
 * 0.31831, full wave 0.63662, three-phase half wave 0.826993, bridge 1.65399 of the peak (of a
 * phase), here with negligible winding resistance. */
static void mean_voltages(void **state) {
    (void)state;
    const struct {
        int phases;
        sw_rectifier rectifier;
        double part;
        double inverse;
    } rows[] = {
        {1, SW_RECTIFIER_HALF_WAVE, 0.31831, 1.0},
        {1, SW_RECTIFIER_BRIDGE, 0.63662, 1.0},
        {1, SW_RECTIFIER_CENTRE_TAP, 0.63662 / 2.0, 1.0}, /* half of the winding at a time */
        {3, SW_RECTIFIER_HALF_WAVE, 0.826993, sqrt(3.0)},
        {3, SW_RECTIFIER_BRIDGE, 1.65399, sqrt(3.0)},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        bench b = bench_of(rows[i].phases, 100.0, 50.0, 1e-4, 0.0);
        b.wiring.rectifier = rows[i].rectifier;
        b.load.kind = SW_LOAD_RESISTOR;
        b.load.resistor_ohm = 100.0;
        const sw_operating_point p = run(&b);
        assert_close(p.dc_voltage_v, 100.0 * rows[i].part, grid * 100.0);
        /* Peaks are seen every 2.5 degrees at worst: 1 - cos(1.25 degrees) = 2.4e-4. */
        assert_close(p.diode_peak_inverse_v, 100.0 * rows[i].inverse, 5e-4 * 200.0);
    }
}

/* Delon doubler with hardly any winding resistance: each capacitor is filled to the peak once a
 * period and gives I/(f C) in between, so the mean output is 2 E - I/(f C) and its ripple I/(f C)
 * (charge balance; as the one-stage cascade of a stored sheet on voltage multipliers, 2008).
 * Filling takes acos(1 - drop/E) = 11 degrees of the period, 3 % of the drop, and twice in a
 * period the ripple is cut short by that. */
static void doubler_drop(void **state) {
    (void)state;
    bench b = bench_of(1, 100.0, 50.0, 1e-3, 0.0);
    b.wiring.rectifier = SW_RECTIFIER_DOUBLER;
    b.load.kind = SW_LOAD_RESISTOR;
    b.load.resistor_ohm = 200.0;
    b.load.capacitor_f = 0.01;
    const sw_operating_point p = run(&b);
    const double drop = p.dc_current_a / (50.0 * 0.01);
    assert_close(200.0 - p.dc_voltage_v, drop, 0.04 * drop);
    const double filling = acos(1.0 - drop / 100.0) / (2.0 * pi);
    assert_close(p.dc_ripple_v, drop * (1.0 - 2.0 * filling), 0.01 * drop);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(resistive_charger),
        cmocka_unit_test(inductive_charger),
        cmocka_unit_test(charger_with_inductance_only),
        cmocka_unit_test(half_wave_charger),
        cmocka_unit_test(three_phase_resistive),
        cmocka_unit_test(three_phase_complete),
        cmocka_unit_test(three_phase_inductance_only),
        cmocka_unit_test(commutation_overlap),
        cmocka_unit_test(mean_voltages),
        cmocka_unit_test(doubler_drop),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
