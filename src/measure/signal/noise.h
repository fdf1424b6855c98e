/* How much noise a recording carries, read between the harmonics. */
#ifndef SPINWORTH_MEASURE_NOISE_H
#define SPINWORTH_MEASURE_NOISE_H

#include "shared/status.h"
#include "src/measure/signal/signal.h"
#include "src/measure/signal/track.h"

/* One-sided density, squared units of the signal per Hz, at the input (low cut not taken out). */
sw_status sw_noise_density(const sw_track *track, const sw_signal *signal, const sw_kernel *kernel,
                           double *density, sw_error *error);

#endif
