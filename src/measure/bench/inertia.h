/* Moment of inertia by what a workshop has: a disc on the scale and the ruler, or a weight on a
 * string. (By two run-downs with an added disc: rundown.h.) */
#ifndef SPINWORTH_MEASURE_INERTIA_H
#define SPINWORTH_MEASURE_INERTIA_H

#include "shared/quantity.h"
#include "shared/status.h"

#include <stdbool.h>

/* An annular disc: J = m (ri^2 + ro^2) / 2. */
typedef struct sw_disc {
    sw_quantity mass_kg;
    sw_quantity diameter_mm;
    sw_quantity bore_mm; /* not known = no hole */
    bool rough; /* a rotor taken for a disc: its bell, hub and spokes are no even thickness */
} sw_disc;

sw_status sw_disc_inertia(const sw_disc *of, sw_quantity *inertia, sw_error *error);

/* A weight that falls from rest on a string round a drum on the shaft: m (g - a) r = J a / r + T,
 * a = 2 h / t^2. */
typedef struct sw_falling_weight {
    sw_quantity mass_kg;
    sw_quantity drop_m;
    sw_quantity time_s;
    sw_quantity drum_radius_mm; /* to the middle of the string */
    sw_quantity balance_kg;     /* the weight that just keeps it turning; not known = see below */
    sw_quantity slowing_rad_s2; /* of the free shaft at that speed, from a run-down, in its place;
                                   neither known = friction is taken as nought to a fifth of the
                                   weight */
} sw_falling_weight;

/* SW_VALUE when it falls as freely as if there were no rotor, or slower than friction allows. */
sw_status sw_falling_weight_inertia(const sw_falling_weight *weight, sw_quantity *inertia,
                                    sw_error *error);

/* Mean turning speed of the drum during the fall, rad/s. */
double sw_falling_weight_speed(const sw_falling_weight *weight);

#endif
