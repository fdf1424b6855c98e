/* From the coarse path to the smooth angle of the fundamental. */
#ifndef SPINWORTH_MEASURE_REFINE_H
#define SPINWORTH_MEASURE_REFINE_H

#include "shared/status.h"
#include "src/measure/signal/path.h"
#include "src/measure/signal/signal.h"
#include "src/measure/signal/track.h"

/* track->count is 0 when the path does not hold up. */
sw_status sw_refine(const sw_path *path, const sw_signal *signal, const sw_kernel *kernel,
                    sw_track *track, sw_error *error);

#endif
