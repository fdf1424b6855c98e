/* How a capacitor is discharged, said in the same words wherever it is said. 10 kohm take 50 uF
 * down to a hundredth within 2.5 s and no more than 40 mA from 400 V; the pulse of 16 W is over
 * before a 5 W resistor grows warm (common practice, no source; the arithmetic is plain). */
#ifndef SPINWORTH_SHARED_DISCHARGE_H
#define SPINWORTH_SHARED_DISCHARGE_H

#define SW_DISCHARGE_RESISTOR "10 kohm, 5 W, for ten seconds, by insulated probes"
#define SW_DISCHARGE_CHECK "a meter on its highest DC range shows that nothing is left"

#endif
