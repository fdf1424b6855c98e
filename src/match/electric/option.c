#include "src/match/electric/option.h"

#include "shared/constants.h"

#include <math.h>
#include <string.h>

enum { COARSE_STEPS = 72, STEPS_PER_ORDER = 24 };

/* Halving the steps of a fine enough grid changes no figure by more than this part. */
static const double usual_settled = 3e-4;

/* [rectifier][phases - 1]; NULL where there is no such circuit. */
static const sw_topology *const topology_of[SW_RECTIFIER_COUNT][3] = {
    [SW_RECTIFIER_BRIDGE] = {&sw_topology_one_phase_bridge, &sw_topology_two_phase_bridges,
                             &sw_topology_three_phase_bridge},
    [SW_RECTIFIER_HALF_WAVE] = {&sw_topology_one_phase_half_wave, &sw_topology_two_phase_half_wave,
                                &sw_topology_three_phase_half_wave},
    [SW_RECTIFIER_DOUBLER] = {&sw_topology_one_phase_doubler, &sw_topology_two_phase_doublers,
                              &sw_topology_three_phase_doubler},
    [SW_RECTIFIER_CENTRE_TAP] = {&sw_topology_one_phase_centre_tap,
                                 &sw_topology_two_phase_centre_taps, NULL},
};

static sw_status choose_topology(const sw_motor *motor, const sw_wiring *wiring, bool delta,
                                 const sw_topology **topology, sw_error *error) {
    const char *name = sw_rectifier_name(wiring->rectifier);
    *topology = topology_of[wiring->rectifier][motor->phases - 1];
    if (*topology == NULL && wiring->rectifier == SW_RECTIFIER_CENTRE_TAP) {
        return sw_fail(error, SW_UNSUPPORTED,
                       "centre-tap needs a winding with a tap in its middle, one or two phases; "
                       "this motor has three: use bridge");
    }
    if (*topology == NULL) {
        return sw_fail(error, SW_UNSUPPORTED,
                       "%s is for brushed motors; this one gives alternating current: use bridge "
                       "or half-wave",
                       name);
    }
    if (motor->phases == 3 && !(*topology)->floating && delta) {
        return sw_fail(error, SW_UNSUPPORTED,
                       "%s needs the star point, and a delta has none: use bridge", name);
    }
    if (motor->phases == 3 && !(*topology)->floating && motor->star_point == SW_NO) {
        return sw_fail(error, SW_UNSUPPORTED,
                       "%s needs a wire to the star point, and this motor has none brought out: "
                       "use bridge",
                       name);
    }
    return SW_OK;
}

/* Leg EMFs from winding EMFs. A delta becomes its star: winding k runs from line k to line k + 1,
 * so line k gets a third of (winding k - winding k - 1), and multiples of three cancel. */
static void fill_legs(const sw_windings *windings, sw_circuit *circuit) {
    const sw_topology *topology = circuit->topology;
    const sw_emf *from = &windings->emf;
    sw_emf *to = &circuit->emf;
    to->orders = from->orders;
    memcpy(to->order, from->order, sizeof to->order);
    for (int k = 0; k < topology->legs; k++) {
        const sw_topology_leg *leg = &topology->leg[k];
        for (int h = 0; h < from->orders; h++) {
            if (windings->delta) {
                const int before = (k + 2) % 3;
                to->re[k][h] = (from->re[k][h] - from->re[before][h]) / 3.0;
                to->im[k][h] = (from->im[k][h] - from->im[before][h]) / 3.0;
            } else {
                to->re[k][h] = leg->share * from->re[leg->winding][h];
                to->im[k][h] = leg->share * from->im[leg->winding][h];
            }
        }
    }
}

/* EMF that drives current round a delta: the multiples of three of one winding. */
static void fill_circulation(const sw_windings *windings, sw_circulation *circulation) {
    circulation->delta = windings->delta;
    for (int h = 0; windings->delta && h < windings->emf.orders; h++) {
        if (windings->emf.order[h] % 3 == 0) {
            const int n = circulation->orders++;
            circulation->order[n] = windings->emf.order[h];
            circulation->re[n] = windings->emf.re[0][h];
            circulation->im[n] = windings->emf.im[0][h];
        }
    }
}

static sw_status check_load(const sw_wiring *wiring, const sw_deliver_load *load, sw_error *error) {
    if (load->kind == SW_LOAD_RESISTOR && !(load->resistor_ohm > 0.0)) {
        return sw_fail(error, SW_VALUE, "resistor: found %g ohm, expected more than 0",
                       load->resistor_ohm);
    }
    if (load->kind != SW_LOAD_RESISTOR && !(load->battery_v > 0.0)) {
        return sw_fail(error, SW_VALUE, "load voltage: found %g V, expected more than 0",
                       load->battery_v);
    }
    if (!(load->battery_ohm >= 0.0) || !(load->cable_ac_ohm >= 0.0) ||
        !(load->cable_dc_ohm >= 0.0) || !(load->capacitor_f >= 0.0)) {
        return sw_fail(error, SW_VALUE,
                       "battery and cable resistance and capacitor must not be negative");
    }
    if (wiring->rectifier == SW_RECTIFIER_DOUBLER && !(load->capacitor_f > 0.0)) {
        return sw_fail(error, SW_MISSING_KEY,
                       "doubler needs the size of its two capacitors (such as 4700 uF each)");
    }
    return SW_OK;
}

