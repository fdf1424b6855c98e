/* How hard a friction wheel must press, and the spring that does it on a rim that is not round. */
#ifndef SPINWORTH_MATCH_GRIP_H
#define SPINWORTH_MATCH_GRIP_H

#include "src/match/drive.h"

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
} sw_press_request;

typedef struct sw_press {
    double tangential_n; /* at the rim */
    double needed_n;     /* least contact force anywhere; INFINITY = rolls harder than it grips */
    double mean_n;       /* set the spring to this: N of the drive */
    double least_n;      /* reached at the rim's lowest place at full speed */
    double most_n;
    double spring_n_mm;
    double scale_kg; /* mean_n as a luggage scale shows it */
} sw_press;

/* N = k (x0 +- e) - m e (n W)^2 at its least must hold (torque + N f) / radius with wet
 * friction. */
sw_press sw_press_of(const sw_press_request *request);

/* Largest torque at the wheel's shaft before it slips. */
double sw_grip_torque_nm(double contact_n, double friction, double wheel_mm);

#endif
