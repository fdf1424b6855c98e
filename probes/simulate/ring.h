/* The magnet ring: its field around the turn as a Fourier series. */
#ifndef SPINWORTH_PROBES_SIMULATE_RING_H
#define SPINWORTH_PROBES_SIMULATE_RING_H

#include "probes/simulate/spec.h"
#include "shared/status.h"

#include <complex.h>

/* field[k], k = 0 .. orders: coefficient of exp(i k angle), angle around the ring in mechanical
 * radians; the real field is twice the real part. field[0] = 0: what goes out comes back. */
sw_status sw_ring_field(const sw_sim_motor *motor, unsigned long seed, int orders,
                        double complex *field, sw_error *error);

#endif
