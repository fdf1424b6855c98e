/* How fast operating points come: exact, from a table, and from a general circuit simulator on
 * the same circuits in the same run. Not a test; prints figures.
 *
 *   bench_deliver [circuits] [seed] */
#include "src/match/deliver/deliver_table.h"
#include "tests/outside/spice_case.h"
#include "tests/support.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { DIRECTORY_ROOM = 256, SEARCH_POINTS = 100000, CHECKS = 50 };

/* Wall-clock time, for the simulator, which is another process. */
static double now_s(void) {
    struct timespec t;
    timespec_get(&t, TIME_UTC);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* Time that this process used, so that a busy machine does not count. */
static double used_s(void) {
    return (double)clock() / CLOCKS_PER_SEC;
}

/* The program and the simulator on the same circuits. */
static void against_simulator(int circuits, unsigned long seed, double table_rate) {
    char directory[DIRECTORY_ROOM];
    double simulator_s = 0.0;
    double program_s = 0.0;
    int done = 0;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, seed);
    support_temporary_directory(directory, sizeof directory);
    for (int i = 0; i < circuits; i++) {
        const spice_case c = spice_case_draw((spice_circuit)(i % SPICE_CIRCUITS), random);
        spice_result simulated;
        spice_result solved;
        const double start = now_s();
        const int fine = spice_case_simulate(&c, directory, &simulated);
        const double middle = now_s();
        const sw_status status = spice_case_solve(&c, &solved, NULL);
        if (fine && status == SW_OK) {
            simulator_s += middle - start;
            program_s += now_s() - middle;
            done++;
        }
    }
    support_remove_tree(directory);
    gsl_rng_free(random);
    if (done > 0) {
        printf("%d circuits: simulator %.1f ms each, exact solver %.3f ms each, ratio %.0f\n", done,
               1e3 * simulator_s / done, 1e3 * program_s / done, simulator_s / program_s);
        printf("  a point of the slowest search above (%.0f a second, building included) is %.0f "
               "times faster than the simulator\n",
               table_rate, simulator_s / done * table_rate);
    }
}

static sw_motor outer_rotor(double millihenry) {
    sw_motor motor;
    sw_motor_init(&motor);
    motor.kind = SW_MAGNET_AC;
    motor.phases = 3;
    motor.connection = SW_STAR;
    motor.pole_pairs.value = 24;
    motor.voltage_constant = sw_quantity_of(0.14, NAN, "V/rpm");
    motor.winding_resistance = sw_quantity_of(4.0, NAN, "ohm");
    motor.winding_inductance = sw_quantity_of(millihenry, NAN, "mH");
    return motor;
}

/* Largest deviation from the exact solver at random speeds, as the table counts it. */
static double error_of(const sw_deliver_table *table, const sw_motor *motor,
                       const sw_wiring *wiring, const sw_deliver_load *load, gsl_rng *random) {
    double largest_nm = 0.0;
    double worst = 0.0;
    const double max_rpm = sw_deliver_table_max_rpm(table);
    for (int i = 1; i <= 100; i++) {
        largest_nm = fmax(largest_nm, sw_deliver_table_torque_nm(table, max_rpm * i / 100.0));
    }
    for (int i = 0; i < CHECKS; i++) {
        const double rpm = max_rpm * gsl_rng_uniform_pos(random);
        sw_operating_point exact;
        sw_operating_point quick;
        if (sw_deliver(motor, wiring, load, rpm, &exact, NULL) != SW_OK) {
            printf("  no exact point at %.1f rpm\n", rpm);
            continue;
        }
        sw_deliver_table_at(table, rpm, &quick);
        worst = fmax(worst, fabs(quick.shaft_torque_nm - exact.shaft_torque_nm) /
                                fmax(exact.shaft_torque_nm, largest_nm / 200.0));
    }
    return worst;
}

