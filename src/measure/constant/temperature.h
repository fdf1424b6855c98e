/* What heat does: copper's resistance rises, magnets weaken. */
#ifndef SPINWORTH_MEASURE_TEMPERATURE_H
#define SPINWORTH_MEASURE_TEMPERATURE_H

#include "shared/quantity.h"

/* Resistance at temperature_degc from that at 20 degC: R = R20 (1 + 0.00393 (T - 20)) (copper,
 * IEC 60228). */
sw_quantity sw_resistance_at(sw_quantity at_20_degc, sw_quantity temperature_degc);

/* A voltage constant (or flux linkage) measured with magnets at from_degc, once they are at
 * to_degc: it follows the remanence, which changes by percent_per_k (its range being what makers
 * state, taken as rectangular). */
sw_quantity sw_constant_at(sw_quantity constant, sw_quantity from_degc, sw_quantity to_degc,
                           double percent_per_k, const double range[2]);

#endif
