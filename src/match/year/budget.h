/* Where a year's energy goes: from the rotor at its best down to what can be used. */
#ifndef SPINWORTH_MATCH_BUDGET_H
#define SPINWORTH_MATCH_BUDGET_H

#include "src/match/plant.h"
#include "src/match/site/site.h"
#include "src/match/year/power_curve.h"

typedef enum sw_loss {
    SW_LOSS_TOO_LIGHT, /* wind in which it stands still, or turns and gives nothing yet */
    SW_LOSS_OFF_BEST,  /* rotor away from its best speed, or not in use */
    SW_LOSS_BEARINGS,  /* of the rotor */
    SW_LOSS_DRIVE,     /* rolling, creep, belt or chain */
    SW_LOSS_DRAG,      /* of the motor: magnets in iron, bearings */
    SW_LOSS_COPPER,
    SW_LOSS_DIODES,
    SW_LOSS_AFTER, /* battery resistance, cable, converter, standby */
    SW_LOSS_COUNT
} sw_loss;

typedef struct sw_budget {
    double best_kwh; /* = all losses + usable */
    double loss_kwh[SW_LOSS_COUNT];
    double usable_kwh;
    double loss_free_kwh; /* of a motor without drag, copper and diodes at the same speeds */
} sw_budget;

/* Of a rotor that starts from rest; best_kwh, dc_kwh and usable_kwh are known already. */
sw_budget sw_budget_of(const sw_plant *plant, const sw_power_curve *curve, const sw_site *site,
                       double best_kwh, double dc_kwh, double usable_kwh);

#endif
