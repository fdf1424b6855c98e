/* One electrical option of the generator, tabulated once over speed: connection, rectifier and
 * load. Ratio, number of wheels, rotor and wind only read the table; another motor constant
 * rescales it. */
#ifndef SPINWORTH_MATCH_GENERATOR_H
#define SPINWORTH_MATCH_GENERATOR_H

#include "shared/motor.h"
#include "shared/status.h"
#include "src/match/deliver.h"

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

/* Speed from which current flows. */
double sw_generator_cut_in_rpm(const sw_generator *generator);
double sw_generator_top_rpm(const sw_generator *generator);

/* Value at a speed >= 0; above the table's top the power of the top is kept. */
double sw_generator_at(const sw_generator *generator, sw_generator_column column, double speed_rpm);

#endif
