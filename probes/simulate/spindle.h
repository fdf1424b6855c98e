/* The simulated spindle: shaft angle and speed over time. */
#ifndef SPINWORTH_PROBES_SIMULATE_SPINDLE_H
#define SPINWORTH_PROBES_SIMULATE_SPINDLE_H

#include "probes/simulate/spec.h"

#include <gsl/gsl_rng.h>
#include <stdbool.h>
#include <stddef.h>

enum { SW_SPINDLE_LINES = 7 };

/* A line of the speed ripple: relative amplitude at `order` periods a turn. */
typedef struct sw_spindle_line {
    double order;
    double amplitude;
    double torque_nm; /* of a cogging line, whose amplitude falls with speed; else 0 */
    double phase_rad;
    double now; /* amplitude at the last step */
} sw_spindle_line;

typedef struct sw_spindle {
    const sw_sim_spec *spec; /* borrowed */
    gsl_rng *random;         /* borrowed */
    size_t lines;
    sw_spindle_line line[SW_SPINDLE_LINES];
    double base_rad;   /* angle without ripple */
    double base_speed; /* rad/s without ripple */
    double held_rpm;   /* follows the speed that is held for, as a finger eases the trigger */
    double wander;     /* relative speed error of the trigger finger, smoothed */
    double wander_raw;
    bool free;        /* shaft let go */
    double angle_rad; /* results, direction of turning left out */
    double speed;     /* rad/s */
} sw_spindle;

/* At rest, or at speed when the ramp is zero. */
void sw_spindle_start(sw_spindle *spindle, const sw_sim_spec *spec, gsl_rng *random);

/* Go on from time_s to time_s + step_s. */
void sw_spindle_step(sw_spindle *spindle, double time_s, double step_s);

/* When the ramp has settled into the hold. */
double sw_spindle_hold_from(const sw_sim_spin *spin);

/* How long it takes until another speed is held. */
double sw_spindle_easing_s(double from_rpm, double to_rpm);

#endif
