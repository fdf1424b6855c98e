/* Random rectifier circuits, solved by a general circuit simulator (ngspice) and by the program.
 *
 * The simulator gets the circuit part by part, EMFs as functions of time, and marches from rest
 * until transients are gone; nothing of the program goes into its figures. */
#ifndef SPINWORTH_TESTS_OUTSIDE_SPICE_CASE_H
#define SPINWORTH_TESTS_OUTSIDE_SPICE_CASE_H

#include "src/match/deliver/deliver.h"

#include <gsl/gsl_rng.h>
#include <stdio.h>

typedef enum spice_circuit {
    SPICE_STAR_BRIDGE,
    SPICE_DELTA_BRIDGE,
    SPICE_ONE_PHASE_BRIDGE,
    SPICE_HALF_WAVE,
    SPICE_STAR_HALF_WAVE,
    SPICE_CENTRE_TAP,
    SPICE_DOUBLER,
    SPICE_STAR_DOUBLER,
    SPICE_TWO_PHASE,
    SPICE_SMOOTHED_RESISTOR,
    SPICE_CIRCUITS
} spice_circuit;

/* Values of a winding; EMF peak_v (sin x + third sin(3 x + third_deg)). */
typedef struct spice_case {
    spice_circuit circuit;
    double peak_v;
    double third;
    double third_deg;
    double hertz;
    double ohm;
    double henry;
    double battery_v;
    double battery_ohm;
    double resistor_ohm;
    double farad;
    double is_a;
    double n;
    double rs_ohm;
} spice_case;

typedef struct spice_result {
    double dc_a;
    double shaft_w;
    double copper_w;
    double diode_w;
} spice_result;

/* A circuit of this kind with random values, within what settles in a few dozen periods. */
spice_case spice_case_draw(spice_circuit circuit, gsl_rng *random);

/* Is the simulator there? */
int spice_present(void);

/* Run the simulator in `directory`; 0 when it gave no figures. */
int spice_case_simulate(const spice_case *c, const char *directory, spice_result *result);

/* The same figures from the program. */
sw_status spice_case_solve(const spice_case *c, spice_result *result, sw_error *error);

/* 1 when current agrees within 1 % or 5 mA and powers within 2 % or 5 mW; what deviates is
 * printed. */
int spice_case_agrees(const spice_case *c, const spice_result *simulated,
                      const spice_result *solved);

/* One line of a table, and back; reading returns 0 at the end or on a bad line. */
void spice_case_print_header(FILE *out);
void spice_case_print(FILE *out, const spice_case *c, const spice_result *result);
int spice_case_scan(const char *line, spice_case *c, spice_result *result);

#endif
