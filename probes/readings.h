/* A table of hand readings: what a person writes down at the bench. */
#ifndef SPINWORTH_PROBES_READINGS_H
#define SPINWORTH_PROBES_READINGS_H

#include "shared/status.h"

#include <stdbool.h>
#include <stddef.h>

/* What the meter shows. */
typedef enum sw_meter {
    SW_METER_AC_AVERAGE, /* AC range of an ordinary meter: rectified mean x 1.1107 */
    SW_METER_AC_TRUE_RMS,
    SW_METER_DC_BRIDGE,           /* DC range after a bridge, no capacitor: mean */
    SW_METER_DC_BRIDGE_CAPACITOR, /* DC range after a bridge with a capacitor: peak less drops */
    SW_METER_DC                   /* DC straight from a brushed motor */
} sw_meter;

/* NaN where a cell is empty. */
typedef struct sw_reading {
    double speed_rpm;
    double frequency_hz;
    double volts;
    double amps;
    double load_ohm; /* resistor across the lines that were read */
    int line;        /* line of the file, for messages */
} sw_reading;

typedef struct sw_readings {
    sw_meter meter;
    bool meter_said; /* false: the default, an ordinary meter on its AC range */
    bool volts_dc;   /* the column of volts is called DC */
    int phases;      /* 1, 2 or 3 when the file says so; 0 = not said */
    size_t count;
    sw_reading *reading; /* owned */
} sw_readings;

/* "ac", "true-rms", "dc-bridge", "dc-bridge-capacitor", "dc". */
const char *sw_meter_name(sw_meter meter);
sw_status sw_meter_find(const char *name, sw_meter *meter, sw_error *error);

/* What readings owns; it is empty afterwards. */
void sw_readings_free(sw_readings *readings);

#endif
