#include "src/match/wiring.h"

#include "shared/constants.h"

#include <math.h>
#include <string.h>

static const char *const rectifier_names[SW_RECTIFIER_COUNT] = {
    [SW_RECTIFIER_BRIDGE] = "bridge",
    [SW_RECTIFIER_HALF_WAVE] = "half-wave",
    [SW_RECTIFIER_DOUBLER] = "doubler",
    [SW_RECTIFIER_CENTRE_TAP] = "centre-tap",
    [SW_RECTIFIER_BLOCKING_DIODE] = "blocking-diode",
    [SW_RECTIFIER_NONE] = "none",
};

const char *sw_rectifier_name(sw_rectifier kind) {
    return kind >= 0 && kind < SW_RECTIFIER_COUNT ? rectifier_names[kind] : "?";
}

sw_status sw_rectifier_find(const char *name, sw_rectifier *kind, sw_error *error) {
    for (int i = 0; i < SW_RECTIFIER_COUNT; i++) {
        if (strcmp(name, rectifier_names[i]) == 0) {
            *kind = (sw_rectifier)i;
            return SW_OK;
        }
    }
    return sw_fail(error, SW_VALUE,
                   "found '%s', expected bridge, half-wave, doubler, centre-tap, blocking-diode "
                   "or none",
                   name);
}

/* A silicon bridge block: v = 0.73 V at 1 A, as "silicon" in the table of diodes. */
static const sw_diode SILICON = {"silicon", 1.6e-7, 1.8, 0.005, 0.0};

sw_wiring sw_wiring_default(const sw_motor *motor) {
    sw_wiring wiring;
    memset(&wiring, 0, sizeof wiring);
    wiring.connection = SW_AS_IT_COMES;
    wiring.rectifier =
        motor->kind == SW_BRUSHED ? SW_RECTIFIER_BLOCKING_DIODE : SW_RECTIFIER_BRIDGE;
    wiring.diode = SILICON;
    wiring.rewind = 1.0;
    wiring.machines = 1;
    wiring.magnet_factor = 1.0;
    wiring.winding_degc = 20.0;
    return wiring;
}

static double known_or_zero(sw_quantity quantity) {
    return sw_quantity_known(quantity) ? quantity.value : 0.0;
}

double sw_motor_drag_nm(const sw_motor *motor, double speed_rpm) {
    const double omega = fabs(speed_rpm) / SW_RPM_PER_RAD_S;
    return known_or_zero(motor->drag_torque.constant) +
           omega * (known_or_zero(motor->drag_torque.linear) +
                    omega * known_or_zero(motor->drag_torque.quadratic));
}
