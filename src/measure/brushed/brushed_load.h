/* Brushed motors under load: recordings with a resistor across the two wires, at known speeds.
 *   V = k n - I R - V_brush,   I = V / Rl
 * with k from the open motor. Two resistors, or one and a multimeter's ohms, part R from the
 * brushes' drop. */
#ifndef SPINWORTH_MEASURE_BRUSHED_LOAD_H
#define SPINWORTH_MEASURE_BRUSHED_LOAD_H

#include "shared/motor.h"
#include "shared/status.h"

#include <stddef.h>

enum { SW_BRUSHED_RUNS = 4 };

/* Standard uncertainty from which a drop says nothing. */
#define SW_BRUSHED_DROP_TOLD_V 0.5

typedef struct sw_brushed_run {
    sw_quantity volts;    /* at the wires, "V"; u without what the speed brings */
    sw_quantity speed;    /* "rpm", of the shaft whose turns the constant counts */
    sw_quantity load_ohm; /* known to 1 % where u is not stated */
} sw_brushed_run;

typedef struct sw_brushed_load {
    size_t runs;
    sw_brushed_run run[SW_BRUSHED_RUNS];
    sw_quantity constant;  /* "V/rpm", of the open motor */
    double scale_u;        /* relative, of the probe's volts: common to the constant and the runs */
    sw_quantity meter_ohm; /* between the wires; not known where no meter was used */
} sw_brushed_load;

typedef struct sw_brushed_result {
    sw_quantity resistance; /* "ohm", through the brushes */
    sw_quantity brush_drop; /* "V", both brushes; below zero only by its uncertainty */
    sw_shares budget;       /* of the brush drop, in V */
    double most_a;          /* the largest current */
} sw_brushed_result;

/* The record of a loaded run as measuring left it. SW_MISSING_KEY without its speed. */
sw_status sw_brushed_load_add(sw_brushed_load *load, const sw_motor *loaded, sw_quantity load_ohm,
                              sw_error *error);

/* SW_MISSING_KEY says what would part R from the brushes. */
sw_status sw_brushed_load_fit(const sw_brushed_load *load, sw_brushed_result *result,
                              sw_error *error);

/* Into the motor: ohms, and the drop where it is known well enough to be worth a number. */
void sw_brushed_load_tell(const sw_brushed_result *result, sw_motor *motor);

#endif