/* A search: build the table, then ask it SEARCH_POINTS times; points a second, all time counted. */
static double search(const char *name, const sw_motor *motor, const sw_wiring *wiring,
                     const sw_deliver_load *load, gsl_rng *random) {
    sw_deliver_table *table = NULL;
    sw_error error;
    sw_operating_point point;
    double sum = 0.0;
    const double start = used_s();
    if (sw_deliver_table_new(motor, wiring, load, 1000.0, &table, &error) != SW_OK) {
        printf("%s: %s\n", name, error.message);
        return 0.0;
    }
    const double built = used_s();
    for (int i = 0; i < SEARCH_POINTS; i++) {
        sw_deliver_table_at(table, 1000.0 * i / SEARCH_POINTS, &point);
        sum += point.dc_current_a;
    }
    const double asked = used_s();
    for (int i = 0; i < SEARCH_POINTS; i++) {
        sum += sw_deliver_table_torque_nm(table, 1000.0 * i / SEARCH_POINTS);
    }
    const double torques = used_s();
    printf("%-24s build %5.1f ms (%zu exact points, %.2f ms each), error said %.2f %%, found "
           "%.3f %%\n",
           name, 1e3 * (built - start), sw_deliver_table_points(table),
           1e3 * (built - start) / (double)sw_deliver_table_points(table),
           100.0 * sw_deliver_table_worst_error(table),
           100.0 * error_of(table, motor, wiring, load, random));
    printf("%-24s %.0f whole points/s, %.0f torques/s; %.0f points/s with the building%s\n", "",
           SEARCH_POINTS / (asked - built), SEARCH_POINTS / (torques - asked),
           SEARCH_POINTS / (asked - start), sum > 0.0 ? "" : "?");
    sw_deliver_table_free(table);
    return SEARCH_POINTS / (asked - start);
}

/* Rate of the slowest. */
static double searches(unsigned long seed) {
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, seed);
    sw_motor motor = outer_rotor(20.0);
    sw_wiring wiring = sw_wiring_default(&motor);
    sw_deliver_load load = {.kind = SW_LOAD_BATTERY, .battery_v = 25.6, .battery_ohm = 0.05};
    double rate = search("star, battery", &motor, &wiring, &load, random);
    wiring.connection = SW_DELTA;
    rate = fmin(rate, search("delta, battery", &motor, &wiring, &load, random));
    load.kind = SW_LOAD_CONVERTER;
    rate = fmin(rate, search("delta, converter", &motor, &wiring, &load, random));
    load.kind = SW_LOAD_RESISTOR;
    load.resistor_ohm = 20.0;
    load.capacitor_f = 2e-3;
    rate = fmin(rate, search("delta, smoothed resistor", &motor, &wiring, &load, random));
    wiring.connection = SW_STAR;
    wiring.rectifier = SW_RECTIFIER_DOUBLER;
    load.kind = SW_LOAD_BATTERY;
    rate = fmin(rate, search("star, doubler", &motor, &wiring, &load, random));
    motor = outer_rotor(0.0);
    wiring.rectifier = SW_RECTIFIER_BRIDGE;
    rate = fmin(rate, search("star, no inductance", &motor, &wiring, &load, random));
    motor = outer_rotor(20.0);
    motor.phases = 1;
    rate = fmin(rate, search("one phase, battery", &motor, &wiring, &load, random));
    motor.phases = 2;
    rate = fmin(rate, search("two phases, battery", &motor, &wiring, &load, random));
    gsl_rng_free(random);
    return rate;
}

int main(int argc, char **argv) {
    const int circuits = argc > 1 ? (int)strtol(argv[1], NULL, 10) : 20;
    const unsigned long seed = argc > 2 ? strtoul(argv[2], NULL, 10) : 1;
    printf("seed %lu\n", seed);
    const double rate = searches(seed);
    if (spice_present()) {
        against_simulator(circuits, seed, rate);
    } else {
        printf("ngspice is not installed: no comparison\n");
    }
    return 0;
}
