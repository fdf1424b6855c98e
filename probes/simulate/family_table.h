/* Typical motors of the scrap pile, one row each; families.c draws motors around a row. */
#ifndef SPINWORTH_PROBES_SIMULATE_FAMILY_TABLE_H
#define SPINWORTH_PROBES_SIMULATE_FAMILY_TABLE_H

#include "probes/simulate/spec.h"

#include <stddef.h>

typedef struct sw_sim_family_row {
    const char *name;
    const char *about;
    sw_sim_kind kind;
    sw_sim_winding winding;
    int phases;
    int poles;
    int slots;
    int span;
    int segment;     /* poles on one magnet segment */
    double volts[2]; /* line to line, rms, per 1000 rpm (brushed: DC) */
    double ohm;      /* line to line, at the middle of the volts */
    double mh;
    double inertia;
    double drag[3];
    double cogging;
    double rpm[2]; /* how fast people spin it */
} sw_sim_family_row;

/* NULL beyond the last. */
const sw_sim_family_row *sw_sim_family_row_at(size_t index);

#endif
