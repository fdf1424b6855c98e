#include "src/match/electric/stage.h"

#include <math.h>
#include <string.h>

enum { UNKNOWN_LIMIT = SW_LEG_LIMIT + SW_GROUP_LIMIT, NEWTON_LIMIT = 60 };

/* Newton converges quadratically: a last step of the part d of a current leaves at most d^2 / 2 of
 * it (a logarithm's curvature, all resistance in the diodes), 5e-9, far below what event location
 * needs. */
static const double newton_tolerance = 1e-4;

/* The conducting legs and live neutrals of one solve. */
typedef struct network {
    int legs;
    int leg[SW_LEG_LIMIT];
    double sign[SW_LEG_LIMIT];
    int port[SW_LEG_LIMIT];
    int neutrals;
    int neutral_of[SW_GROUP_LIMIT]; /* unknown of a group, -1 = tied or idle */
    double matrix[UNKNOWN_LIMIT][UNKNOWN_LIMIT];
    double misfit[UNKNOWN_LIMIT];
} network;

int sw_circuit_caps(const sw_circuit *circuit) {
    if (circuit->topology->units > 0) {
        return 2 * circuit->topology->units;
    }
    return circuit->smooth_s > 0.0 ? 1 : 0;
}

/* Doubler units: with b = reach/S, sums A = hist1 + hist2 and S = I1 + I2 of a unit, the common
 * rail voltage is (R sum(A + b S) + 2 b V) / (units R + 2 b), and the two capacitors share it
 * about half and half: V1,2 = rail/2 +- (hist1 - hist2 + b (I1 - I2)) / 2. */
static void ports_of_units(const sw_circuit *circuit, const double *history, double reach,
                           sw_stage *stage) {
    const int units = circuit->topology->units;
    const double b = reach / circuit->smooth_s;
    const double below = units * circuit->load_ohm + 2.0 * b;
    double sum = 0.0;
    for (int p = 0; p < 2 * units; p++) {
        sum += history[p];
    }
    const double rail_v = (circuit->load_ohm * sum + 2.0 * b * circuit->load_v) / below;
    const double rail_ohm = circuit->load_ohm * b / below;
    for (int p = 0; p < 2 * units; p++) {
        const int twin = p ^ 1;
        stage->port_v[p] = 0.5 * (rail_v + history[p] - history[twin]);
        for (int q = 0; q < 2 * units; q++) {
            stage->port_ohm[p][q] = 0.5 * rail_ohm;
        }
        stage->port_ohm[p][p] += 0.5 * b;
        stage->port_ohm[p][twin] -= 0.5 * b;
    }
}

void sw_stage_ports(const sw_circuit *circuit, const double *cap_history_v, double reach,
                    sw_stage *stage) {
    stage->ports = circuit->topology->ports;
    if (circuit->topology->units > 0) {
        ports_of_units(circuit, cap_history_v, reach, stage);
        return;
    }
    memset(stage->port_v, 0, sizeof stage->port_v);
    memset(stage->port_ohm, 0, sizeof stage->port_ohm);
    if (circuit->smooth_s > 0.0) {
        const double keep_s = circuit->smooth_s / reach;
        const double all_s = keep_s + 1.0 / circuit->load_ohm;
        stage->port_v[0] =
            (keep_s * cap_history_v[0] + circuit->load_v / circuit->load_ohm) / all_s;
        stage->port_ohm[0][0] = 1.0 / all_s;
        return;
    }
    stage->port_v[0] = circuit->load_v;
    stage->port_ohm[0][0] = circuit->load_ohm;
}

void sw_stage_caps(const sw_circuit *circuit, const double *cap_history_v, double reach,
                   const sw_solution *solution, double *cap_v, double *load_a) {
    const int units = circuit->topology->units;
    if (units == 0 && circuit->smooth_s > 0.0) {
        cap_v[0] = solution->port_v[0];
        *load_a = (cap_v[0] - circuit->load_v) / circuit->load_ohm;
        return;
    }
    if (units == 0) {
        *load_a = solution->port_a[0];
        return;
    }
    *load_a = 0.0;
    for (int p = 0; p < 2 * units; p++) {
        cap_v[p] = solution->port_v[p];
        const double charge_a = (cap_v[p] - cap_history_v[p]) * circuit->smooth_s / reach;
        *load_a += 0.5 * (solution->port_a[p] - charge_a);
    }
}

static void list_network(const sw_circuit *circuit, const sw_pattern *pattern, network *net) {
    const sw_topology *topology = circuit->topology;
    net->legs = 0;
    net->neutrals = 0;
    for (int g = 0; g < topology->groups; g++) {
        net->neutral_of[g] = -1;
    }
    for (int k = 0; k < topology->legs; k++) {
        if (pattern->leg[k] == 0) {
            continue;
        }
        const int a = net->legs++;
        net->leg[a] = k;
        net->sign[a] = pattern->leg[k];
        net->port[a] = pattern->leg[k] > 0 ? topology->leg[k].up_port : topology->leg[k].down_port;
        const int group = topology->leg[k].group;
        if (topology->floating && net->neutral_of[group] < 0) {
            net->neutral_of[group] = net->neutrals++;
        }
    }
}

