/* What unequal voltages say of the winding: a coil that is shorted, a phase that is dead or the
 * wrong way round, or a channel whose scale is wrong. */
#ifndef SPINWORTH_MEASURE_WINDINGS_H
#define SPINWORTH_MEASURE_WINDINGS_H

#include "shared/motor.h"
#include "shared/waveform.h"

#include <complex.h>
#include <stdbool.h>
#include <stddef.h>

/* The channels that show a voltage, as fundamentals relative to one of them. */
typedef struct sw_live {
    size_t count;
    size_t channel[SW_CHANNEL_LIMIT]; /* 0-based */
    double complex ratio[SW_CHANNEL_LIMIT];
    double u; /* standard uncertainty of either part */
} sw_live;

/* Two lines against the third wire: can one faulty phase, or a scale, explain them? */
bool sw_windings_explained(const sw_live *v);
/* The likeliest fault becomes a warning; sound windings, or what nothing explains, do not. */
void sw_windings_two_lines(const sw_live *v, sw_motor *motor);

/* What may have happened to the winding, slots and poles known (windings_coils.c). */
typedef struct sw_winding_cause {
    int phases; /* how many may be it; 0 = none, it is a channel's scale */
    bool phase[3];
    int first;   /* the likeliest, from 1 */
    double lack; /* of its volts */
    bool scale;  /* a channel's scale may be it as well */
} sw_winding_cause;

/* False where slots and poles make no winding of three phases, or nothing fits the two lines. */
bool sw_windings_by_coils(const sw_live *v, int slots, int pole_pairs, sw_winding_cause *found);

/* The warning of sw_windings_two_lines said better, once slots and poles are known. */
void sw_windings_two_lines_again(const sw_live *v, sw_motor *motor);

/* Phases to the star point, or three separate windings. */
void sw_windings_phases(const sw_live *v, sw_motor *motor);

/* One channel the other way round than its two neighbours. */
void sw_windings_reversed(size_t channel, sw_motor *motor);

/* A channel without a voltage beside `others` that have one. */
void sw_windings_dead(size_t channel, size_t others, sw_motor *motor);

#endif
