#include "src/match/electric/step.h"

#include <string.h>

/* The root of x^3 - 3 x^2 + 3 x / 2 - 1 / 6 = 0 in (1/6, 1/2), and what follows from it. */
#define GAMMA 0.4358665215084590
#define FIRST (-(6.0 * GAMMA * GAMMA - 16.0 * GAMMA + 1.0) / 4.0)
#define SECOND ((6.0 * GAMMA * GAMMA - 20.0 * GAMMA + 5.0) / 4.0)

const double sw_step_weight[SW_STAGES] = {FIRST, SECOND, GAMMA};
static const double node[SW_STAGES] = {GAMMA, (1.0 + GAMMA) / 2.0, 1.0};

static const double coupling[SW_STAGES][SW_STAGES] = {
    {GAMMA, 0.0, 0.0}, {(1.0 - GAMMA) / 2.0, GAMMA, 0.0}, {FIRST, SECOND, GAMMA}};

/* Slopes of currents and capacitor voltages at the stages done so far. */
typedef struct slopes {
    double leg[SW_STAGES][SW_LEG_LIMIT];
    double cap[SW_STAGES][SW_PORT_LIMIT];
} slopes;

/* What a stage starts from: the state plus the earlier stages' share. */
static sw_electric_state history_of(const sw_circuit *circuit, const sw_electric_state *state,
                                    const slopes *slope, int stage, double length) {
    sw_electric_state history = *state;
    const int caps = sw_circuit_caps(circuit);
    for (int j = 0; j < stage; j++) {
        const double weight = length * coupling[stage][j];
        for (int k = 0; k < circuit->topology->legs; k++) {
            history.leg_a[k] += weight * slope->leg[j][k];
        }
        for (int c = 0; c < caps; c++) {
            history.cap_v[c] += weight * slope->cap[j][c];
        }
    }
    return history;
}

bool sw_step_try(const sw_circuit *circuit, const sw_pattern *pattern,
                 const sw_electric_state *state, double angle, double length, sw_step *step) {
    const int legs = circuit->topology->legs;
    const int caps = sw_circuit_caps(circuit);
    const double reach = GAMMA * length;
    const double keep_ohm = circuit->leg_x_ohm / reach;
    slopes slope;
    memset(&slope, 0, sizeof slope);
    step->length = length;
    for (int s = 0; s < SW_STAGES; s++) {
        sw_stage_result *result = &step->stage[s];
        const sw_electric_state history = history_of(circuit, state, &slope, s, length);
        sw_stage stage;
        stage.ohm = circuit->leg_ohm + keep_ohm;
        result->angle = angle + node[s] * length;
        sw_emf_at(&circuit->emf, legs, result->angle, result->emf_v);
        for (int k = 0; k < legs; k++) {
            stage.drive[k] = result->emf_v[k] + keep_ohm * history.leg_a[k];
        }
        memcpy(result->drive_v, stage.drive, sizeof stage.drive);
        sw_stage_ports(circuit, history.cap_v, reach, &stage);
        if (s == 0) {
            memset(&result->solution, 0, sizeof result->solution);
            memcpy(result->solution.leg_a, state->leg_a, sizeof state->leg_a);
        } else {
            result->solution = step->stage[s - 1].solution;
        }
        if (!sw_stage_solve(circuit, &stage, pattern, &result->solution)) {
            return false;
        }
        sw_stage_caps(circuit, history.cap_v, reach, &result->solution, result->cap_v,
                      &result->load_a);
        for (int k = 0; k < legs; k++) {
            slope.leg[s][k] = (result->solution.leg_a[k] - history.leg_a[k]) / reach;
        }
        for (int c = 0; c < caps; c++) {
            slope.cap[s][c] = (result->cap_v[c] - history.cap_v[c]) / reach;
        }
    }
    return true;
}

sw_electric_state sw_step_end(const sw_circuit *circuit, const sw_step *step) {
    const sw_stage_result *last = &step->stage[SW_STAGES - 1];
    sw_electric_state end;
    memset(&end, 0, sizeof end);
    memcpy(end.leg_a, last->solution.leg_a, sizeof end.leg_a);
    for (int c = 0; c < sw_circuit_caps(circuit); c++) {
        end.cap_v[c] = last->cap_v[c];
    }
    return end;
}
