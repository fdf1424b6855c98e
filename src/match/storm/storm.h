/* The load is lost (fuse, full battery, tripped pack) and the wind is strong: how fast everything
 * turns, what stands on bare wires, and whether shorting the wires holds the rotor. */
#ifndef SPINWORTH_MATCH_STORM_H
#define SPINWORTH_MATCH_STORM_H

#include "src/match/parts/reference.h"
#include "src/match/plant.h"

#include <stdbool.h>
#include <stddef.h>

enum { SW_STORM_ROWS = 4 };

/* Braked below this share of the runaway speed a rotor is at a crawl. */
extern const double SW_STORM_CRAWL;

/* One wind with the load lost. */
typedef struct sw_storm_row {
    double wind_m_s;
    double rotor_rad_s;
    double generator_rpm;
    double rim_m_s; /* of the rim, or of the blade tips when there is no rim */
    double tip_m_s;
    double ac_v;          /* rms between two wires, open */
    double dc_v;          /* after the bridge, open: the crest of the AC (brushed: the mean) */
    double rotor_peak_nm; /* largest torque of the rotor in this wind */
    /* The AC side shorted: */
    bool brake_holds; /* a rotor at rest stays at a crawl */
    bool brake_stops; /* a rotor that runs away comes down to a crawl */
} sw_storm_row;

/* Torque of a shorted winding over speed: rises to a peak where w L = R, falls above. */
typedef struct sw_brake {
    bool known;            /* constant, pole pairs (unless brushed) and resistance are */
    bool inductance_known; /* else the torque is counted without the fall: an upper bound */
    double phases_factor;  /* 1/2 a phase: 1.5 for three */
    double pole_pairs;
    double flux_wb; /* peak, equivalent star phase */
    double phase_ohm;
    double phase_h;
    double peak_nm; /* at peak_rpm; INFINITY without inductance */
    double peak_rpm;
    double transient_a; /* largest current when the short is made while turning fast, 2 flux / L */
} sw_brake;

typedef struct sw_storm {
    sw_storm_row row[SW_STORM_ROWS]; /* 20, 25, 30 m/s and the site's storm, in rising order */
    size_t site_row;                 /* the site's storm wind */
    sw_brake brake;
    double grip_rotor_nm; /* largest torque that a pressed wheel passes on, wet; NaN = no wheel */
    double rotor_peak_nm; /* largest rotor torque in the site's storm wind */
    double turning_energy_j; /* of the rotor at runaway; NaN = inertia not known */
    bool limit_passed;       /* the motor's stated speed limit is passed in the storm */
} sw_storm;

typedef struct sw_storm_request {
    const sw_plant *plant;
    sw_connection connection; /* in use */
    double storm_wind;
    double friction_wet; /* least of its range; unused when the drive is not pressed */
} sw_storm_request;

sw_storm sw_storm_of(const sw_storm_request *request);

/* The brake of a motor; connection in use against the one measured. */
sw_brake sw_brake_of(const sw_motor *motor, sw_connection connection);
/* N m at the generator's shaft, windings shorted. */
double sw_brake_nm(const sw_brake *brake, double speed_rpm);
/* N m at the rotor's shaft: what shorting adds through the drive, its losses included, and at most
 * grip_nm (NaN = nothing slips). */
double sw_brake_at_rotor_nm(const sw_brake *brake, const sw_plant *plant, double grip_nm,
                            double rotor_rad_s);
/* W of heat that the short makes, all of the braking power. */
double sw_brake_heat_w(const sw_brake *brake, double speed_rpm);

/* Factor from terminal EMF as measured to the connection in use: 1, sqrt(3) or 1/sqrt(3). */
double sw_connection_factor(sw_connection measured, sw_connection used);

#endif
