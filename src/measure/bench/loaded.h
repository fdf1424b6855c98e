/* Loaded runs: the same motor recorded open and with a known resistor across the two recorded
 * wires, the third open. Line to line
 *   (E / V)^2 = ((Rl + R)^2 + (w L)^2) / Rl^2,   E = K f,  w = 2 pi f,
 * for the fundamental, whatever the harmonics, as the circuit is linear. */
#ifndef SPINWORTH_MEASURE_LOADED_H
#define SPINWORTH_MEASURE_LOADED_H

#include "shared/motor.h"
#include "shared/status.h"
#include "src/measure/measure.h"

#include <stddef.h>

enum { SW_LOADED_RUNS = 9, SW_LOADED_STEPS = 24 };

/* Flux (peak V/Hz) over frequency, averaged in steps. */
typedef struct sw_flux_step {
    double frequency_hz;
    double flux;
    double flux_u;
} sw_flux_step;

typedef struct sw_loaded_run {
    sw_quantity load_ohm; /* known to 1 % where u is not stated; unknown = the open run */
    size_t steps;
    sw_flux_step step[SW_LOADED_STEPS];
} sw_loaded_run;

typedef struct sw_loaded {
    size_t runs; /* the open one among them */
    sw_loaded_run run[SW_LOADED_RUNS];
    double low_cut_hz;   /* of the input, common to all; its correction is in the fluxes */
    double low_cut_u_hz; /* what it may be off */
} sw_loaded;

/* What one resistor gives without the others. */
typedef struct sw_load_alone {
    double load_ohm;
    sw_quantity resistance; /* "ohm"; not known where it tells nothing alone */
} sw_load_alone;

typedef struct sw_loaded_result {
    sw_quantity resistance; /* "ohm", line to line, at the temperature it had */
    sw_quantity inductance; /* "mH"; not known when the runs cannot tell it from nought */
    double correlation;     /* of the two, NaN without inductance */
    double misfit;          /* rms residual in standard uncertainties */
    double saturation;      /* share of the flux linkage lost at the largest current; NaN = the
                               runs cannot tell (needs two loads), 0 = none seen */
    double saturation_u;
    double current_a; /* rms, the largest */
    size_t loads;
    sw_load_alone alone[SW_LOADED_RUNS];
} sw_loaded_result;

/* A record's cycles as a run. SW_TOO_SHORT with less than ten. */
sw_status sw_loaded_add(sw_loaded *loaded, const sw_course *course, sw_quantity load_ohm,
                        sw_error *error);

/* R and L of all runs together. */
sw_status sw_loaded_fit(const sw_loaded *loaded, sw_loaded_result *result, sw_error *error);

/* Into a motor that may hold a multimeter's resistance already: both are compared. R is brought to
 * 20 degC from the winding's temperature (not known = 20 +- 5). Where they differ by more than
 * leads and a warm winding explain, load_doubtful says which resistor would fit, and neither ohms
 * nor inductance of the loaded runs are kept. */
void sw_loaded_tell(const sw_loaded_result *result, sw_quantity temperature_degc, sw_motor *motor);

#endif