/* Load as one machine sees it: the current of all goes through the battery. */
static void fill_load(const sw_wiring *wiring, const sw_deliver_load *load,
                      sw_electric_option *option) {
    const double machines = wiring->machines;
    sw_circuit *circuit = &option->circuit;
    const bool resistor = load->kind == SW_LOAD_RESISTOR;
    const double inner_ohm = resistor                          ? load->resistor_ohm
                             : load->kind == SW_LOAD_CONVERTER ? 0.0
                                                               : load->battery_ohm;
    circuit->load_v = resistor ? 0.0 : load->battery_v;
    circuit->load_ohm = machines * (inner_ohm + load->cable_dc_ohm);
    const bool smoothed = resistor || circuit->topology->units > 0;
    circuit->smooth_s =
        smoothed ? 2.0 * M_PI * option->hertz_per_rpm * load->capacitor_f / machines : 0.0;
}

static double rms_of_first(const sw_emf *emf) {
    double sum = 0.0;
    for (int h = 0; h < emf->orders; h++) {
        sum += 0.5 * (emf->re[0][h] * emf->re[0][h] + emf->im[0][h] * emf->im[0][h]);
    }
    return sqrt(sum);
}

/* What symmetry may be used, and how fine the grid must be for the shape. */
static void judge_shape(const sw_motor *motor, sw_electric_option *option) {
    const sw_emf *emf = &option->circuit.emf;
    option->odd_only = true;
    int highest = 1;
    for (int h = 0; h < emf->orders; h++) {
        option->odd_only = option->odd_only && emf->order[h] % 2 == 1;
        highest = emf->order[h];
    }
    option->right_angle =
        !sw_quantity_known(motor->phase_angle) || fabs(motor->phase_angle.value - 90.0) < 1e-9;
    option->steps = COARSE_STEPS;
    option->settled = usual_settled;
    while (option->steps < STEPS_PER_ORDER * highest) {
        option->steps += COARSE_STEPS;
    }
}

sw_status sw_option_build(const sw_motor *motor, const sw_wiring *wiring,
                          const sw_deliver_load *load, sw_electric_option *option,
                          sw_error *error) {
    sw_terminals terminals;
    sw_windings windings;
    memset(option, 0, sizeof *option);
    sw_status status = sw_terminals_of(motor, wiring, &terminals, error);
    if (status == SW_OK) {
        status = check_load(wiring, load, error);
    }
    if (status == SW_OK) {
        status = sw_windings_of(motor, wiring, &terminals, &windings, error);
    }
    sw_circuit *circuit = &option->circuit;
    if (status == SW_OK) {
        status = choose_topology(motor, wiring, windings.delta, &circuit->topology, error);
    }
    if (status != SW_OK) {
        return status;
    }
    const double share = motor->phases == 3 ? windings.impedance_share : 1.0;
    const double leg_share = circuit->topology->leg_share * (windings.delta ? 1.0 / 3.0 : 1.0);
    const double x_per_rpm = 2.0 * M_PI * terminals.hertz_per_rpm * terminals.henry;
    option->hertz_per_rpm = terminals.hertz_per_rpm;
    option->machines = wiring->machines;
    option->winding_ohm = share * terminals.ohm;
    option->winding_x_ohm = share * x_per_rpm;
    option->copper_ohm = leg_share * option->winding_ohm;
    /* A single winding on one leg has its way back in a second wire of the cable. */
    option->line_ohm = load->cable_ac_ohm * (circuit->topology->legs == 1 ? 2.0 : 1.0);
    option->winding_emf_v = rms_of_first(&windings.emf);
    circuit->diode = sw_diode_law_of(&wiring->diode);
    circuit->leg_ohm = option->copper_ohm + option->line_ohm;
    circuit->leg_x_ohm = leg_share * option->winding_x_ohm;
    fill_legs(&windings, circuit);
    fill_circulation(&windings, &option->circulation);
    fill_load(wiring, load, option);
    judge_shape(motor, option);
    option->drive_v = sw_circuit_drive_peak(circuit->topology, &circuit->emf);
    return SW_OK;
}

/* Circulating current of an order: EMF over R + j order X of a winding. */
static void close_circulation(const sw_electric_option *option, double speed_rpm,
                              sw_circulation *circulation) {
    double sum = 0.0;
    for (int n = 0; n < circulation->orders; n++) {
        const double r = option->winding_ohm;
        const double x = circulation->order[n] * option->winding_x_ohm * speed_rpm;
        const double re = circulation->re[n] * speed_rpm;
        const double im = circulation->im[n] * speed_rpm;
        const double size2 = r * r + x * x;
        circulation->re[n] = (re * r + im * x) / size2;
        circulation->im[n] = (im * r - re * x) / size2;
        sum += 0.5 * (re * re + im * im) / size2;
    }
    circulation->rms_a = sqrt(sum);
}

void sw_option_at(const sw_electric_option *option, double speed_rpm, sw_circuit *circuit,
                  sw_circulation *circulation) {
    *circuit = option->circuit;
    sw_emf_scale(&circuit->emf, speed_rpm);
    circuit->leg_x_ohm *= speed_rpm;
    circuit->smooth_s *= speed_rpm;
    circuit->drive_v = option->drive_v * speed_rpm;
    sw_circuit_finish(circuit, option->odd_only, option->right_angle);
    *circulation = option->circulation;
    close_circulation(option, speed_rpm, circulation);
}
