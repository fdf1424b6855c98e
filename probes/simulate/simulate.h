/* The simulated motor on a simulated spindle: practice without hardware, recordings for examples
 * and tests, each with its truth. It shares nothing with the analysis.
 *
 * Magnet ring and coils make the EMF over the shaft angle (ring.h, winding.h, machine.h), a hand
 * drill or a hand makes the angle over time (spindle.h), divider, clamps and input make the
 * samples (front.h). Typical motors stand in families.c.
 */
#ifndef SPINWORTH_PROBES_SIMULATE_SIMULATE_H
#define SPINWORTH_PROBES_SIMULATE_SIMULATE_H

#include "probes/profile.h"
#include "probes/simulate/spec.h"
#include "probes/simulate/truth.h"
#include "shared/status.h"
#include "shared/waveform.h"

#include <stddef.h>

/* Names and descriptions of the families, NULL beyond the last. */
const char *sw_sim_family_name(size_t index);
const char *sw_sim_family_about(size_t index);

/* A motor of that family with its tolerances, spun and recorded in a usual way, all drawn from
 * seed; family NULL draws the family too. A name that is not known gives SW_NOT_FOUND. */
sw_status sw_sim_family(const char *name, unsigned long seed, sw_sim_spec *spec, sw_error *error);

/* A clean set-up for tests: equal magnets, ideal input (DC-coupled, no noise, not rounded),
 * steady speed from the start. The motor's family values stay. */
void sw_sim_idealise(sw_sim_spec *spec);

/* Turned by hand at speed_rpm instead of by a drill: a strong ripple once and twice a turn, an
 * uneven pace, no gear lines. */
void sw_sim_turn_by_hand(sw_sim_spec *spec, double speed_rpm);

/* Simulate the whole record. The caller frees the waveform; truth may be NULL. */
sw_status sw_simulate(const sw_sim_spec *spec, sw_waveform *waveform, sw_sim_truth *truth,
                      sw_error *error);

/* The same, a block at a time: an hour takes no more memory than a block. */
typedef struct sw_sim sw_sim;
sw_status sw_sim_new(const sw_sim_spec *spec, sw_sim **sim, sw_error *error);
size_t sw_sim_frames(const sw_sim *sim);
/* Interleaved frames; returns how many, 0 at the end. */
size_t sw_sim_read(sw_sim *sim, double *block, size_t frames);
/* For somebody who acts while it runs: hold another speed from here on; let go now, when there is
 * a coast. */
void sw_sim_hold(sw_sim *sim, double speed_rpm);
void sw_sim_let_go(sw_sim *sim);
/* The record ends here, however long it was meant to be: so does what the truth tells. */
void sw_sim_end(sw_sim *sim);
/* Complete once all frames were read. */
const sw_sim_truth *sw_sim_truth_of(const sw_sim *sim);
void sw_sim_free(sw_sim *sim);

/* Standard uncertainties of an honest calibration. */
typedef struct sw_sim_calibration {
    double volts_relative;   /* e.g. 0.002 */
    double low_cut_relative; /* e.g. 0.03 */
    double clock;            /* e.g. 20e-6, absolute on the relative rate error */
} sw_sim_calibration;

/* The profile such a calibration would have given: each value is the truth plus an error drawn
 * from its stated uncertainty (its seed follows from the record's). */
sw_profile sw_sim_profile(const sw_sim_truth *truth, const sw_sim_calibration *calibration);

#endif
