#include "probes/simulate/faults.h"

#include "probes/simulate/draw.h"

#include <gsl/gsl_math.h>

const char *const SW_SIM_FAULT_WORDS[] = {
    "none",           "shorted-coil", "dead-coil",    "reversed-phase", "weak-magnet",
    "missing-magnet", "corroded",     "demagnetised", "one-side",       NULL};

enum { FAULTY_POLE = 5 };

/* Common practice, no source. */
static const double WEAK = 0.6;
static const double TIRED = 0.6;  /* demagnetised: of all magnets */
static const double EATEN = 0.25; /* corroded: of a magnet, at most */
static const double SIDE = 0.5;   /* demagnetised on one side: where it is worst */

void sw_sim_fault_magnets(sw_sim_motor *motor) {
    bool one = motor->fault == SW_SIM_FAULT_WEAK_MAGNET || motor->fault == SW_SIM_FAULT_MISSING;
    if (one && motor->weak_magnet == 0) {
        motor->weak_magnet = (FAULTY_POLE - 1) % (2 * motor->pole_pairs) + 1;
        motor->weak_strength = motor->fault == SW_SIM_FAULT_MISSING ? 0 : WEAK;
    }
    double left = motor->fault == SW_SIM_FAULT_DEMAGNETISED ? TIRED
                  : motor->fault == SW_SIM_FAULT_CORRODED   ? 1 - EATEN / 2
                  : motor->fault == SW_SIM_FAULT_ONE_SIDE   ? 1 - SIDE / 2
                                                            : 1;
    motor->volts_per_hertz *= left;
    motor->volts_per_rpm *= left;
}

double sw_sim_fault_strength(const sw_sim_motor *motor, int pole, gsl_rng *random) {
    if (motor->fault == SW_SIM_FAULT_CORRODED)
        return 1 - EATEN * sw_draw_between(random, 0, 1);
    double around = M_PI * pole / motor->pole_pairs;
    return motor->fault == SW_SIM_FAULT_ONE_SIDE ? 1 - SIDE * (1 + cos(around)) / 2 : 1;
}

void sw_sim_fault_coils(const sw_sim_motor *motor, sw_sim_coils *coils) {
    int passed = 0;
    for (size_t c = 0; motor->fault == SW_SIM_FAULT_SHORTED_COIL && c < coils->count; c++)
        if (coils->coil[c].phase == motor->faulty_phase % motor->phases &&
            passed++ == motor->faulty_coil) {
            coils->coil[c].weight = 0;
            return;
        }
}

double sw_sim_fault_sign(const sw_sim_motor *motor, int phase) {
    int turned = (1 + motor->faulty_phase) % motor->phases;
    return motor->fault == SW_SIM_FAULT_REVERSED && phase == turned ? -1 : 1;
}

int sw_sim_fault_broken(const sw_sim_motor *motor) {
    return motor->fault == SW_SIM_FAULT_DEAD_COIL ? motor->faulty_phase % motor->phases : -1;
}
