/* A motor whose drag, cogging or inductance nobody measured has them all the same: taken as none it
 * would look better than an equal one that was measured.
 *
 * Its size shows in K / sqrt(R), the torque that one root watt of copper loss gives: K in V s/rad,
 * R between the same wires. The turns of the winding fall out. Over two dozen kinds of scrap motors
 * from fan to wheel hub (the simulator's table of families, whose rows are common practice, no
 * source), the constant drag is 0.05 to 0.8 of that number, the cogging 0.03 to 0.5; the time
 * constant L/R is 0.3 to 6 ms, for half of them above 2 ms. Of drag and cogging the middles on a
 * logarithmic scale are taken, and two in three motors lie within a factor of 2.2. Kind and poles
 * narrow it hardly further.
 */
#include "src/match/parts/usual_motor.h"

#include "shared/constants.h"

#include <math.h>

static const double DRAG_SHARE = 0.2;     /* N m over N m per root watt */
static const double COGGING_SHARE = 0.12; /* the same */
static const double TIME_MS = 2;

bool sw_assumed_any(const sw_assumed *assumed) {
    return assumed->drag || assumed->cogging || assumed->inductance;
}

static bool drag_known(const sw_drag *drag) {
    return sw_quantity_known(drag->constant) || sw_quantity_known(drag->linear) ||
           sw_quantity_known(drag->quadratic);
}

static sw_quantity assume(double value, double worse, const char *unit) {
    value *= exp(SW_USUAL_SPREAD * worse);
    return sw_quantity_of(value, SW_USUAL_SPREAD * value, unit);
}

sw_assumed sw_usual_motor(const sw_motor *motor, double worse, sw_motor *filled) {
    *filled = *motor;
    if (motor->kind == SW_NO_GENERATOR || !sw_quantity_known(motor->voltage_constant) ||
        !(motor->winding_resistance.value > 0))
        return (sw_assumed){0};
    sw_assumed assumed = {.drag = !drag_known(&motor->drag_torque),
                          .cogging = !sw_quantity_known(motor->cogging_torque),
                          .inductance = motor->kind == SW_MAGNET_AC &&
                                        !sw_quantity_known(motor->winding_inductance)};
    double ohm = motor->winding_resistance.value;
    /* N m per root watt = (V s/rad) / sqrt(ohm) */
    double size = motor->voltage_constant.value * SW_RPM_PER_RAD_S / sqrt(ohm);
    if (assumed.drag)
        filled->drag_torque.constant = assume(DRAG_SHARE * size, worse, "N m");
    if (assumed.cogging)
        filled->cogging_torque = assume(COGGING_SHARE * size, worse, "N m");
    if (assumed.inductance)
        filled->winding_inductance = assume(TIME_MS * ohm, worse, "mH");
    return assumed;
}
