/* Mains hum: a steady line at 50 or 60 Hz and its multiples that does not follow the motor. */
#ifndef SPINWORTH_MEASURE_HUM_H
#define SPINWORTH_MEASURE_HUM_H

#include "shared/status.h"
#include "src/measure/signal/path.h"
#include "src/measure/signal/signal.h"

typedef struct sw_hum {
    double hz;        /* 0 = none found */
    double amplitude; /* peak of the fundamental */
} sw_hum;

/* Find hum where the path is silent or far away, and subtract it from the whole signal. */
sw_status sw_hum_remove(sw_signal *signal, const sw_kernel *kernel, const sw_path *path,
                        sw_hum *hum, sw_error *error);

#endif
