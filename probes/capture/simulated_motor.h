/* The simulated motor as a live input: everything that records can be tried without hardware. */
#ifndef SPINWORTH_PROBES_CAPTURE_SIMULATED_MOTOR_H
#define SPINWORTH_PROBES_CAPTURE_SIMULATED_MOTOR_H

#include "probes/capture/capture.h"
#include "probes/simulate/spec.h"

/* The spin of spec begins when the capture starts. Frames come at `pace` times the rate of real
 * life: 1 as from a sound card, more for who cannot wait. SW_UNSUPPORTED for a scope's record. */
sw_status sw_simulated_motor_open(const sw_sim_spec *spec, double pace, sw_capture **capture,
                                  sw_error *error);

/* Stretch the spin for somebody who is led through it: at least hold_s at speed, and a record
 * that goes on until the shaft has come to rest, coast being how it is let go. */
void sw_simulated_motor_be_led(sw_sim_spec *spec, double hold_s, sw_sim_coast coast);

/* Spin it at about that speed, as near as somebody comes who reads it off a drill's plate. */
void sw_simulated_motor_spin_at(sw_sim_spec *spec, double about_rpm);

#endif
