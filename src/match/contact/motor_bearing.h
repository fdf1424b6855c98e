/* What a pressed wheel does to the motor's own bearings: the load of the nearest one, with the
 * wheel overhung, and how long it lasts in the site's wind. */
#ifndef SPINWORTH_MATCH_MOTOR_BEARING_H
#define SPINWORTH_MATCH_MOTOR_BEARING_H

#include "src/match/parts/reference.h"
#include "src/match/year/power_curve.h"

#include <stdbool.h>
#include <stddef.h>

enum { SW_BEARING_ROWS = 3 };

typedef struct sw_bearing_row {
    sw_bearing bearing;
    double years; /* basic rating life L10: nine in ten last longer; INFINITY without load */
} sw_bearing_row;

typedef struct sw_bearing_load {
    double wheel_n;     /* radial, contact and drive force together, in the working wind */
    double nearest_n;   /* on the bearing next to the wheel */
    double overhang_mm; /* as counted */
    double distance_mm; /* between the bearings, as counted */
    bool overhang_guessed;
    bool stated; /* row[0] is the bearing the builder named; else usual ones */
    size_t rows;
    sw_bearing_row row[SW_BEARING_ROWS];
} sw_bearing_load;

typedef struct sw_bearing_request {
    const sw_plant *plant; /* with a pressed wheel */
    const sw_power_curve *curve;
    const sw_site *site;
    const char *reference_dir;
    double working_wind;
} sw_bearing_request;

/* Fails when the rotor's document names a bearing that is not in the table. */
sw_status sw_bearing_load_of(const sw_bearing_request *request, sw_bearing_load *load,
                             sw_error *error);

/* Load of the nearest of two bearings under a force at overhang_mm outside of them. */
double sw_bearing_nearest_n(double force_n, double overhang_mm, double distance_mm);

#endif
