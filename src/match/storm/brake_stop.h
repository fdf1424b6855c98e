/* A rotor that runs away is stopped by shorting the motor's wires: does it stop, how long does
 * that take, and how hot do the windings get on the way. */
#ifndef SPINWORTH_MATCH_BRAKE_STOP_H
#define SPINWORTH_MATCH_BRAKE_STOP_H

#include "src/match/storm/storm.h"

#include <stdbool.h>

typedef struct sw_brake_stop {
    bool stops;          /* comes to a crawl in this wind, wind still pushing */
    double seconds;      /* until then, or until it no longer slows down */
    double end_rad_s;    /* of the rotor */
    double winding_j;    /* heat of one machine's windings on the way */
    double rise_k;       /* of its copper, nothing given off */
    double steady_k_min; /* kelvin a minute once it turns steadily, nothing given off */
} sw_brake_stop;

typedef struct sw_brake_stop_request {
    const sw_plant *plant;
    const sw_brake *brake; /* known */
    double wind_m_s;
    double from_rad_s;
    double crawl_rad_s; /* slower is stopped */
    double inertia_kg_m2;
    double copper_kg; /* of one machine */
    double grip_nm;   /* most that the drive passes on at the rotor's shaft; INFINITY */
} sw_brake_stop_request;

sw_brake_stop sw_brake_stop_of(const sw_brake_stop_request *request);

/* Inertia of a rotor: stated, from its vanes' mass and arm, or guessed from its swept area. */
double sw_rotor_inertia_or_guess(const sw_rotor *rotor, bool *guessed);

/* Copper of a motor: stated, or a share of its mass: stated, of its size, or motor_kg. */
double sw_motor_copper_or_guess(const sw_motor *motor, double motor_kg, bool *guessed);

/* Resistance in each wire (star) with which the brake's torque peaks at this speed; 0 when the
 * winding's own is enough. */
double sw_brake_resistor_ohm(const sw_brake *brake, double speed_rpm);
/* The brake with so much resistance in each wire. */
sw_brake sw_brake_through(const sw_brake *brake, double ohm);

#endif
