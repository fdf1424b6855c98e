/* The list of probe kinds, in the order in which they are asked. */
#ifndef SPINWORTH_PROBES_KINDS_H
#define SPINWORTH_PROBES_KINDS_H

#include "probes/probe.h"

extern const sw_probe_kind SW_PROBE_SOUND_FILE;
extern const sw_probe_kind SW_PROBE_HAND_READINGS;
extern const sw_probe_kind SW_PROBE_SCOPE_FILE;
extern const sw_probe_kind SW_PROBE_SIMULATED;

/* Kind number `index`, NULL past the last. */
const sw_probe_kind *sw_probe_kind_at(size_t index);

#endif
