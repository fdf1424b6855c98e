/* The parts of the run-down's analysis. Inside src/measure only. */
#ifndef SPINWORTH_MEASURE_RUNDOWN_PARTS_H
#define SPINWORTH_MEASURE_RUNDOWN_PARTS_H

#include "src/measure/bench/rundown.h"

/* One regression of the electrical angle over a part. */
typedef struct sw_retardation {
    bool use[SW_DRAG_TERMS]; /* which terms are free */
    int pole_pairs;          /* 0 = no pattern of a turn is fitted */
    bool robust;             /* outlier-proof, and the covariance is wanted */
} sw_retardation;

typedef struct sw_retardation_fit {
    double term[SW_DRAG_TERMS];
    double covariance[SW_DRAG_TERMS][SW_DRAG_TERMS]; /* robust only */
    double rms_cycles;
    double values; /* how many independent ones the residual has; robust only */
} sw_retardation_fit;

/* residual: room for to - from + 1 values, or NULL. */
sw_status sw_retardation_run(const sw_cycles *cycles, size_t from, size_t to,
                             const sw_retardation *how, sw_retardation_fit *fit, double *residual,
                             sw_error *error);

/* Which terms the record supports, out of the fit with all three: into the run-down. */
void sw_rundown_choose_terms(const sw_retardation_fit *full, sw_rundown *rundown);

/* A line that does not lock to the turn, as a drill's gears give it, in the held part before and
 * as strong in the run-down: its order in periods a turn (of those that look alike once a cycle,
 * the lowest); 0 = none. residual: of the angle, to - from + 1 values. */
double sw_rundown_gear_line(const sw_cycles *cycles, const sw_coasting *part,
                            const double *residual, int pole_pairs);

#endif
