#include "src/match/electric/circuit.h"

#include "shared/constants.h"

#include <math.h>

enum { PEAK_SAMPLES = 720, PEAK_REFINE = 60 };

void sw_emf_at(const sw_emf *emf, int legs, double angle, double *volts) {
    const double c1 = cos(angle);
    const double s1 = sin(angle);
    double c = 1.0;
    double s = 0.0;
    int reached = 0;
    for (int k = 0; k < legs; k++) {
        volts[k] = 0.0;
    }
    for (int h = 0; h < emf->orders; h++) {
        for (; reached < emf->order[h]; reached++) {
            const double next = c * c1 - s * s1;
            s = s * c1 + c * s1;
            c = next;
        }
        for (int k = 0; k < legs; k++) {
            volts[k] += emf->re[k][h] * c - emf->im[k][h] * s;
        }
    }
}

void sw_emf_scale(sw_emf *emf, double factor) {
    for (int k = 0; k < SW_LEG_LIMIT; k++) {
        for (int h = 0; h < emf->orders; h++) {
            emf->re[k][h] *= factor;
            emf->im[k][h] *= factor;
        }
    }
}

/* What drives current at one instant: between legs of a floating group, else the highest (sign 1)
 * or lowest (sign -1) leg against its neutral. */
static double drive_at(const sw_topology *topology, const sw_emf *emf, double angle, int sign) {
    double volts[SW_LEG_LIMIT];
    sw_emf_at(emf, topology->legs, angle, volts);
    double best = -INFINITY;
    for (int a = 0; a < topology->legs; a++) {
        if (!topology->floating) {
            best = fmax(best, sign * volts[a]);
        }
        for (int b = 0; topology->floating && b < topology->legs; b++) {
            if (topology->leg[a].group == topology->leg[b].group) {
                best = fmax(best, volts[a] - volts[b]);
            }
        }
    }
    return best;
}

/* Golden section around the best sample. */
static double peak_of(const sw_topology *topology, const sw_emf *emf, int sign) {
    const double step = 2.0 * M_PI / PEAK_SAMPLES;
    double at = 0.0;
    double best = -INFINITY;
    for (int i = 0; i < PEAK_SAMPLES; i++) {
        const double value = drive_at(topology, emf, i * step, sign);
        if (value > best) {
            best = value;
            at = i * step;
        }
    }
    const double golden = 0.6180339887498949;
    double low = at - step;
    double high = at + step;
    for (int i = 0; i < PEAK_REFINE; i++) {
        const double left = high - golden * (high - low);
        const double right = low + golden * (high - low);
        if (drive_at(topology, emf, left, sign) > drive_at(topology, emf, right, sign)) {
            high = right;
        } else {
            low = left;
        }
    }
    return fmax(best, drive_at(topology, emf, 0.5 * (low + high), sign));
}

double sw_circuit_drive_peak(const sw_topology *topology, const sw_emf *emf) {
    const double upper = peak_of(topology, emf, 1);
    return topology->units > 0 ? upper + peak_of(topology, emf, -1) : upper;
}

void sw_circuit_finish(sw_circuit *circuit, bool odd_only, bool right_angle) {
    const sw_topology *topology = circuit->topology;
    circuit->turn = &topology->turn[topology->turns - 1];
    for (int i = topology->turns - 1; i >= 0; i--) {
        const sw_turn *turn = &topology->turn[i];
        if ((odd_only || !turn->needs_odd) && (right_angle || !turn->needs_right_angle)) {
            circuit->turn = turn;
        }
    }
    double peak_v = 0.0;
    for (int h = 0; h < circuit->emf.orders; h++) {
        peak_v += hypot(circuit->emf.re[0][h], circuit->emf.im[0][h]);
    }
    circuit->scale_v = fmax(fmax(peak_v, fabs(circuit->load_v)), 1e-9);
    circuit->scale_a = fmax(peak_v / hypot(circuit->leg_ohm, circuit->leg_x_ohm), 1e-9);
}
