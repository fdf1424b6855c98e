#include "src/match/electric/pattern.h"

#include <math.h>
#include <string.h>

enum { EXCHANGE_LIMIT = 16 };

/* Does any leg of the group conduct? */
static bool group_conducts(const sw_topology *topology, const sw_pattern *pattern, int group) {
    for (int k = 0; k < topology->legs; k++) {
        if (topology->leg[k].group == group && pattern->leg[k] != 0) {
            return true;
        }
    }
    return false;
}

static void keep_worse(sw_breach *worst, double margin, int leg, int sign, int partner) {
    if (margin < worst->margin) {
        *worst = (sw_breach){margin, leg, sign, partner};
    }
}

/* Voltage left over for the upper (sign 1) or lower diode of an idle leg at terminal voltage v. */
static double excess_v(const sw_circuit *circuit, const sw_solution *solution, int leg, int sign,
                       double v) {
    const sw_topology_leg *place = &circuit->topology->leg[leg];
    const int port = sign > 0 ? place->up_port : place->down_port;
    return sign * v - solution->port_v[port] - circuit->diode.threshold_v;
}

/* An idle floating group begins to conduct between its highest and its lowest leg. */
static sw_breach idle_group(const sw_circuit *circuit, const double *drive_v,
                            const sw_solution *solution, int group) {
    const sw_topology *topology = circuit->topology;
    int high = -1;
    int low = -1;
    for (int k = 0; k < topology->legs; k++) {
        if (topology->leg[k].group != group) {
            continue;
        }
        high = high < 0 || drive_v[k] > drive_v[high] ? k : high;
        low = low < 0 || drive_v[k] <= drive_v[low] ? k : low;
    }
    const double excess = excess_v(circuit, solution, high, 1, drive_v[high]) +
                          excess_v(circuit, solution, low, -1, drive_v[low]);
    return (sw_breach){-excess / circuit->scale_v, high, 1, low};
}

sw_breach sw_pattern_worst(const sw_circuit *circuit, const sw_pattern *pattern,
                           const double *drive_v, const sw_solution *solution) {
    const sw_topology *topology = circuit->topology;
    sw_breach worst = {INFINITY, 0, 0, -1};
    bool live[SW_GROUP_LIMIT] = {false};
    for (int g = 0; g < topology->groups; g++) {
        live[g] = group_conducts(topology, pattern, g);
        if (topology->floating && !live[g]) {
            const sw_breach idle = idle_group(circuit, drive_v, solution, g);
            keep_worse(&worst, idle.margin, idle.leg, idle.sign, idle.partner);
        }
    }
    for (int k = 0; k < topology->legs; k++) {
        const sw_topology_leg *place = &topology->leg[k];
        if (pattern->leg[k] != 0) {
            keep_worse(&worst, pattern->leg[k] * solution->leg_a[k] / circuit->scale_a, k, 0, -1);
            continue;
        }
        if (topology->floating && !live[place->group]) {
            continue;
        }
        const double v =
            drive_v[k] - (topology->floating ? solution->neutral_v[place->group] : 0.0);
        if (place->up_port >= 0) {
            keep_worse(&worst, -excess_v(circuit, solution, k, 1, v) / circuit->scale_v, k, 1, -1);
        }
        if (place->down_port >= 0) {
            keep_worse(&worst, -excess_v(circuit, solution, k, -1, v) / circuit->scale_v, k, -1,
                       -1);
        }
    }
    return worst;
}

double sw_pattern_margin(const sw_circuit *circuit, const sw_pattern *pattern,
                         const double *drive_v, const sw_solution *solution,
                         const sw_breach *which) {
    const sw_topology *topology = circuit->topology;
    const int k = which->leg;
    if (which->sign == 0) {
        return pattern->leg[k] * solution->leg_a[k] / circuit->scale_a;
    }
    if (which->partner >= 0) {
        return idle_group(circuit, drive_v, solution, topology->leg[k].group).margin;
    }
    const double neutral_v = topology->floating ? solution->neutral_v[topology->leg[k].group] : 0.0;
    return -excess_v(circuit, solution, k, which->sign, drive_v[k] - neutral_v) / circuit->scale_v;
}

