/* The load document: battery, resistor or converter, with its diodes and cable. */
#ifndef SPINWORTH_MATCH_LOAD_H
#define SPINWORTH_MATCH_LOAD_H

#include "shared/quantity.h"
#include "shared/status.h"
#include "src/match/wiring.h"

#include <cjson/cJSON.h>
#include <stdbool.h>

enum { SW_LOAD_VOLTAGE_LIMIT = 4 };

typedef enum sw_when_full { SW_WHEN_FULL_DUMP, SW_WHEN_FULL_DISCONNECT } sw_when_full;

typedef struct sw_load {
    char name[80];
    sw_load_kind kind;
    sw_quantity voltage;      /* "V": battery rest EMF, or converter input */
    sw_quantity resistance;   /* "ohm": battery's, or the resistor */
    sw_quantity full_voltage; /* "V", battery */
    sw_quantity max_current;  /* "A" */
    sw_when_full when_full;
    double window_low_v; /* converter input window; equal = fixed voltage */
    double window_high_v;
    double input_max_v; /* converter; INFINITY = not said */
    double efficiency;  /* converter, (0, 1] */
    sw_diode diode;
    double cable_length_m;   /* one way */
    double cable_area_mm2;   /* 0 = no cable counted */
    double cable_ohm_per_km; /* of one conductor at 20 degC, IEC 60228 class 5 */
    bool cable_on_ac_side;
    double standby_w;
    size_t voltages; /* nominal ones that would be possible too; 0 = only its own */
    double possible_v[SW_LOAD_VOLTAGE_LIMIT];
    double battery_ah;       /* NaN = not said */
    bool voltage_guessed;    /* nobody gave a voltage: 12 V lead battery */
    bool resistance_guessed; /* from kind and size, or the default */
    bool diode_guessed;
} sw_load;

/* 12 V lead battery, silicon diodes, no cable: what match assumes when no load is given. */
sw_load sw_load_default(void);

/* A load document from a file or parsed; nothing in it is owned. Errors name file and key. */
sw_status sw_load_read(const char *path, const char *reference_dir, const sw_units *units,
                       sw_load *load, sw_error *error);
sw_status sw_load_parse(const cJSON *root, const char *file, const char *reference_dir,
                        const sw_units *units, sw_load *load, sw_error *error);

/* A diode by the name of a kind in reference/diodes.json, or as JSON text {"is":..} {"drop":..}. */
sw_status sw_diode_find(const char *text, const char *reference_dir, sw_diode *diode,
                        sw_error *error);

/* A converter that may choose its input voltage. */
bool sw_load_tracks(const sw_load *load);

/* 12, 24, 36, 48 ...: whole 12 V blocks in series; a smaller battery's own voltage. */
double sw_load_nominal_v(const sw_load *load);

/* The same battery of another nominal voltage; resistor and converter stay as they are. */
sw_load sw_load_of_nominal(const sw_load *load, double nominal_v);

/* The electrical load that deliver sees. A converter with a window seeks the volts that give most:
 * deliver at the speed asked for, a match in each wind (sw_plant_track). */
sw_deliver_load sw_load_electrical(const sw_load *load);

#endif
