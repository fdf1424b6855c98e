/* A pressed wheel in use: does it stay on the rim at every speed up to the storm's, what does its
 * arm do under load and when something jams, what do wear and frost take. */
#ifndef SPINWORTH_MATCH_WHEEL_CHECK_H
#define SPINWORTH_MATCH_WHEEL_CHECK_H

#include "src/match/contact/grip.h"
#include "src/match/plant.h"

#include <stdbool.h>

typedef struct sw_wheel_check {
    bool pressed;                 /* else nothing below is filled */
    double loaded_n;              /* mean contact force under the largest working torque */
    double storm_least_n;         /* over a turn, at the worst speed up to the storm's; 0 = hops */
    double hop_rotor_rad_s;       /* the wheel leaves the rim from here on; INFINITY = never */
    double hop_wind_m_s;          /* wind that turns it so fast with the load lost */
    double resonance_rotor_rad_s; /* of motor, spring and tyre; INFINITY = beyond the storm */
    bool locks;               /* a leading arm draws itself in on a dry rim until something gives */
    double jammed_n;          /* contact when a jammed motor drags it dry; INFINITY = locks */
    double jam_most_n;        /* what rim and motor are counted to bear */
    double wear_n_mm;         /* preload lost a millimetre off the diameter */
    double wear_speed_per_mm; /* share of speed gained a millimetre off the diameter */
    double frost_share;       /* of the largest working torque that a frosted rim holds */
    bool does_not_fit;        /* inside the rim, and larger than a third of it */
} sw_wheel_check;

typedef struct sw_wheel_check_request {
    const sw_plant *plant;
    const sw_press *press; /* NULL-safe only for drives that are not pressed */
    const sw_surface *surface;
    double run_out_mm;
    double moving_kg;
    double tyre_n_mm;
    double most_n;
    int lumps;
    double storm_rotor_rad_s; /* load lost */
    double storm_wind;
} sw_wheel_check_request;

sw_wheel_check sw_wheel_check_of(const sw_wheel_check_request *request);

#endif