/* Port voltages at the present currents. */
static void fill_ports(const sw_stage *stage, const network *net, sw_solution *now) {
    for (int p = 0; p < stage->ports; p++) {
        now->port_a[p] = 0.0;
    }
    for (int a = 0; a < net->legs; a++) {
        now->port_a[net->port[a]] += net->sign[a] * now->leg_a[net->leg[a]];
    }
    for (int p = 0; p < stage->ports; p++) {
        now->port_v[p] = stage->port_v[p];
        for (int q = 0; q < stage->ports; q++) {
            now->port_v[p] += stage->port_ohm[p][q] * now->port_a[q];
        }
    }
}

/* Matrix and misfit at the present currents and neutrals. */
static void build(const sw_circuit *circuit, const sw_stage *stage, network *net,
                  sw_solution *now) {
    fill_ports(stage, net, now);
    const int size = net->legs + net->neutrals;
    for (int n = net->legs; n < size; n++) {
        net->misfit[n] = 0.0;
        for (int m = 0; m < size; m++) {
            net->matrix[n][m] = 0.0;
            net->matrix[m][n] = 0.0;
        }
    }
    for (int a = 0; a < net->legs; a++) {
        const int k = net->leg[a];
        const double sign = net->sign[a];
        const double current = now->leg_a[k];
        double slope = 0.0;
        now->drop_v[k] = sw_diode_law_volts(&circuit->diode, sign * current, &slope);
        const int group = circuit->topology->leg[k].group;
        net->misfit[a] = stage->ohm * current +
                         sign * (now->drop_v[k] + now->port_v[net->port[a]]) - stage->drive[k];
        for (int b = 0; b < net->legs; b++) {
            net->matrix[a][b] = sign * net->sign[b] * stage->port_ohm[net->port[a]][net->port[b]];
        }
        net->matrix[a][a] += stage->ohm + slope;
        if (net->neutral_of[group] >= 0) {
            const int n = net->legs + net->neutral_of[group];
            net->misfit[a] += now->neutral_v[group];
            net->matrix[a][n] = 1.0;
            net->matrix[n][a] = 1.0;
            net->misfit[n] += current;
        }
    }
}

/* L D L^T of a quasi-definite matrix in place, 1/D on the diagonal; the misfit becomes the step. */
static void factor_and_solve(network *net) {
    const int size = net->legs + net->neutrals;
    double(*m)[UNKNOWN_LIMIT] = net->matrix;
    double *x = net->misfit;
    for (int j = 0; j < size; j++) {
        const double inverse = 1.0 / m[j][j];
        m[j][j] = inverse;
        for (int i = j + 1; i < size; i++) {
            const double factor = m[i][j] * inverse;
            for (int k = j + 1; k <= i; k++) {
                m[i][k] -= factor * m[k][j];
            }
            x[i] -= factor * x[j];
        }
    }
    for (int j = size - 1; j >= 0; j--) {
        for (int i = j + 1; i < size; i++) {
            x[j] -= m[i][j] * x[i];
        }
        x[j] *= m[j][j];
    }
}

/* Apply the step; the largest relative change of a current. */
static double apply(const sw_circuit *circuit, const network *net, sw_solution *now) {
    double largest = 0.0;
    for (int a = 0; a < net->legs; a++) {
        double *current = &now->leg_a[net->leg[a]];
        *current -= net->misfit[a];
        const double change = fabs(net->misfit[a]) / (fabs(*current) + sw_diode_knee_a);
        largest = change > largest || isnan(change) ? change : largest;
    }
    for (int g = 0; g < circuit->topology->groups; g++) {
        if (net->neutral_of[g] >= 0) {
            now->neutral_v[g] -= net->misfit[net->legs + net->neutral_of[g]];
        }
    }
    return largest;
}

bool sw_stage_solve(const sw_circuit *circuit, const sw_stage *stage, const sw_pattern *pattern,
                    sw_solution *solution) {
    network net;
    list_network(circuit, pattern, &net);
    for (int k = 0; k < circuit->topology->legs; k++) {
        if (pattern->leg[k] == 0) {
            solution->leg_a[k] = 0.0;
            solution->drop_v[k] = 0.0;
        }
    }
    if (net.legs == 0) {
        fill_ports(stage, &net, solution);
        return true;
    }
    for (int i = 0; i < NEWTON_LIMIT; i++) {
        build(circuit, stage, &net, solution);
        factor_and_solve(&net);
        const double change = apply(circuit, &net, solution);
        if (isnan(change)) {
            return false;
        }
        if (change < newton_tolerance) {
            fill_ports(stage, &net, solution);
            return true;
        }
    }
    return false;
}
