/* How hard a friction wheel must press, and the spring that does it on a rim that is not round. */
#ifndef SPINWORTH_MATCH_GRIP_H
#define SPINWORTH_MATCH_GRIP_H

#include "src/match/drive/drive.h"

typedef struct sw_press_request {
    double torque_nm;   /* largest at one wheel's shaft, rolling resistance not counted */
    double wheel_mm;    /* > 0 */
    double rolling_mm;  /* lever arm of rolling resistance, which the rim must push too */
    double friction;    /* wet, (0, 1) */
    double safety;      /* >= 1 */
    double run_out_mm;  /* the rim moves this much either way from its mean; >= 0 */
    double moving_kg;   /* what the spring must keep on the rim: motor and its arm */
    double rotor_rad_s; /* fastest the rotor turns */
    int lumps;          /* of the rim a turn, >= 1 */
    double spring_n_mm; /* NaN = choose a soft one */
    double tyre_n_mm;   /* how the tyre yields; 0 or NaN = not at all */
    double arm_gain;    /* contact force per drive force: + leading, - trailing arm */
} sw_press_request;

typedef struct sw_press {
    double tangential_n; /* at the rim */
    double needed_n;     /* least contact force anywhere; INFINITY = rolls harder than it grips */
    double mean_n;       /* set the spring to this with the rotor at rest: N of the drive */
    double least_n;      /* under load, over run-out, at the worst speed up to the fastest */
    double most_n;
    double spring_n_mm;
    double scale_kg; /* mean_n as a luggage scale shows it */
} sw_press;

/* The contact force at its least must hold (torque + N f) / radius with wet friction. */
sw_press sw_press_of(const sw_press_request *request);

/* A sprung mass that follows a rim of lumps through its tyre. */
typedef struct sw_bounce {
    double spring_n_mm;
    double tyre_n_mm; /* 0 or NaN = rigid */
    double moving_kg;
    double run_out_mm; /* amplitude of the lumps */
} sw_bounce;

/* Amplitude of the contact force when lumps pass with this angular frequency. */
double sw_bounce_n(const sw_bounce *bounce, double lumps_rad_s);
/* The largest of it from standstill up to a frequency. */
double sw_bounce_most_n(const sw_bounce *bounce, double lumps_rad_s);
/* Frequency at which mass, spring and tyre swing by themselves; INFINITY with a rigid tyre. */
double sw_bounce_resonance_rad_s(const sw_bounce *bounce);
/* Lowest frequency up to the given one at which the wheel leaves the rim; INFINITY = never. */
double sw_bounce_hop_rad_s(const sw_bounce *bounce, double mean_n, double most_rad_s);

/* Largest drive force at the rim before a wheel on an arm slips: mu N0 / (1 - mu gain), INFINITY
 * when the arm locks. */
double sw_grip_force_n(double contact_n, double friction, double arm_gain);

#endif
