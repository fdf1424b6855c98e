/* What is simulated: a motor out of the scrap pile, how it is spun, and what records it.
 *
 * Plain numbers in SI units or as the name says; every random detail follows from `seed`, so a
 * specification gives the same recording again, sample by sample.
 */
#ifndef SPINWORTH_PROBES_SIMULATE_SPEC_H
#define SPINWORTH_PROBES_SIMULATE_SPEC_H

#include <stdbool.h>

enum { SW_SIM_PHASE_LIMIT = 3, SW_SIM_GEAR_LIMIT = 2, SW_SIM_NAME_ROOM = 32 };

typedef enum sw_sim_kind { SW_SIM_MAGNET_AC, SW_SIM_BRUSHED, SW_SIM_NO_MAGNETS } sw_sim_kind;

typedef enum sw_sim_winding {
    SW_SIM_SLOTS,  /* coils in slots, phases by the star of slots */
    SW_SIM_U_CORE, /* one two-pole bobbin core with a stepped gap */
    SW_SIM_HYBRID, /* eight toothed stator poles around a toothed rotor, two phases */
    SW_SIM_CLAW    /* ring coils with claws: every coil sees every pole */
} sw_sim_winding;

/* What is wrong with it; words in faults.c. */
typedef enum sw_sim_fault {
    SW_SIM_FAULT_NONE,
    SW_SIM_FAULT_SHORTED_COIL, /* one coil of the first phase gives nothing */
    SW_SIM_FAULT_DEAD_COIL,    /* the first phase is broken */
    SW_SIM_FAULT_REVERSED,     /* the second phase is joined the other way round */
    SW_SIM_FAULT_WEAK_MAGNET,
    SW_SIM_FAULT_MISSING,
    SW_SIM_FAULT_CORRODED,
    SW_SIM_FAULT_DEMAGNETISED, /* all round */
    SW_SIM_FAULT_ONE_SIDE      /* demagnetised on one side of the rotor */
} sw_sim_fault;

typedef struct sw_sim_motor {
    char family[SW_SIM_NAME_ROOM];
    sw_sim_kind kind;
    sw_sim_winding winding;
    int phases;     /* 1, 2, 3 */
    int pole_pairs; /* >= 1 */
    int slots;      /* teeth or slots of the stator; commutator bars of a brushed motor */
    int span;       /* coil span in slots; 1 = a coil around each tooth */
    bool delta;
    double volts_per_hertz;  /* rms of the line-to-line fundamental, mean of the lines */
    double volts_per_rpm;    /* brushed: mean DC volts */
    double resistance_ohm;   /* line to line */
    double inductance_h;     /* line to line */
    double drag_constant_nm; /* T0, N m */
    double drag_linear;      /* T1, N m s/rad */
    double drag_quadratic;   /* T2, N m s2/rad2 */
    double cogging_nm;       /* peak */
    double inertia_kgm2;     /* of the turning part */
    double unbalance_nm;     /* weight out of centre, shaft lying */
    double magnet_arc;       /* share of the pole pitch under full field, (0, 1] */
    double magnet_edge;      /* standard width of the field's edges, in pole pitches */
    double strength_sd;      /* magnets one by one, relative */
    double batch_sd;         /* magnets of one segment together, relative */
    int segment_poles;       /* poles on one magnet segment */
    int weak_magnet;         /* pole 1 .. 2 p that has lost strength; 0 = none */
    double weak_strength;    /* share of its strength that is left; 0 = it is missing */
    double position_sd_deg;  /* electrical degrees */
    double runout;           /* turning gap error, share of the gap */
    double stator_offset;    /* standing gap error, share of the gap */
    double coil_sd;          /* coils one by one, relative */
    double weak_coil;        /* share of one phase's coils that is shorted out, [0, 1) */
    sw_sim_fault fault;
    int faulty_phase;    /* counted on from the one that the fault names; 0 = that one */
    int faulty_coil;     /* of that phase's coils, from 0 */
    double brush_drop_v; /* both brushes; under load only */
} sw_sim_motor;

typedef enum sw_sim_coast { SW_SIM_COAST_NO, SW_SIM_COAST_FREE, SW_SIM_COAST_DRILL } sw_sim_coast;

typedef struct sw_sim_spin {
    double seconds;
    double lead_in_s;      /* at rest; 0 with ramp 0 starts at full speed */
    double ramp_rpm_per_s; /* 0 = at speed from the start */
    double speed_rpm;      /* what the trigger is held for */
    double release_s;      /* when the trigger or the shaft is let go; ignored without coast */
    sw_sim_coast coast;
    bool backwards;
    double wobble;        /* relative, standard deviation of the slow wander */
    double wobble_hz;     /* its bandwidth, 0.5 to 3 */
    double turn_ripple;   /* relative speed amplitude once a turn (chuck, coupling) */
    double second_ripple; /* twice a turn */
    double gear_ratio[SW_SIM_GEAR_LIMIT];  /* lines a turn, not whole numbers */
    double gear_ripple[SW_SIM_GEAR_LIMIT]; /* relative speed amplitude */
    double drill_inertia_kgm2;             /* seen at the chuck */
    double drill_friction_nm;
    double drill_linear; /* N m s/rad */
} sw_sim_spin;

/* Where the clips are. Automatic: line to line with one channel, both against the third wire
 * with two, to the star point with three; windings where there are two phases. */
typedef enum sw_sim_between {
    SW_SIM_BETWEEN_AUTOMATIC,
    SW_SIM_BETWEEN_LINES,
    SW_SIM_BETWEEN_STAR_POINT,
    SW_SIM_BETWEEN_WINDINGS
} sw_sim_between;

typedef struct sw_sim_front {
    double rate_hz;     /* stated */
    double clock_error; /* true rate = stated (1 + e) */
    int channels;       /* 1 to 3 */
    sw_sim_between between;
    bool isolated; /* channels without a common ground: neighbouring line pairs, 120 deg apart */
    bool swapped;  /* channels 1 and 2 exchanged */
    bool scope;    /* samples are volts of a scope, not units of full scale */
    double volts_per_unit; /* V at the motor for full scale; 0 = chosen to suit `level` */
    double level;          /* peak at `speed_rpm` as a share of full scale, when chosen */
    double input_ohm;      /* divider and input as the winding sees them */
    double load_ohm;       /* resistor across the two recorded lines, third open; 0 = none */
    double low_cut_hz;     /* 0 = DC-coupled */
    double linear_limit;   /* share of full scale where the clamps take 0.1 %; 0 = no clamps */
    double noise;          /* white, rms in units of full scale */
    double flicker;        /* 1/f-like, rms in units of full scale */
    double hum;            /* mains fundamental, peak in units of full scale */
    double hum_hz;
    double offset;        /* units of full scale */
    int bits;             /* 0 = not rounded */
    int tach_marks;       /* marks a turn that a sensor on one channel more sees; 0 = none */
    bool tach_sine;       /* the sensor gives a sine, not pulses */
    bool automatic_level; /* the recorder turns its gain up and down */
} sw_sim_front;

typedef struct sw_sim_spec {
    unsigned long seed;
    sw_sim_motor motor;
    sw_sim_spin spin;
    sw_sim_front front;
} sw_sim_spec;

#endif
