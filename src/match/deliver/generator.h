/* One electrical option of the generator, tabulated once over speed: connection, rectifier and
 * load. Ratio, number of wheels, rotor and wind only read the table; another motor constant
 * rescales it. */
#ifndef SPINWORTH_MATCH_GENERATOR_H
#define SPINWORTH_MATCH_GENERATOR_H

#include "shared/motor.h"
#include "shared/status.h"
#include "src/match/deliver/deliver.h"

#include <stddef.h>

/* What the table holds, of all machines together unless said otherwise. */
typedef enum sw_generator_column {
    SW_GENERATOR_TORQUE,   /* N m at the shaft, drag not counted */
    SW_GENERATOR_DC_POWER, /* W at the rails; AC power without a rectifier */
    SW_GENERATOR_STORED,   /* W into the battery's EMF, the resistor or the converter */
    SW_GENERATOR_COPPER,   /* W */
    SW_GENERATOR_DIODE,    /* W */
    SW_GENERATOR_DC_AMPS,
    SW_GENERATOR_WINDING_AMPS, /* rms in a winding of one machine */
    SW_GENERATOR_COLUMNS
} sw_generator_column;

/* Shaft quantities over speed; opaque inside. */
typedef struct sw_generator sw_generator;

/* Tabulate from standstill to top_rpm. Fails as sw_deliver does. A sketch is good to some two parts
 * in a hundred and several times as fast. */
sw_status sw_generator_new(const sw_motor *motor, const sw_wiring *wiring,
                           const sw_deliver_load *load, double top_rpm, sw_generator **generator,
                           sw_error *error);
sw_status sw_generator_sketch(const sw_motor *motor, const sw_wiring *wiring,
                              const sw_deliver_load *load, double top_rpm, sw_generator **generator,
                              sw_error *error);
void sw_generator_free(sw_generator *generator);

/* A converter that tracks: one table (a sketch) at each of some voltages from low_v to high_v.
 * Which of them holds is the caller's choice, by stage: 0 = low_v, stages - 1 = high_v. */
sw_status sw_generator_tracking(const sw_motor *motor, const sw_wiring *wiring,
                                const sw_deliver_load *load, double low_v, double high_v,
                                double top_rpm, sw_generator **generator, sw_error *error);

/* How many voltages; 1 when it does not track. */
size_t sw_generator_stages(const sw_generator *generator);

/* Value at a speed, between two voltages for a stage that is no whole number. */
double sw_generator_at_stage(const sw_generator *generator, sw_generator_column column,
                             double speed_rpm, double stage);

/* Speed from which current flows. */
double sw_generator_cut_in_rpm(const sw_generator *generator);

/* Value at a speed >= 0; above the table's top the power of the top is kept. */
double sw_generator_at(const sw_generator *generator, sw_generator_column column, double speed_rpm);

#endif
