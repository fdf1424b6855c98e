/* Run-down: drag torque from how a shaft that was let go slows (retardation method, IEC 60034-2-2;
 * IEEE 115):  J dw/dt = -(T0 + T1 w + T2 w^2).
 *
 * The fit is in electrical terms, df/dt = -(b0 + b1 f + b2 f^2), so that it needs neither pole
 * pairs nor inertia; with them T0 = J (2 pi / p) b0, T1 = J b1, T2 = J (p / 2 pi) b2.
 * Hysteresis of the iron and dry friction both are a constant torque: a run-down cannot tell them
 * apart.
 */
#ifndef SPINWORTH_MEASURE_RUNDOWN_H
#define SPINWORTH_MEASURE_RUNDOWN_H

#include "shared/motor.h"
#include "shared/status.h"
#include "src/measure/signal/cycles.h"

#include <stdbool.h>
#include <stddef.h>

enum { SW_DRAG_TERMS = 3 };

typedef enum sw_coast {
    SW_COAST_NOT_SAID,
    SW_COAST_FREE,      /* nothing but the motor's own rotor turned */
    SW_COAST_WITH_DRILL /* the drill or its chuck was still on */
} sw_coast;

/* The coasting part of a record: cycles [from, to). */
typedef struct sw_coasting {
    size_t from;
    size_t to;      /* from = to: none was found */
    double from_hz; /* speed at its ends */
    double to_hz;
} sw_coasting;

typedef struct sw_rundown {
    sw_coasting part;
    double from_s; /* from the start of the record */
    double to_s;
    double turns;               /* of the shaft; electrical where pole pairs are not known */
    double term[SW_DRAG_TERMS]; /* b0 Hz/s, b1 1/s, b2 1/Hz; 0 = not needed by the record */
    double covariance[SW_DRAG_TERMS][SW_DRAG_TERMS];
    double full[SW_DRAG_TERMS];   /* with all three terms */
    double full_u[SW_DRAG_TERMS]; /* what the record says of each when all three are free */
    double rms_cycles;            /* of the residual angle */
    double own_error;             /* of the slowing, relative: what the fit cannot see */
    bool falling;                 /* a term below zero: the record cannot do without */
    double stray_order;           /* a line a turn that is no whole number: a gear; 0 = none */
} sw_rundown;

/* Find the coasting part by itself: the longest fall of the speed, less what the hand still did.
 * pole_pairs 0 = not known. */
sw_status sw_coasting_find(const sw_cycles *cycles, int pole_pairs, sw_coasting *part,
                           sw_error *error);

/* Find and fit; part.from == part.to when nothing coasts long enough. */
sw_status sw_rundown_fit(const sw_cycles *cycles, int pole_pairs, sw_rundown *rundown,
                         sw_error *error);

/* -df/dt at a frequency, Hz/s, and its standard uncertainty. */
sw_quantity sw_rundown_slowing(const sw_rundown *rundown, double frequency_hz);

/* Drag torque into the motor: its pole pairs and inertia must be known (else a warning says what
 * is missing). With the drill on, or when it may have been on, drag stays unknown and the warning
 * drill_attached says so. */
void sw_rundown_tell(const sw_rundown *rundown, sw_coast coast, sw_motor *motor);

/* Inertia from two run-downs, without and with a disc of known inertia: J = J1 r2 / (r1 - r2) with
 * the slowings r at one speed. SW_VALUE when the disc made no difference, SW_MISMATCH when the two
 * have no speed in common. */
sw_status sw_rundown_inertia(const sw_rundown *alone, const sw_rundown *with_disc,
                             sw_quantity disc_kgm2, sw_quantity *inertia, sw_error *error);

#endif
