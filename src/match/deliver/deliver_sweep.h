/* What comes out at each of a row of speeds, and what would come out with the best load. */
#ifndef SPINWORTH_MATCH_DELIVER_SWEEP_H
#define SPINWORTH_MATCH_DELIVER_SWEEP_H

#include "src/match/deliver/deliver.h"

#include <stddef.h>

enum { SW_SWEEP_LIMIT = 2000, SW_SWEEP_LEVELS = 8 };

typedef struct sw_sweep_row {
    sw_operating_point point;
    /* The constant input voltage at which most power comes out at this speed: what a tracking
     * converter would find; and the best resistor. NaN without a rectifier or below a volt. */
    double best_voltage_v;
    double best_voltage_w;
    double best_resistor_ohm;
    double best_resistor_w;
    /* Efficiency at SW_SWEEP_LEVELS constant voltages; NaN where nothing flows. */
    double efficiency[SW_SWEEP_LEVELS];
} sw_sweep_row;

typedef struct sw_sweep {
    size_t rows;
    sw_sweep_row *row;
    double cut_in_rpm;
    bool mapped; /* efficiency is filled */
    double level_v[SW_SWEEP_LEVELS];
} sw_sweep;

/* Speeds first, first + step ... up to last. The caller frees with sw_sweep_free. */
sw_status sw_sweep_run(const sw_motor *motor, const sw_wiring *wiring, const sw_deliver_load *load,
                       double first_rpm, double last_rpm, double step_rpm, bool with_map,
                       sw_sweep *sweep, sw_error *error);
void sw_sweep_free(sw_sweep *sweep);

#endif
