/* Sums, extremes and means collected while the circuit runs through its period. */
#ifndef SPINWORTH_MATCH_ELECTRIC_TALLY_H
#define SPINWORTH_MATCH_ELECTRIC_TALLY_H

#include "src/match/electric/step.h"

typedef struct sw_tally {
    double angle; /* how much was collected */
    /* Integrals over the angle. */
    double load_a;
    double load_a2;
    double rail_v;
    double rail_w; /* into the rails */
    double emf_w;  /* out of the EMFs */
    double leg_a2; /* of all legs together */
    double diode_w;
    double idle; /* current rests, see sw_tally_add */
    /* Extremes. */
    double leg_peak_a;
    double winding_peak_a; /* of a delta; as leg_peak_a otherwise */
    double reverse_v;
    double rail_low_v;
    double rail_high_v;
    double emf_low_w;
    double emf_high_w;
} sw_tally;

/* Current that circulates in a delta, for the peak: re cos(order x) - im sin(order x). */
typedef struct sw_circulation {
    bool delta;
    int orders;
    int order[SW_ORDER_LIMIT];
    double re[SW_ORDER_LIMIT];
    double im[SW_ORDER_LIMIT];
    double rms_a;
} sw_circulation;

void sw_tally_start(sw_tally *tally);
/* Current counts as resting while a floating group or, on capacitors, any winding is idle; with
 * a tied neutral without capacitors, while no leg conducts. */
void sw_tally_add(const sw_circuit *circuit, const sw_pattern *pattern,
                  const sw_circulation *circulation, const sw_step *step, sw_tally *tally);

#endif
