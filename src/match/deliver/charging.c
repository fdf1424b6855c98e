#include "src/match/deliver/charging.h"

#include "src/match/deliver/deliver.h"
#include "src/match/electric/diode_law.h"

#include <math.h>

/* Neither poles nor phases are known, but the volts are: the crest of the wave tells as much. */
static double by_crest(const sw_motor *motor, const sw_load *load) {
    int diodes = motor->kind == SW_BRUSHED ? 1 : 2;
    double knee_v = sw_diode_law_of(&load->diode).threshold_v;
    if (!sw_quantity_known(motor->constants.rpm_per_volt_peak))
        return NAN;
    return (load->voltage.value + diodes * knee_v) * motor->constants.rpm_per_volt_peak.value;
}

double sw_charging_rpm(const sw_motor *motor, const sw_load *load) {
    sw_motor open = *motor; /* no current flows: any resistance will do */
    double speed_rpm = NAN;
    if (motor->kind == SW_NO_GENERATOR)
        return NAN;
    if (!sw_quantity_known(open.winding_resistance))
        open.winding_resistance = sw_quantity_of(1, NAN, "ohm");
    sw_wiring wiring = sw_wiring_default(&open);
    sw_deliver_load seen = sw_load_electrical(load);
    wiring.diode = load->diode;
    if (motor->kind == SW_BRUSHED)
        wiring.rectifier = SW_RECTIFIER_BLOCKING_DIODE;
    if (sw_deliver_cut_in(&open, &wiring, &seen, &speed_rpm, NULL) == SW_OK)
        return speed_rpm;
    return load->kind == SW_LOAD_RESISTOR ? NAN : by_crest(motor, load);
}

double sw_charging_rpm_of(const sw_motor *motor, double nominal_v) {
    sw_load usual = sw_load_default();
    sw_load load = sw_load_of_nominal(&usual, nominal_v);
    return sw_charging_rpm(motor, &load);
}
