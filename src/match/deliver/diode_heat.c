#include "src/match/deliver/diode_heat.h"

#include <math.h>

static const double junction_reserve_k = 25.0;
static const double current_margin = 1.5;
static const double inverse_margin = 2.0;

int sw_diode_count(const sw_motor *motor, sw_rectifier rectifier) {
    static const int bridge[] = {0, 4, 8, 6};
    const int phases = motor->phases >= 1 && motor->phases <= 3 ? motor->phases : 1;
    switch (rectifier) {
    case SW_RECTIFIER_BRIDGE:
        return motor->kind == SW_BRUSHED ? 4 : bridge[phases];
    case SW_RECTIFIER_HALF_WAVE:
        return motor->kind == SW_BRUSHED ? 1 : phases;
    case SW_RECTIFIER_DOUBLER:
    case SW_RECTIFIER_CENTRE_TAP:
        return 2 * phases;
    case SW_RECTIFIER_BLOCKING_DIODE:
        return 1;
    case SW_RECTIFIER_NONE:
    case SW_RECTIFIER_COUNT:
        break;
    }
    return 0;
}

/* Mean current of one diode: with bridges the whole current passes an upper and a lower row. */
static double mean_current(const sw_motor *motor, const sw_wiring *wiring,
                           const sw_operating_point *point, int diodes) {
    const bool two_rows =
        wiring->rectifier == SW_RECTIFIER_BRIDGE || wiring->rectifier == SW_RECTIFIER_DOUBLER;
    /* In a steady-running brushed motor's bridge only one pair of the four works. */
    const double working = motor->kind == SW_BRUSHED ? 1.0 : two_rows ? diodes / 2.0 : diodes;
    return point->dc_current_a / wiring->machines / working;
}

sw_diode_heat sw_diode_heat_of(const sw_motor *motor, const sw_wiring *wiring,
                               const sw_operating_point *point, double open_v,
                               const sw_diode_rating *rating, double ambient_degc) {
    sw_diode_heat heat = {0};
    heat.diodes = sw_diode_count(motor, wiring->rectifier);
    heat.rated_a = rating->current_a;
    heat.rated_v = rating->inverse_v;
    heat.current_fine = true;
    heat.inverse_fine = true;
    heat.sink_k_w = INFINITY;
    if (heat.diodes == 0) {
        return heat;
    }
    heat.block_w = point->diode_loss_w / wiring->machines;
    heat.diode_w = heat.block_w / heat.diodes;
    heat.diode_mean_a = mean_current(motor, wiring, point, heat.diodes);
    heat.current_fine = !(current_margin * heat.diode_mean_a > rating->current_a);
    heat.inverse_fine = !(inverse_margin * open_v > rating->inverse_v);
    if (heat.block_w > 0.0) {
        /* Air to junction: the block warms the sink, each diode its own way to the case. */
        const double rise_k = rating->junction_degc - junction_reserve_k - ambient_degc;
        heat.sink_k_w = (rise_k - heat.diode_w * rating->heat_k_w) / heat.block_w;
    }
    return heat;
}
