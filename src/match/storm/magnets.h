/* What braking and heat do to the motor's magnets, by what they are made of. */
#ifndef SPINWORTH_MATCH_MAGNETS_H
#define SPINWORTH_MATCH_MAGNETS_H

#include "shared/motor.h"
#include "shared/status.h"

typedef struct sw_magnet_risk {
    sw_magnet_kind kind;    /* unknown: the figures are those of ferrite, the most usual */
    double coercivity[2];   /* kA/m at 20 degC: opposing field that demagnetises, worst and best */
    double worst_degc;      /* temperature of use at which they bear least */
    double coercivity_left; /* there, over that at 20 degC, worst */
} sw_magnet_risk;

/* From reference/magnets.json. */
sw_status sw_magnet_risk_of(const char *reference_dir, sw_magnet_kind kind, sw_magnet_risk *risk,
                            sw_error *error);

#endif
