/* Rotor, drive and generator coupled: the torques that meet on the rotor's shaft, and what comes
 * out at the rails where they balance. */
#ifndef SPINWORTH_MATCH_PLANT_H
#define SPINWORTH_MATCH_PLANT_H

#include "src/match/balance.h"
#include "src/match/deliver/generator.h"
#include "src/match/drive/drive.h"
#include "src/match/rotor/rotor.h"

enum { SW_TRACK_POINTS = 16 };

/* Which voltage a tracking converter holds at which speed; no points = always the lowest. */
typedef struct sw_track {
    size_t points;
    double speed_rpm[SW_TRACK_POINTS]; /* of the generator, rising */
    double stage[SW_TRACK_POINTS];     /* as in sw_generator_at_stage */
} sw_track;

/* Everything borrowed. The factors are 1 but for "what if the figure is a little off". */
typedef struct sw_plant {
    const sw_rotor *rotor;
    const sw_motor *motor; /* drag and cogging */
    const sw_generator *generator;
    sw_drive drive;
    double density;
    double power_factor;    /* on Cp and the static torque */
    double constant_factor; /* on the motor's EMF */
    double drag_factor;     /* on the motor's drag and cogging */
    sw_track track;
} sw_plant;

/* All but the drive is borrowed; density in kg/m3. */
sw_plant sw_plant_of(const sw_rotor *rotor, const sw_motor *motor, const sw_generator *generator,
                     sw_drive drive, double density);

/* Let a tracking converter find the voltage that gives most power, in so many even winds up to
 * top_wind (at most SW_TRACK_POINTS - 1); nothing for other loads. */
void sw_plant_track(sw_plant *plant, double top_wind, int winds);

/* Speed of the generator when the rotor turns at speed_rad_s. */
double sw_plant_generator_rpm(const sw_plant *plant, double speed_rad_s);

/* A column of the generator's table at the rotor's speed. */
double sw_plant_at(const sw_plant *plant, sw_generator_column column, double speed_rad_s);

/* Torque that turning takes at the rotor's shaft: generator, drag, drive and bearings. */
double sw_plant_load_nm(const sw_plant *plant, double speed_rad_s);

/* The same with the generator's wires open (load lost). */
double sw_plant_idle_nm(const sw_plant *plant, double speed_rad_s);

/* What must be broken loose at rest. */
double sw_plant_static_nm(const sw_plant *plant);

/* Least wind that starts the rotor at its worst angle; INFINITY when it does not start itself. */
double sw_plant_start_wind(const sw_plant *plant);

/* Where the rotor settles in a steady wind > 0; steps as in sw_balance_request. */
sw_balance sw_plant_settle(const sw_plant *plant, double wind_m_s, size_t steps);

/* The same with the load lost, or under another load at the rotor's shaft. */
sw_balance sw_plant_settle_idle(const sw_plant *plant, double wind_m_s);
sw_balance sw_plant_settle_under(const sw_plant *plant, double wind_m_s, sw_torque load,
                                 double static_load_nm, size_t steps);

#endif
