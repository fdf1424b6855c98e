#include "probes/simulate/loaded.h"

double sw_sim_terminal_ohm(const sw_sim_front *front) {
    if (front->load_ohm <= 0)
        return front->input_ohm;
    if (front->input_ohm <= 0)
        return front->load_ohm;
    return front->load_ohm * front->input_ohm / (front->load_ohm + front->input_ohm);
}

sw_status sw_sim_check_load(const sw_sim_spec *spec, sw_error *error) {
    if (spec->front.load_ohm <= 0)
        return SW_OK;
    if (spec->front.channels > 1 || spec->front.between == SW_SIM_BETWEEN_STAR_POINT)
        return sw_fail(error, SW_UNSUPPORTED,
                       "a load resistor is simulated across the one pair of wires that is "
                       "recorded; found %s, expected one channel between two lines",
                       spec->front.channels > 1 ? "more channels" : "the star point");
    if (spec->spin.coast != SW_SIM_COAST_NO)
        return sw_fail(error, SW_UNSUPPORTED,
                       "a load resistor would brake the run-down; expected --coast no");
    return SW_OK;
}
