/* The parts of the regression over hand readings. */
#ifndef SPINWORTH_MEASURE_READINGS_FIT_H
#define SPINWORTH_MEASURE_READINGS_FIT_H

#include "src/measure/measure.h"

#include <stddef.h>

/* One reading made ready. */
typedef struct sw_reading_point {
    double pace;   /* Hz, or rpm where no frequency is known */
    double pace_u; /* of this reading alone */
    double volts;  /* as the meter shows */
    double volts_u;
    double load_ohm; /* across the two wires; 0 = open */
    double amps;     /* 0 = open */
    double omega;    /* electrical, rad/s; NaN = not known */
} sw_reading_point;

typedef struct sw_reading_points {
    size_t count;
    sw_reading_point *point; /* owned */
} sw_reading_points;

/* What a reading is of the line-to-line fundamental: shown = factor x V_LL rms - drop. */
typedef struct sw_meter_law {
    double factor;
    double factor_u; /* relative: the shape of the wave and the meter's range */
    double drop_v;   /* of the diodes passed */
    double drop_u_v;
    bool bridge;
} sw_meter_law;

/* SW_MISSING_KEY when a bridge's reading depends on a number of phases nobody told. */
sw_status sw_meter_law_of(sw_meter meter, int phases, sw_meter_law *law, sw_error *error);

typedef struct sw_readings_result {
    double constant; /* V of the line-to-line fundamental per Hz or rpm */
    double constant_u;
    double resistance_ohm; /* NaN = not found */
    double resistance_u;
    double inductance_h; /* NaN = not found */
    double inductance_u;
    double brush_drop_v; /* NaN = the readings do not tell */
    double brush_drop_u_v;
    bool bound;    /* the resistance holds the inductance's share: an upper bound */
    double misfit; /* rms of the residuals in standard uncertainties */
} sw_readings_result;

/* Open readings: a straight line, the drop of the diodes known roughly; robust from eight readings
 * on. */
sw_status sw_readings_fit_open(const sw_reading_points *points, const sw_meter_law *law,
                               sw_readings_result *result, sw_error *error);

/* Open and loaded AC readings together: (E/V)^2 = ((Rl + R)^2 + (w L)^2) / Rl^2. Result as it
 * was before where the readings cannot tell. */
sw_status sw_readings_fit_loaded(const sw_reading_points *points, const sw_meter_law *law,
                                 sw_readings_result *result, sw_error *error);

/* Brushed: V = k n - I R - brush drop. */
sw_status sw_readings_fit_brushed(const sw_reading_points *points, sw_readings_result *result,
                                  sw_error *error);

#endif