/* A floating group needs a leg either way, else none of it conducts. */
static void make_possible(const sw_topology *topology, sw_pattern *pattern) {
    for (int g = 0; topology->floating && g < topology->groups; g++) {
        bool up = false;
        bool down = false;
        for (int k = 0; k < topology->legs; k++) {
            up = up || (topology->leg[k].group == g && pattern->leg[k] > 0);
            down = down || (topology->leg[k].group == g && pattern->leg[k] < 0);
        }
        for (int k = 0; !(up && down) && k < topology->legs; k++) {
            if (topology->leg[k].group == g) {
                pattern->leg[k] = 0;
            }
        }
    }
}

static void exchange(const sw_topology *topology, const sw_breach *breach, sw_pattern *pattern) {
    pattern->leg[breach->leg] = (signed char)breach->sign;
    if (breach->partner >= 0) {
        pattern->leg[breach->partner] = (signed char)-breach->sign;
    }
    make_possible(topology, pattern);
}

sw_pattern sw_pattern_of_state(const sw_circuit *circuit, const sw_electric_state *state) {
    sw_pattern pattern;
    memset(&pattern, 0, sizeof pattern);
    for (int k = 0; k < circuit->topology->legs; k++) {
        const double current = state->leg_a[k];
        pattern.leg[k] = (signed char)((current > 0.0) - (current < 0.0));
    }
    make_possible(circuit->topology, &pattern);
    return pattern;
}

/* Worst breach after one implicit Euler step; an impossible network counts as infinitely bad. */
static sw_breach judge(const sw_circuit *circuit, const sw_stage *stage,
                       const sw_electric_state *state, const sw_pattern *pattern) {
    sw_solution solution;
    memset(&solution, 0, sizeof solution);
    memcpy(solution.leg_a, state->leg_a, sizeof solution.leg_a);
    if (!sw_stage_solve(circuit, stage, pattern, &solution)) {
        return (sw_breach){-INFINITY, 0, 0, -1};
    }
    return sw_pattern_worst(circuit, pattern, stage->drive, &solution);
}

/* Try every pattern and keep the one with the best worst margin. */
static bool try_all(const sw_circuit *circuit, const sw_stage *stage,
                    const sw_electric_state *state, sw_pattern *pattern) {
    const sw_topology *topology = circuit->topology;
    int count = 1;
    for (int k = 0; k < topology->legs; k++) {
        count *= 3;
    }
    double best = -INFINITY;
    for (int code = 0; code < count; code++) {
        sw_pattern trial;
        memset(&trial, 0, sizeof trial);
        bool allowed = true;
        for (int k = 0, rest = code; k < topology->legs; k++, rest /= 3) {
            trial.leg[k] = (signed char)(rest % 3 - 1);
            allowed = allowed && !(trial.leg[k] < 0 && topology->leg[k].down_port < 0);
        }
        const sw_pattern before = trial;
        make_possible(topology, &trial);
        if (!allowed || memcmp(&before, &trial, sizeof trial) != 0) {
            continue;
        }
        const double margin = judge(circuit, stage, state, &trial).margin;
        if (margin > best) {
            best = margin;
            *pattern = trial;
        }
    }
    return best > -1e-6;
}

bool sw_pattern_settle(const sw_circuit *circuit, double angle, double reach,
                       const sw_electric_state *state, sw_pattern *pattern) {
    sw_stage stage;
    sw_stage_ports(circuit, state->cap_v, reach, &stage);
    sw_emf_at(&circuit->emf, circuit->topology->legs, angle + reach, stage.drive);
    const double keep_ohm = circuit->leg_x_ohm / reach;
    stage.ohm = circuit->leg_ohm + keep_ohm;
    for (int k = 0; k < circuit->topology->legs; k++) {
        stage.drive[k] += keep_ohm * state->leg_a[k];
    }
    for (int i = 0; i < EXCHANGE_LIMIT; i++) {
        const sw_breach breach = judge(circuit, &stage, state, pattern);
        if (breach.margin > -1e-12) {
            return true;
        }
        if (isinf(breach.margin)) {
            break;
        }
        exchange(circuit->topology, &breach, pattern);
    }
    return try_all(circuit, &stage, state, pattern);
}
