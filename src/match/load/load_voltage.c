/* A battery load of another nominal voltage: more or fewer of the same blocks in series, so that
 * rest, full and resistance go with their number and the largest current stays. */
#include "src/match/load/load.h"

#include <math.h>

/* A lead or lithium block of nominally 12 V rests at 12.6 to 13.3 V. */
static const double BLOCK_V = 12;
static const double BLOCK_REST_V = 12.8;

double sw_load_nominal_v(const sw_load *load) {
    double blocks = round(load->voltage.value / BLOCK_REST_V);
    return blocks >= 1 ? blocks * BLOCK_V : load->voltage.value;
}

static sw_quantity times(sw_quantity quantity, double factor) {
    quantity.value *= factor;
    quantity.u *= factor;
    return quantity;
}

sw_load sw_load_of_nominal(const sw_load *load, double nominal_v) {
    sw_load other = *load;
    double factor = nominal_v / sw_load_nominal_v(load);
    if (load->kind != SW_LOAD_BATTERY || fabs(factor - 1) < 1e-9)
        return other;
    other.voltage = times(load->voltage, factor);
    other.full_voltage = times(load->full_voltage, factor);
    other.resistance = times(load->resistance, factor);
    return other;
}
