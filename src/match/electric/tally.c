#include "src/match/electric/tally.h"

#include <math.h>
#include <string.h>

void sw_tally_start(sw_tally *tally) {
    memset(tally, 0, sizeof *tally);
    tally->rail_low_v = INFINITY;
    tally->rail_high_v = -INFINITY;
    tally->emf_low_w = INFINITY;
    tally->emf_high_w = -INFINITY;
}

/* Voltage between the rails: with doublers both capacitors of the first unit. */
static double rail_of(const sw_circuit *circuit, const sw_solution *solution) {
    return circuit->topology->units > 0 ? solution->port_v[0] + solution->port_v[1]
                                        : solution->port_v[0];
}

/* Powers and means at one stage, with its weight. */
static void add_stage(const sw_circuit *circuit, const sw_stage_result *stage, double weight,
                      sw_tally *tally) {
    const sw_solution *solution = &stage->solution;
    const double rail_v = rail_of(circuit, solution);
    double rail_w = 0.0;
    for (int p = 0; p < circuit->topology->ports; p++) {
        rail_w += solution->port_v[p] * solution->port_a[p];
    }
    tally->load_a += weight * stage->load_a;
    tally->load_a2 += weight * stage->load_a * stage->load_a;
    tally->rail_v += weight * rail_v;
    tally->rail_w += weight * rail_w;
    for (int k = 0; k < circuit->topology->legs; k++) {
        const double current = solution->leg_a[k];
        tally->emf_w += weight * stage->emf_v[k] * current;
        tally->leg_a2 += weight * current * current;
        tally->diode_w += weight * solution->drop_v[k] * fabs(current);
    }
}

/* Neutral of a group that does not conduct: where equal leakage of all diodes puts it, half way
 * between the rails, as long as that pushes no diode forward. */
static double idle_neutral(const sw_topology *topology, const double *volts, int group, double up_v,
                           double down_v) {
    double sum = 0.0;
    double high = -INFINITY;
    double low = INFINITY;
    int count = 0;
    for (int k = 0; k < topology->legs; k++) {
        if (topology->leg[k].group == group) {
            sum += volts[k];
            high = fmax(high, volts[k]);
            low = fmin(low, volts[k]);
            count++;
        }
    }
    const double least = high - up_v;
    const double most = low + down_v;
    if (least > most) {
        return 0.5 * (least + most);
    }
    return fmin(fmax(sum / count - 0.5 * (up_v - down_v), least), most);
}

/* Reverse voltage of the diodes of a leg. */
static double reverse_of(const sw_circuit *circuit, const sw_pattern *pattern,
                         const sw_stage_result *stage, int k) {
    const sw_topology *topology = circuit->topology;
    const sw_topology_leg *place = &topology->leg[k];
    const sw_solution *solution = &stage->solution;
    const double up_v = place->up_port >= 0 ? solution->port_v[place->up_port] : 0.0;
    const double down_v = place->down_port >= 0 ? solution->port_v[place->down_port] : 0.0;
    const bool both = place->up_port >= 0 && place->down_port >= 0;
    if (pattern->leg[k] != 0) {
        return both ? up_v + down_v + solution->drop_v[k] : 0.0;
    }
    double v = stage->drive_v[k];
    if (topology->floating) {
        bool live = false;
        for (int j = 0; j < topology->legs; j++) {
            live = live || (topology->leg[j].group == place->group && pattern->leg[j] != 0);
        }
        v -= live ? solution->neutral_v[place->group]
                  : idle_neutral(topology, stage->drive_v, place->group, up_v, down_v);
    }
    if (both) {
        return fmax(up_v - v, down_v + v);
    }
    return place->up_port >= 0 ? up_v - v : down_v + v;
}

/* Largest winding current of a delta: a third of the difference of two line currents, and what
 * circulates. Winding k runs from line k to line k + 1. */
static double delta_peak(const sw_circulation *circulation, const sw_stage_result *stage) {
    double around = 0.0;
    for (int h = 0; h < circulation->orders; h++) {
        const double x = circulation->order[h] * stage->angle;
        around += circulation->re[h] * cos(x) - circulation->im[h] * sin(x);
    }
    const double *line = stage->solution.leg_a;
    double peak = 0.0;
    for (int k = 0; k < 3; k++) {
        peak = fmax(peak, fabs((line[k] - line[(k + 1) % 3]) / 3.0 + around));
    }
    return peak;
}

static void add_extremes(const sw_circuit *circuit, const sw_pattern *pattern,
                         const sw_circulation *circulation, const sw_stage_result *stage,
                         sw_tally *tally) {
    const double rail_v = rail_of(circuit, &stage->solution);
    double power = 0.0;
    for (int k = 0; k < circuit->topology->legs; k++) {
        tally->leg_peak_a = fmax(tally->leg_peak_a, fabs(stage->solution.leg_a[k]));
        tally->reverse_v = fmax(tally->reverse_v, reverse_of(circuit, pattern, stage, k));
        power += stage->emf_v[k] * stage->solution.leg_a[k];
    }
    tally->winding_peak_a = circulation->delta
                                ? fmax(tally->winding_peak_a, delta_peak(circulation, stage))
                                : tally->leg_peak_a;
    tally->rail_low_v = fmin(tally->rail_low_v, rail_v);
    tally->rail_high_v = fmax(tally->rail_high_v, rail_v);
    tally->emf_low_w = fmin(tally->emf_low_w, power);
    tally->emf_high_w = fmax(tally->emf_high_w, power);
}

/* See the header. */
static bool rests(const sw_topology *topology, const sw_pattern *pattern) {
    if (topology->units > 0) {
        for (int k = 0; k < topology->legs; k++) {
            if (pattern->leg[k] == 0) {
                return true;
            }
        }
        return false;
    }
    for (int g = 0; g < topology->groups; g++) {
        bool live = false;
        for (int k = 0; k < topology->legs; k++) {
            live = live || (topology->leg[k].group == g && pattern->leg[k] != 0);
        }
        if (!live) {
            return true;
        }
    }
    return false;
}

void sw_tally_add(const sw_circuit *circuit, const sw_pattern *pattern,
                  const sw_circulation *circulation, const sw_step *step, sw_tally *tally) {
    tally->angle += step->length;
    tally->idle += rests(circuit->topology, pattern) ? step->length : 0.0;
    for (int s = 0; s < SW_STAGES; s++) {
        add_stage(circuit, &step->stage[s], step->length * sw_step_weight[s], tally);
    }
    add_extremes(circuit, pattern, circulation, &step->stage[SW_STAGES - 1], tally);
}
