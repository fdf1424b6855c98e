/* A battery touched to the simulated divider: practice for a calibration. */
#ifndef SPINWORTH_PROBES_SIMULATE_TAPS_H
#define SPINWORTH_PROBES_SIMULATE_TAPS_H

#include "probes/profile.h"
#include "probes/simulate/spec.h"
#include "shared/status.h"
#include "shared/waveform.h"

#include <stddef.h>

enum { SW_SIM_BATTERY_LIMIT = 2, SW_SIM_TOUCHES_EACH_WAY = 5 };

typedef struct sw_sim_batteries {
    size_t count; /* 1 or 2, touched one after the other */
    double volts[SW_SIM_BATTERY_LIMIT];
} sw_sim_batteries;

/* What the input of spec records while each battery is touched to the motor side, five times
 * either way round, with contacts that bounce. One channel; front is the input as it was used,
 * its volts_per_unit filled in. The caller frees the waveform. SW_UNSUPPORTED for a scope, which
 * needs no such thing. */
sw_status sw_sim_taps(const sw_sim_spec *spec, const sw_sim_batteries *batteries,
                      sw_waveform *waveform, sw_sim_front *front, sw_error *error);

/* A motor usually recorded with a scope, on a sound input instead; others stay as they are. */
void sw_sim_use_sound_input(sw_sim_front *front);

/* The input that such a profile describes: a sound input whose true scale, low cut and clock
 * differ from the profile's by what its uncertainties allow (drawn from the seed). A divider
 * that was only designed is far off, one that was calibrated is near. */
void sw_sim_wire_as(const sw_profile *profile, sw_sim_spec *spec);

#endif
