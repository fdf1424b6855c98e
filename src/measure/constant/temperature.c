#include "src/measure/constant/temperature.h"

#include "shared/constants.h"

#include <math.h>

static double u_or_zero(sw_quantity quantity) {
    return isfinite(quantity.u) ? quantity.u : 0;
}

sw_quantity sw_resistance_at(sw_quantity at_20_degc, sw_quantity temperature_degc) {
    double factor = 1 + SW_COPPER_PER_K * (temperature_degc.value - 20);
    double u = hypot(u_or_zero(at_20_degc) * factor,
                     at_20_degc.value * SW_COPPER_PER_K * u_or_zero(temperature_degc));
    return sw_quantity_of(at_20_degc.value * factor, u, at_20_degc.unit);
}

sw_quantity sw_constant_at(sw_quantity constant, sw_quantity from_degc, sw_quantity to_degc,
                           double percent_per_k, const double range[2]) {
    double kelvin = to_degc.value - from_degc.value;
    double factor = 1 + percent_per_k / 100 * kelvin;
    double spread_u = fabs(range[1] - range[0]) / sqrt(12) / 100 * kelvin;
    double heat_u = percent_per_k / 100 * hypot(u_or_zero(from_degc), u_or_zero(to_degc));
    double u = hypot(u_or_zero(constant) * factor, constant.value * hypot(spread_u, heat_u));
    return sw_quantity_of(constant.value * factor, u, constant.unit);
}
