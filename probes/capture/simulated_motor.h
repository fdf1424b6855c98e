/* The simulated motor as a live input: everything that records can be tried without hardware. */
#ifndef SPINWORTH_PROBES_CAPTURE_SIMULATED_MOTOR_H
#define SPINWORTH_PROBES_CAPTURE_SIMULATED_MOTOR_H

#include "probes/capture/capture.h"
#include "probes/simulate/truth.h"

/* What somebody who spins the motor does next. */
typedef struct sw_simulated_act {
    double speed_rpm; /* to be held from now on; NAN = as before */
    bool let_go;
} sw_simulated_act;

/* Who spins it and looks on: sees every frame, in the thread that reads the capture, and is asked
 * every SW_SIMULATED_LOOK_FRAMES what to do, so that one seed gives one recording at any pace. */
typedef struct sw_simulated_person {
    void *user;
    void (*see)(void *user, int64_t first, const int32_t *frames, size_t count);
    sw_simulated_act (*act)(void *user);
} sw_simulated_person;

enum { SW_SIMULATED_LOOK_FRAMES = 1024 };

/* The spin of spec begins when the capture starts. Frames come at `pace` times the rate of real
 * life: 1 as from a sound card, more for who cannot wait. person NULL: it is spun as spec says.
 * truth (NULL = not wanted) is filled when the capture is closed. SW_UNSUPPORTED for a scope's
 * record. */
sw_status sw_simulated_motor_open(const sw_sim_spec *spec, double pace,
                                  const sw_simulated_person *person, sw_sim_truth *truth,
                                  sw_capture **capture, sw_error *error);

/* Stretch the spin for somebody who is led through it: held until a person lets go, and a record
 * that goes on until the shaft has come to rest, coast being how it is let go. */
void sw_simulated_motor_be_led(sw_sim_spec *spec, double hold_s, sw_sim_coast coast);

/* Spin it at about that speed, as near as somebody comes who reads it off a drill's plate. */
void sw_simulated_motor_spin_at(sw_sim_spec *spec, double about_rpm);

#endif
