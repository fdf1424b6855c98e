/* A steady periodic wave in noise: its frequency as exactly as the noise allows. */
#ifndef SPINWORTH_MEASURE_TONE_H
#define SPINWORTH_MEASURE_TONE_H

#include "shared/quantity.h"
#include "shared/status.h"
#include "src/measure/signal/signal.h"

enum { SW_TONE_ORDERS = 13 };

typedef struct sw_tone {
    sw_quantity frequency; /* "Hz", u from the residual */
    double sigma;          /* rms residual */
    double strays;         /* > 1: the speed was not steady (four standard deviations) */
} sw_tone;

/* Maximum-likelihood frequency between from_s and to_s; harmonics up to `orders` and an offset are
 * fitted along. start_hz must be within half a turn over the stretch. */
sw_status sw_tone_fit(const sw_signal *signal, double from_s, double to_s, int orders,
                      double start_hz, sw_tone *tone, sw_error *error);

#endif
