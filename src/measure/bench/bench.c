#include "src/measure/bench/bench.h"

#include <math.h>

sw_bench sw_bench_empty(void) {
    sw_quantity unknown = sw_quantity_unknown();
    return (sw_bench){.meter_ohm = unknown,
                      .warm_degc = unknown,
                      .warm_ohm = unknown,
                      .warm_constant = unknown,
                      .warm_share = NAN};
}

bool sw_bench_any(const sw_bench *bench) {
    return bench->has_rundown || bench->has_lever || bench->has_loaded || bench->has_brushed ||
           bench->twin.known || bench->cogging_periods > 0 || sw_quantity_known(bench->warm_degc);
}
