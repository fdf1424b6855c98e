/* What a workshop's measurements tell beside the motor record: torques on a lever, a loaded run's
 * own figures, what becomes of the motor when it is warm. */
#ifndef SPINWORTH_MEASURE_BENCH_H
#define SPINWORTH_MEASURE_BENCH_H

#include "shared/quantity.h"
#include "src/measure/bench/cogging.h"
#include "src/measure/bench/loaded.h"
#include "src/measure/bench/rundown.h"
#include "src/measure/brushed/brushed_load.h"
#include "src/measure/twin.h"

#include <stdbool.h>

typedef struct sw_bench {
    bool has_rundown; /* of a free shaft, drag was told */
    sw_rundown rundown;
    bool has_lever;
    sw_lever_result lever;
    int cogging_periods; /* a turn; 0 = slots or poles not known */
    bool has_loaded;
    sw_loaded_result loaded;
    bool has_brushed; /* loaded runs of a brushed motor */
    sw_brushed_result brushed;
    sw_twin twin;              /* against an equal motor that is good */
    sw_quantity meter_ohm;     /* the multimeter's at 20 degC, before the loaded run was told */
    sw_quantity warm_degc;     /* running temperature asked for */
    sw_quantity warm_ohm;      /* winding at it */
    sw_quantity warm_constant; /* volts per rpm with the magnets at it */
    double warm_share;         /* of the volts that are left, NaN = magnets not said */
} sw_bench;

sw_bench sw_bench_empty(void);

/* Is there anything to say? */
bool sw_bench_any(const sw_bench *bench);

#endif
