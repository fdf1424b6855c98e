/* A speed-sensor coil has many turns of thin wire round a small ring magnet: a meter shows volts
 * enough for a winding, but the most that can be drawn is E^2 / 4R (load as large as the coil's
 * own resistance; Jacobi 1840). That figure does not depend on the number of turns, since volts
 * go with the turns and ohms with their square in the same room; so it tells a small magnet
 * circuit from a large one whatever the wire. */
#include "src/measure/sensor.h"

#include <math.h>

/* Common practice, no source: drain pumps give 5 W at 1000 rpm, the smallest fans 0.3 W behind ten
 * ohms, sensor coils 0.01 to 0.1 W. Below the lesser watts fewer ohms do; fewer still are disk
 * spindles. */
static const double USUAL_RPM = 1000;
static const double SENSOR_W = 1;
static const double SENSOR_OHM = 50;
static const double LESSER_W = 0.1;
static const double LESSER_OHM = 10;
static const double SENSOR_V = 10; /* at 1000 rpm; sensor coils give 1 to 8 V */
static const double PLENTY_V = 0.5;

static sw_quantity usual_volts(const sw_motor *motor) {
    sw_quantity per = motor->voltage_constant;
    double factor = USUAL_RPM;
    if (!sw_quantity_known(per)) {
        per = motor->volts_per_hertz;
        factor = motor->electrical_frequency.value;
    }
    if (!sw_quantity_known(per) || !isfinite(factor))
        return sw_quantity_unknown();
    return sw_quantity_of(per.value * factor, per.u * factor, "V");
}

sw_quantity sw_sensor_watts(const sw_motor *motor) {
    sw_quantity volts = usual_volts(motor);
    sw_quantity ohm = motor->winding_resistance;
    if (!sw_quantity_known(volts) || !sw_quantity_known(ohm) || !(ohm.value > 0))
        return sw_quantity_unknown();
    double watts = volts.value * volts.value / (4 * ohm.value);
    double share = hypot(2 * volts.u / volts.value, ohm.u / ohm.value);
    return sw_quantity_of(watts, watts * share, "W");
}

static bool like_a_sensor(double ohm, double watts) {
    return (ohm >= SENSOR_OHM && watts < SENSOR_W) || (ohm >= LESSER_OHM && watts < LESSER_W);
}

bool sw_sensor_possible(const sw_motor *motor) {
    sw_quantity volts = usual_volts(motor);
    bool one_winding = motor->kind == SW_MAGNET_AC && motor->phases <= 1;
    return one_winding && sw_quantity_known(volts) && volts.value < SENSOR_V &&
           !sw_quantity_known(motor->winding_resistance);
}

void sw_sensor_check(sw_motor *motor) {
    sw_quantity watts = sw_sensor_watts(motor);
    bool one_winding = motor->kind == SW_MAGNET_AC && motor->phases <= 1;
    if (!one_winding || !sw_quantity_known(watts) || sw_motor_warned(motor, SW_WARN_SENSOR_COIL))
        return;
    if (!like_a_sensor(motor->winding_resistance.value, watts.value) ||
        usual_volts(motor).value < PLENTY_V)
        return;
    const char *when =
        sw_quantity_known(motor->voltage_constant) ? "at 1000 rpm" : "at the recorded speed";
    sw_motor_warn(motor, SW_WARN_SENSOR_COIL,
                  "%.2g V behind %.3g ohm can never give more than %.2g W %s: that is a "
                  "speed-sensor coil, not the winding. Look for thicker wires with fewer ohms, "
                  "which make the shaft stiffer when shorted",
                  usual_volts(motor).value, motor->winding_resistance.value, watts.value, when);
}
