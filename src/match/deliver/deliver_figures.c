#include "src/match/deliver/deliver_figures.h"

#include <string.h>

#define AT(member) offsetof(sw_operating_point, member)

const sw_figure sw_figures[] = {
    {"speed", "rpm", AT(speed_rpm)},
    {"frequency", "Hz", AT(frequency_hz)},
    {"dc_current", "A", AT(dc_current_a)},
    {"dc_voltage", "V", AT(dc_voltage_v)},
    {"dc_power", "W", AT(dc_power_w)},
    {"ac_power", "W", AT(ac_power_w)},
    {"battery_power", "W", AT(battery_power_w)},
    {"standby_power", "W", AT(standby_w)},
    {"resistance_loss", "W", AT(resistance_loss_w)},
    {"copper_loss", "W", AT(copper_loss_w)},
    {"circulating_loss", "W", AT(circulating_loss_w)},
    {"diode_loss", "W", AT(diode_loss_w)},
    {"drag_loss", "W", AT(drag_loss_w)},
    {"shaft_power", "W", AT(shaft_power_w)},
    {"shaft_torque", "N m", AT(shaft_torque_nm)},
    {"torque_ripple", "N m", AT(torque_ripple_nm)},
    {"phase_current_rms", "A", AT(phase_current_rms_a)},
    {"phase_current_peak", "A", AT(phase_current_peak_a)},
    {"circulating_current_rms", "A", AT(circulating_current_rms_a)},
    {"diode_peak_inverse", "V", AT(diode_peak_inverse_v)},
    {"dc_ripple", "V", AT(dc_ripple_v)},
    {"power_factor", "1", AT(power_factor)},
    {"efficiency", "1", AT(efficiency)},
};

const size_t sw_figure_count = sizeof sw_figures / sizeof sw_figures[0];

double sw_figure_value(const sw_figure *figure, const sw_operating_point *point) {
    double value = 0.0;
    memcpy(&value, (const char *)point + figure->offset, sizeof value);
    return value;
}

static bool is(const sw_figure *figure, const char *key) {
    return strcmp(figure->key, key) == 0;
}

const char *sw_figure_absent(const sw_figure *figure, const sw_wiring *wiring,
                             const sw_deliver_load *load) {
    const bool plain = wiring->rectifier == SW_RECTIFIER_NONE;
    if (plain && (strncmp(figure->key, "dc_", 3) == 0 || is(figure, "diode_peak_inverse"))) {
        return "there is no direct current without a rectifier";
    }
    if (!plain && is(figure, "ac_power")) {
        return "the power is taken after the rectifier";
    }
    if (load->kind == SW_LOAD_RESISTOR &&
        (is(figure, "battery_power") || is(figure, "standby_power"))) {
        return "there is no battery";
    }
    return NULL;
}
