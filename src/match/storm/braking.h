/* Stopping the rotor with the motor's own wires: the short alone in each wind of the storm's rows,
 * and a resistor first where the short alone comes too late. */
#ifndef SPINWORTH_MATCH_BRAKING_H
#define SPINWORTH_MATCH_BRAKING_H

#include "src/match/storm/brake_stop.h"

#include <stdbool.h>

typedef struct sw_braking {
    bool known; /* the motor's brake is; else nothing below is filled */
    double inertia_kg_m2;
    bool inertia_guessed;
    double copper_kg; /* of one machine */
    bool copper_guessed;
    sw_brake_stop row[SW_STORM_ROWS]; /* the short alone, from the runaway speed */
    double short_nm[SW_STORM_ROWS];   /* most that it gives at the rotor on the way */
    double least_wind_stopped;        /* of the rows, rising: the last it stops; 0 = none */
    bool resistor_helps;              /* the short alone fails in the site's storm, both succeed */
    double resistor_ohm;              /* in each wire */
    double resistor_w;                /* heat of all of them at first, one machine */
    double both_s;                    /* until it stands */
    double both_rise_k;               /* of the copper */
} sw_braking;

sw_braking sw_braking_of(const sw_storm *storm, const sw_plant *plant, double motor_kg);

#endif
