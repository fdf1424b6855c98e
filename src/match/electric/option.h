/* From a motor record, its wiring and its load to a circuit.
 *
 * The record holds terminal values: volts, ohms and millihenries line to line, as measured. How
 * the coils were connected then, and how they are in use, decides what a winding is:
 *
 *     measured star (or as it comes)   winding = line / sqrt 3 in volts, half in ohms
 *     measured delta                   winding = line in volts, 3/2 in ohms
 *
 * A delta in use is solved as its star (a third of the impedances, EMF differences over three)
 * and what circulates in it, which the terminals never see, is added in closed form. With an
 * unknown connection the terminal values hold for whatever connection is in use.
 *
 * EMF and reactances grow with speed, so an option is built once and scaled.
 */
#ifndef SPINWORTH_MATCH_ELECTRIC_OPTION_H
#define SPINWORTH_MATCH_ELECTRIC_OPTION_H

#include "shared/motor.h"
#include "src/match/electric/shoot.h"

typedef struct sw_electric_option {
    sw_circuit circuit;         /* EMF, reactance and susceptance per rpm */
    sw_circulation circulation; /* per rpm: the EMF that drives it, of a winding */
    bool odd_only;
    bool right_angle;
    double hertz_per_rpm;
    double copper_ohm;    /* of a leg at winding temperature */
    double line_ohm;      /* AC cable in a leg */
    double winding_ohm;   /* for the current that circulates */
    double winding_x_ohm; /* per rpm */
    double winding_emf_v; /* rms of a winding per rpm */
    double drive_v;       /* peak that drives current, per rpm */
    int machines;
    int steps;      /* a period, coarse grid */
    double settled; /* a grid is fine enough when halving its steps changes no figure by more */
} sw_electric_option;

/* Motor, wiring and load as one circuit. SW_UNSUPPORTED where there is no such circuit. */
sw_status sw_option_build(const sw_motor *motor, const sw_wiring *wiring,
                          const sw_deliver_load *load, sw_electric_option *option, sw_error *error);

/* The circuit at a speed. */
void sw_option_at(const sw_electric_option *option, double speed_rpm, sw_circuit *circuit,
                  sw_circulation *circulation);

/* Checks and terminal values that every kind of circuit shares. */
typedef struct sw_terminals {
    double volts_per_rpm; /* rms line to line, or DC; magnets and rewinding included */
    double ohm;           /* line to line at winding temperature, rewinding included */
    double henry;
    double hertz_per_rpm; /* 0 for brushed motors */
} sw_terminals;

/* SW_MISSING_KEY names what the motor does not say. */
sw_status sw_terminals_of(const sw_motor *motor, const sw_wiring *wiring, sw_terminals *terminals,
                          sw_error *error);

/* EMF of the windings in use per rpm, and their impedance as parts of the terminals'. */
typedef struct sw_windings {
    int count;
    bool delta; /* in use */
    sw_emf emf;
    double impedance_share;
} sw_windings;

sw_status sw_windings_of(const sw_motor *motor, const sw_wiring *wiring,
                         const sw_terminals *terminals, sw_windings *windings, sw_error *error);

#endif
