#include "probes/simulate/faults.h"

#include "probes/simulate/draw.h"

const char *const SW_SIM_FAULT_WORDS[] = {"none",           "shorted-coil", "dead-coil",
                                          "reversed-phase", "weak-magnet",  "missing-magnet",
                                          "corroded",       "demagnetised", NULL};

enum { FAULTY_POLE = 5, PATCH_POLES = 3 };

static const double WEAK = 0.6;
static const double TIRED = 0.6;  /* demagnetised: of all magnets */
static const double EATEN = 0.35; /* corroded: at most, of a patch */

void sw_sim_fault_magnets(sw_sim_motor *motor) {
    bool one = motor->fault == SW_SIM_FAULT_WEAK_MAGNET || motor->fault == SW_SIM_FAULT_MISSING;
    if (one && motor->weak_magnet == 0) {
        motor->weak_magnet = (FAULTY_POLE - 1) % (2 * motor->pole_pairs) + 1;
        motor->weak_strength = motor->fault == SW_SIM_FAULT_MISSING ? 0 : WEAK;
    }
    if (motor->fault == SW_SIM_FAULT_DEMAGNETISED) {
        motor->volts_per_hertz *= TIRED;
        motor->volts_per_rpm *= TIRED;
    }
}

double sw_sim_fault_strength(const sw_sim_motor *motor, int pole, gsl_rng *random) {
    if (motor->fault != SW_SIM_FAULT_CORRODED)
        return 1;
    double patch = pole % PATCH_POLES == 0 ? sw_draw_between(random, 0, 1) : 0.3;
    return 1 - EATEN * patch;
}

void sw_sim_fault_coils(const sw_sim_motor *motor, sw_sim_coils *coils) {
    for (size_t c = 0; motor->fault == SW_SIM_FAULT_SHORTED_COIL && c < coils->count; c++)
        if (coils->coil[c].phase == 0) {
            coils->coil[c].weight = 0;
            return;
        }
}

double sw_sim_fault_sign(const sw_sim_motor *motor, int phase) {
    return motor->fault == SW_SIM_FAULT_REVERSED && phase == 1 ? -1 : 1;
}

int sw_sim_fault_broken(const sw_sim_motor *motor) {
    return motor->fault == SW_SIM_FAULT_DEAD_COIL ? 0 : -1;
}
