/* Constants that more than one file needs, each once, with its source. */
#ifndef SPINWORTH_SHARED_CONSTANTS_H
#define SPINWORTH_SHARED_CONSTANTS_H

#include <gsl/gsl_math.h> /* M_PI, which strict C17 does not promise */

/* Turns a minute in one radian a second: 60 s/min over 2 pi rad. */
#define SW_RPM_PER_RAD_S (30.0 / M_PI)

/* Standard gravity, m/s2: exact by definition (CGPM 1901, ISO 80000-3). */
#define SW_GRAVITY_M_S2 9.80665

/* Exact by definition (international yard and pound agreement, 1959). */
#define SW_INCH_MM 25.4
#define SW_FOOT_M 0.3048
#define SW_MILE_M 1609.344
#define SW_POUND_KG 0.45359237
#define SW_POUND_FORCE_N (SW_POUND_KG * SW_GRAVITY_M_S2)

/* Rise of copper's resistance a kelvin, over that at 20 degC (IEC 60028). */
#define SW_COPPER_PER_K 0.00393

/* Largest share of the wind's power that a rotor in open flow can take (Betz 1920). */
#define SW_BETZ (16.0 / 27.0)

#endif
