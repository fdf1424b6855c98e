#include "src/match/deliver/deliver.h"

#include "src/match/deliver/deliver_window.h"
#include "src/match/electric/operate.h"
#include "src/match/electric/simple.h"

#include <math.h>
#include <string.h>

/* Standing still: nothing flows, and the drag asks for no power. */
static void stand_still(const sw_motor *motor, const sw_wiring *wiring, const sw_deliver_load *load,
                        sw_operating_point *point) {
    memset(point, 0, sizeof *point);
    point->power_factor = NAN;
    if (load->kind != SW_LOAD_RESISTOR) {
        point->dc_voltage_v = load->battery_v;
        point->diode_peak_inverse_v = load->battery_v;
    }
    sw_operate_shaft(motor, wiring, load, 0.0, point);
}

/* A load whose volts are what they are. */
static sw_status deliver_held(const sw_motor *motor, const sw_wiring *wiring,
                              const sw_deliver_load *load, double speed_rpm,
                              sw_operating_point *point, sw_error *error) {
    if (!(speed_rpm >= 0.0) || !isfinite(speed_rpm)) {
        return sw_fail(error, SW_VALUE, "speed: found %g rpm, expected 0 or more", speed_rpm);
    }
    double emf_w = 0.0;
    sw_status status = SW_OK;
    /* A stand-still is asked at a crawl so that every check is made. */
    const double asked_rpm = speed_rpm > 0.0 ? speed_rpm : 1e-3;
    if (motor->kind == SW_BRUSHED) {
        status = sw_operate_brushed(motor, wiring, load, asked_rpm, point, &emf_w, error);
    } else if (wiring->rectifier == SW_RECTIFIER_NONE) {
        status = sw_operate_resistors(motor, wiring, load, asked_rpm, point, &emf_w, error);
    } else {
        sw_electric_option option;
        sw_periodic periodic;
        memset(&periodic, 0, sizeof periodic);
        status = sw_option_build(motor, wiring, load, &option, error);
        if (status == SW_OK) {
            status = sw_operate(&option, asked_rpm, &periodic, point, &emf_w, error);
        }
    }
    if (status != SW_OK) {
        return status;
    }
    if (speed_rpm > 0.0) {
        sw_operate_shaft(motor, wiring, load, emf_w, point);
    } else {
        stand_still(motor, wiring, load, point);
    }
    return SW_OK;
}

sw_status sw_deliver(const sw_motor *motor, const sw_wiring *wiring, const sw_deliver_load *load,
                     double speed_rpm, sw_operating_point *point, sw_error *error) {
    sw_deliver_load held;
    if (!sw_deliver_seeks(load)) {
        return deliver_held(motor, wiring, load, speed_rpm, point, error);
    }
    const sw_status status = sw_deliver_seek(motor, wiring, load, speed_rpm, &held, error);
    return status == SW_OK ? deliver_held(motor, wiring, &held, speed_rpm, point, error) : status;
}

static sw_status cut_in_held(const sw_motor *motor, const sw_wiring *wiring,
                             const sw_deliver_load *load, double *speed_rpm, sw_error *error) {
    if (motor->kind == SW_BRUSHED) {
        return sw_brushed_cut_in_rpm(motor, wiring, load, speed_rpm, error);
    }
    if (wiring->rectifier == SW_RECTIFIER_NONE) {
        *speed_rpm = 0.0;
        return SW_OK;
    }
    sw_electric_option option;
    const sw_status status = sw_option_build(motor, wiring, load, &option, error);
    if (status == SW_OK) {
        *speed_rpm = sw_operate_cut_in_rpm(&option);
    }
    return status;
}

sw_status sw_deliver_cut_in(const sw_motor *motor, const sw_wiring *wiring,
                            const sw_deliver_load *load, double *speed_rpm, sw_error *error) {
    const sw_deliver_load held = sw_deliver_lowest(load);
    return cut_in_held(motor, wiring, &held, speed_rpm, error);
}

sw_status sw_deliver_open_volts(const sw_motor *motor, const sw_wiring *wiring,
                                const sw_deliver_load *load, double speed_rpm, double *volts,
                                sw_error *error) {
    if (wiring->rectifier == SW_RECTIFIER_NONE && motor->kind != SW_BRUSHED) {
        return sw_fail(error, SW_UNSUPPORTED, "there are no direct volts without a rectifier");
    }
    /* The speed at which an ideal rectifier begins to feed one volt tells the volts at any. */
    sw_wiring ideal = *wiring;
    ideal.diode = (sw_diode){"", 0.0, 1.0, 0.0, 0.0};
    sw_deliver_load one_volt = *load;
    one_volt.kind = SW_LOAD_CONVERTER;
    one_volt.battery_v = 1.0;
    if (ideal.rectifier == SW_RECTIFIER_NONE) {
        ideal.rectifier = SW_RECTIFIER_BLOCKING_DIODE;
    }
    one_volt.window_low_v = one_volt.window_high_v = 0.0;
    sw_motor bare = *motor;
    bare.brush_drop = sw_quantity_unknown();
    double rpm = 0.0;
    const sw_status status = sw_deliver_cut_in(&bare, &ideal, &one_volt, &rpm, error);
    *volts = status == SW_OK ? speed_rpm / rpm : 0.0;
    return status;
}
