/* The circuit between the magnets and the load, as data.
 *
 * Every circuit here is a set of LEGS. A leg is an EMF behind the same resistance and inductance
 * as every other leg, ending in an AC node with at most two diodes: one up to a positive rail,
 * one up from a negative rail. The other ends of the legs of a GROUP meet in a neutral that
 * either floats (bridges) or is tied (half wave, centre tap, doubler).
 *
 *   three-phase bridge    one floating group of three legs; a delta is turned into its star
 *   single-phase bridge   one floating group of two legs with half the winding each
 *   two-phase             two such groups on the same rails
 *   half wave             legs with an upper diode only, neutral at the negative rail
 *   centre tap            two half windings of opposite sign, likewise
 *   doubler               neutral at the midpoint of two capacitors (a UNIT); the rails of a unit
 *                         are seen from the midpoint, so each unit has two ports
 *
 * A PORT is a rail as a leg sees it: its voltage is a constant plus a resistance matrix times the
 * currents into all ports, which covers battery resistance and, within one integration step,
 * capacitors.
 *
 * Time is the electrical angle; reactances take the place of L and C.
 */
#ifndef SPINWORTH_MATCH_ELECTRIC_CIRCUIT_H
#define SPINWORTH_MATCH_ELECTRIC_CIRCUIT_H

#include "src/match/electric/diode_law.h"

#include <stdbool.h>

enum {
    SW_LEG_LIMIT = 4,
    SW_GROUP_LIMIT = 2,
    SW_UNIT_LIMIT = 3,
    SW_PORT_LIMIT = 2 * SW_UNIT_LIMIT,
    SW_ORDER_LIMIT = 16,
    SW_TURN_LIMIT = 3
};

/* After 1/parts of a period leg k does `sign` times what leg perm[k] did before; with sign -1
 * the capacitors of a unit change places, and units go with the legs when there is one a leg. */
typedef struct sw_turn {
    int parts;
    bool needs_odd;         /* holds only when the EMF has odd harmonics alone */
    bool needs_right_angle; /* holds only for two phases at 90 degrees */
    int sign;
    int perm[SW_LEG_LIMIT];
} sw_turn;

typedef struct sw_topology_leg {
    int winding;  /* which EMF */
    double share; /* of the winding's EMF, with its sign */
    int group;
    int up_port;   /* -1: no diode up */
    int down_port; /* -1: no diode from below */
} sw_topology_leg;

typedef struct sw_topology {
    const char *name;
    int windings;
    int legs;
    int groups;
    bool floating;     /* neutrals */
    int units;         /* capacitor pairs; 0 = none */
    int ports;         /* rails as seen by legs */
    double leg_share;  /* of a winding's resistance and inductance in a leg */
    int diodes_in_way; /* one after the other from winding to load and back */
    sw_topology_leg leg[SW_LEG_LIMIT];
    int turns;
    sw_turn turn[SW_TURN_LIMIT]; /* the first that holds is used */
} sw_topology;

extern const sw_topology sw_topology_three_phase_bridge;
extern const sw_topology sw_topology_one_phase_bridge;
extern const sw_topology sw_topology_two_phase_bridges;
extern const sw_topology sw_topology_one_phase_half_wave;
extern const sw_topology sw_topology_two_phase_half_wave;
extern const sw_topology sw_topology_three_phase_half_wave;
extern const sw_topology sw_topology_one_phase_centre_tap;
extern const sw_topology sw_topology_two_phase_centre_taps;
extern const sw_topology sw_topology_one_phase_doubler;
extern const sw_topology sw_topology_two_phase_doublers;
extern const sw_topology sw_topology_three_phase_doubler;

/* EMF of a winding or leg: sum over orders of re cos(order x) - im sin(order x). */
typedef struct sw_emf {
    int orders;
    int order[SW_ORDER_LIMIT];
    double re[SW_LEG_LIMIT][SW_ORDER_LIMIT];
    double im[SW_LEG_LIMIT][SW_ORDER_LIMIT];
} sw_emf;

typedef struct sw_circuit {
    const sw_topology *topology;
    const sw_turn *turn;
    sw_diode_law diode;
    sw_emf emf;       /* of the legs, volts */
    double leg_ohm;   /* winding and AC cable */
    double leg_x_ohm; /* angular frequency times inductance */
    double load_v;    /* load seen from the rails: load_v + load_ohm x current */
    double load_ohm;  /* with capacitors: behind them */
    double smooth_s;  /* angular frequency times capacitance; 0 = no capacitor. In siemens */
    double drive_v;   /* peak that drives current while none flows */
    double scale_v;   /* largest EMF or load voltage: what small is measured by */
    double scale_a;   /* of the leg currents, likewise */
} sw_circuit;

/* Choose the turn that holds for the EMF, and the scales. */
void sw_circuit_finish(sw_circuit *circuit, bool odd_only, bool right_angle);

/* EMFs of all legs at angle (rad). */
void sw_emf_at(const sw_emf *emf, int legs, double angle, double *volts);

/* Multiply amplitudes. */
void sw_emf_scale(sw_emf *emf, double factor);

/* Largest over a period of what drives current against the rails while none flows: between two
 * legs of a floating group; of a leg against a tied neutral; of both half waves with doublers. */
double sw_circuit_drive_peak(const sw_topology *topology, const sw_emf *emf);

#endif
