/* Power over the input volts at one speed rises to a single hump and falls to nothing at the open
 * volts. The window is cut there, since above nothing flows; a few even steps over what is left,
 * ends included, find the neighbours of the best, and a golden section works between them. Near
 * the top power hardly changes with the volts, so a hundredth of the window is close enough. */
#include "src/match/deliver/deliver_window.h"

#include "src/match/deliver/deliver.h"

#include <math.h>

enum { STEPS = 6 };

static const double CLOSE = 0.01;

typedef struct trial {
    const sw_motor *motor;
    const sw_wiring *wiring;
    sw_deliver_load load;
    double speed_rpm;
    sw_status status;
    sw_error *error;
} trial;

bool sw_deliver_seeks(const sw_deliver_load *load) {
    return load->kind == SW_LOAD_CONVERTER && load->window_high_v > load->window_low_v;
}

sw_deliver_load sw_deliver_lowest(const sw_deliver_load *load) {
    sw_deliver_load held = *load;
    if (sw_deliver_seeks(load))
        held.battery_v = load->window_low_v;
    held.window_low_v = held.window_high_v = 0;
    return held;
}

static double power_w(trial *it, double volts) {
    sw_operating_point point = {0};
    if (it->status != SW_OK)
        return 0;
    it->load.battery_v = volts;
    it->status = sw_deliver(it->motor, it->wiring, &it->load, it->speed_rpm, &point, it->error);
    return point.dc_power_w;
}

/* The best volts between two that enclose it. */
static double hump(trial *it, double low, double high) {
    const double part = 0.5 * (sqrt(5.0) - 1);
    const double close = CLOSE * high;
    double a = high - part * (high - low);
    double b = low + part * (high - low);
    double at_a = power_w(it, a);
    double at_b = power_w(it, b);
    while (high - low > close) {
        if (at_a > at_b) {
            high = b;
            b = a;
            at_b = at_a;
            a = high - part * (high - low);
            at_a = power_w(it, a);
        } else {
            low = a;
            a = b;
            at_a = at_b;
            b = low + part * (high - low);
            at_b = power_w(it, b);
        }
    }
    return at_a > at_b ? a : b;
}

static double best_volts(trial *it, double low, double high) {
    double step = (high - low) / STEPS;
    double best = low;
    double most_w = power_w(it, low);
    for (int i = 1; i <= STEPS; i++) {
        double watts = power_w(it, low + i * step);
        if (watts <= most_w)
            continue;
        most_w = watts;
        best = low + i * step;
    }
    double found = hump(it, fmax(low, best - step), fmin(high, best + step));
    return power_w(it, found) > most_w ? found : best;
}

sw_status sw_deliver_seek(const sw_motor *motor, const sw_wiring *wiring,
                          const sw_deliver_load *load, double speed_rpm, sw_deliver_load *held,
                          sw_error *error) {
    double open_v = 0;
    *held = sw_deliver_lowest(load);
    if (!sw_deliver_seeks(load) || !(speed_rpm > 0))
        return SW_OK;
    sw_status status = sw_deliver_open_volts(motor, wiring, held, speed_rpm, &open_v, error);
    if (status != SW_OK || open_v <= load->window_low_v)
        return status;
    trial it = {motor, wiring, *held, speed_rpm, SW_OK, error};
    held->battery_v = best_volts(&it, load->window_low_v, fmin(open_v, load->window_high_v));
    return it.status;
}
