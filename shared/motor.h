/* The motor record: what measuring finds out and matching uses. The two layers meet only here.
 *
 * Terminal values: voltages are line to line (between any two of the three wires; across the
 * winding for one phase and for each winding of two), resistance and inductance likewise. The
 * document's keys have the names of these members.
 */
#ifndef SPINWORTH_SHARED_MOTOR_H
#define SPINWORTH_SHARED_MOTOR_H

#include "shared/content.h"
#include "shared/quantity.h"
#include "shared/status.h"

#include <cjson/cJSON.h>
#include <stdbool.h>
#include <stddef.h>

enum {
    SW_MOTOR_CANDIDATE_LIMIT = 8,
    SW_MOTOR_EVIDENCE_LIMIT = 8,
    SW_MOTOR_AGAINST_LIMIT = 5,
    SW_MOTOR_WARNING_LIMIT = 24,
    SW_MOTOR_HARMONIC_LIMIT = 13,
    SW_MOTOR_TEXT_ROOM = 240,
    SW_RING_POLE_LIMIT = 240,
    SW_RING_WEAK_LIMIT = 12,
    SW_BUDGET_LIMIT = 8,
    SW_MOTOR_SOURCE_LIMIT = 16,
    SW_SOURCE_TEXT_ROOM = 400
};

typedef enum sw_motor_kind { SW_MAGNET_AC, SW_BRUSHED, SW_NO_GENERATOR } sw_motor_kind;

typedef enum sw_connection { SW_AS_IT_COMES, SW_STAR, SW_DELTA } sw_connection;

typedef enum sw_rewire { SW_REWIRE_NO, SW_REWIRE_ENDS_REACHABLE, SW_REWIRE_REWIND } sw_rewire;

/* What the magnets are made of; the names are rows of reference/magnets.json. */
typedef enum sw_magnet_kind {
    SW_MAGNET_UNKNOWN,
    SW_MAGNET_FERRITE,
    SW_MAGNET_NEODYMIUM,
    SW_MAGNET_SAMARIUM_COBALT,
    SW_MAGNET_ALNICO,
    SW_MAGNET_COUNT
} sw_magnet_kind;

typedef enum sw_answer { SW_NOT_SAID, SW_NO, SW_YES } sw_answer;

/* The closed list of warning codes; names in motor.c and in the schema. */
typedef enum sw_warning_code {
    SW_WARN_CLIPPED,
    SW_WARN_CLAMP_CONDUCTING,
    SW_WARN_MAINS_HUM,
    SW_WARN_AUTOMATIC_LEVEL,
    SW_WARN_DRILL_ATTACHED,
    SW_WARN_UNBALANCED,
    SW_WARN_OFFSET,
    SW_WARN_SENSOR_COIL,
    SW_WARN_LOADING,
    SW_WARN_LOW_CUT_DOUBTFUL,
    SW_WARN_NOT_A_MOTOR,
    SW_WARN_TOO_SHORT,
    SW_WARN_RESIDUAL_ONLY,
    SW_WARN_FREEWHEEL,
    SW_WARN_UNCALIBRATED,      /* no probe profile: volts are guessed or missing */
    SW_WARN_NOISY,             /* signal close to the noise */
    SW_WARN_METER_DOUBTFUL,    /* an averaging meter on a peaky or slow wave; lead resistance */
    SW_WARN_SCALE_MISMATCH,    /* one channel a round factor off: its probe factor was not set */
    SW_WARN_SPEED_DOUBTFUL,    /* speed evidence that contradicts the record */
    SW_WARN_BETWEEN_DOUBTFUL,  /* phases or line pairs: the angle alone cannot tell */
    SW_WARN_SATURATING,        /* flux linkage falls with current, seen by loaded runs */
    SW_WARN_LOAD_DOUBTFUL,     /* a load resistor's value that the multimeter's ohms contradict */
    SW_WARN_WEAK_MAGNET,       /* a pole that is weaker than the others, an uneven ring */
    SW_WARN_SHORTED_COIL,      /* a phase that gives less: turns or a coil bridged */
    SW_WARN_DEAD_PHASE,        /* a phase that gives nothing */
    SW_WARN_REVERSED_PHASE,    /* a phase the wrong way round, or one that gives nothing */
    SW_WARN_OVERRUN,           /* the recorder lost samples; only a piece was used */
    SW_WARN_RATE_DOUBTFUL,     /* the recorder's clock disagrees with the computer's */
    SW_WARN_DRAG_DOUBTFUL,     /* a run-down called free that is as short as a drill's */
    SW_WARN_DC_BLOCKED,        /* a brushed motor behind an input that passes no steady volts */
    SW_WARN_GEARED,            /* a gear stands between the timed shaft and the magnets */
    SW_WARN_PROBE_OLD,         /* calibrated more than a year ago, or on a day to come */
    SW_WARN_PROBE_DOUBTFUL,    /* volts or low cut that no sound input with a divider has */
    SW_WARN_STEADY_VOLTAGE,    /* an offset of the scope, or brushes: the record never changes */
    SW_WARN_COUNT_DOUBTFUL,    /* magnets, turns, slots: a count that fits nothing else */
    SW_WARN_VOLTS_IMPLAUSIBLE, /* more or less volts for a turn than any motor gives */
    SW_WARN_COUNT
} sw_warning_code;

typedef struct sw_warning {
    sw_warning_code code;
    char message[SW_MOTOR_TEXT_ROOM];
} sw_warning;

typedef struct sw_pole_candidate {
    int pole_pairs;
    double probability; /* 0 .. 1 */
} sw_pole_candidate;

typedef struct sw_pole_pairs {
    int value;          /* 0 = the evidence cannot decide */
    double probability; /* of value, or of the best candidate when value is 0 */
    size_t candidates;
    sw_pole_candidate candidate[SW_MOTOR_CANDIDATE_LIMIT];
    size_t evidences;
    char evidence[SW_MOTOR_EVIDENCE_LIMIT][SW_MOTOR_TEXT_ROOM];
    size_t againsts; /* what was said and fits another number */
    char against[SW_MOTOR_AGAINST_LIMIT][SW_MOTOR_TEXT_ROOM];
} sw_pole_pairs;

typedef struct sw_harmonic {
    int order;
    double relative;  /* amplitude over the fundamental's */
    double angle_deg; /* of cos(order * x + angle) where the fundamental is cos(x) */
} sw_harmonic;

/* All sine-equivalent relations are in machine_rectifier terms of peak line to line. */
typedef struct sw_voltage_constants {
    sw_quantity peak_line_v_per_krpm;             /* waveform peak, "V/krpm" */
    sw_quantity dc_bridge_v_per_krpm;             /* mean after an ideal bridge, no capacitor */
    sw_quantity dc_bridge_smoothed_v_per_krpm;    /* ideal bridge and large capacitor, no load */
    sw_quantity rpm_per_volt_peak;                /* "rpm/V" */
    sw_quantity volt_second_per_radian_peak_line; /* "V s/rad" */
    sw_quantity flux_linkage_wb;                  /* peak, equivalent star phase, "Wb" */
} sw_voltage_constants;

typedef struct sw_drag {
    sw_quantity constant;  /* "N m" */
    sw_quantity linear;    /* "N m s/rad" */
    sw_quantity quadratic; /* "N m s2/rad2" */
    /* One well-known point of the curve: the single terms lean on one another. */
    sw_quantity middle_speed;  /* "rpm" */
    sw_quantity middle_torque; /* "N m" */
} sw_drag;

/* Every pole of the rotor as the terminals see it, in the order in which they pass. */
typedef struct sw_magnet_ring {
    int poles; /* 0 = no map */
    double turns;
    bool from_mark;   /* pole 1 is the first after the tachometer's mark */
    double first_deg; /* turn of the shaft from the mark to pole 1; NaN without a mark */
    int repeats;      /* how often the pattern comes in a turn; 1 = once, 0 = no pattern seen */
    double strength[SW_RING_POLE_LIMIT];      /* over the mean of all */
    double strength_u[SW_RING_POLE_LIMIT];    /* noise floor */
    double placement_deg[SW_RING_POLE_LIMIT]; /* electrical, against even spacing */
    double placement_u_deg[SW_RING_POLE_LIMIT];
    /* Of the magnets themselves, where slots and poles are known. */
    double visible_share; /* of their differences, that the winding shows; NaN = not known */
    double smallest_weak; /* lack of strength from which one weak magnet would show, "1"; above 1
                             not even a missing one does */
    /* Of the magnets, standard deviation, the smear of the coils undone; NaN = not known. */
    double magnet_spread;
    double magnet_spread_u;
    double spoiled; /* probability that they differ more than good ones do; NaN = not known */
    double
        one_side; /* strength = 1 + this x cos(once a turn); NaN = the winding does not show it */
    double one_side_u;
    int weak_count;                    /* places that one weak magnet may have; 0 = none is seen */
    int weak_pole[SW_RING_WEAK_LIMIT]; /* the first of them, from 0: it stands at a recorded coil
                                          as this pole passes */
    sw_quantity weak_lack;             /* of its strength, "1" */
} sw_magnet_ring;

/* Nothing known of the magnets themselves; the map as the terminals see it stays. */
void sw_magnet_ring_forget(sw_magnet_ring *ring);

/* What the uncertainty of a value comes from, largest first. */
typedef struct sw_share_line {
    const char *from; /* what contributes; static text */
    double u;         /* relative standard uncertainty that it brings */
    double share;     /* of the variance, 0 .. 1 */
} sw_share_line;

typedef struct sw_shares {
    size_t lines; /* 0 = none */
    sw_share_line line[SW_BUDGET_LIMIT];
} sw_shares;

/* What a recording, a table or a reading was used for. */
typedef enum sw_source_use {
    SW_USED_OPEN = 1,       /* a recording without load: hertz, volts, pole pairs */
    SW_USED_READINGS = 2,   /* a table of hand readings */
    SW_USED_RUN_DOWN = 4,   /* a recording's run-down: drag */
    SW_USED_SECOND_RUN = 8, /* a run-down with an added disc: inertia */
    SW_USED_LOADED = 16,    /* a recording with a resistor */
    SW_USED_BY_HAND = 32    /* no file: a count, a meter's reading */
} sw_source_use;

/* One piece of evidence that is in the record, so that it does not count twice. */
typedef struct sw_source {
    char name[SW_MOTOR_TEXT_ROOM];  /* path as it was given; "" = by hand */
    char content[SW_CONTENT_ROOM];  /* fingerprint of the file, "" = none */
    int part;                       /* from 1: of a recording whose channels are several files */
    unsigned used_as;               /* of sw_source_use */
    char told[SW_SOURCE_TEXT_ROOM]; /* what was said with it: options and values, each ended by a
                                       new line */
} sw_source;

typedef struct sw_sources {
    size_t count;
    sw_source source[SW_MOTOR_SOURCE_LIMIT];
} sw_sources;

typedef struct sw_motor {
    char name[80];
    char note[SW_MOTOR_TEXT_ROOM];
    sw_motor_kind kind;
    int phases;              /* 1, 2, 3; 0 = not known */
    sw_quantity phase_angle; /* "deg" between neighbouring phase EMFs */
    sw_quantity balance;     /* largest deviation of an amplitude from their mean, "1" */
    int leads;               /* 0 = not known */
    int slots;               /* slots or teeth of the stator; 0 = not known */
    sw_answer star_point;
    sw_connection connection;         /* as measured */
    sw_quantity electrical_frequency; /* "Hz", of the stretch */
    double stretch_from_s;            /* NaN = no recording */
    double stretch_to_s;
    sw_quantity speed;           /* "rpm" at the magnets' shaft, same stretch */
    sw_quantity volts_per_hertz; /* "V/Hz", rms of the line-to-line fundamental */
    sw_pole_pairs pole_pairs;
    sw_quantity voltage_constant; /* "V/rpm", rms of the line-to-line fundamental; DC if brushed */
    sw_voltage_constants constants;
    bool harmonics_of_phase; /* true: of the phase EMF (recorded to the star point) */
    size_t harmonics;        /* entries, the fundamental included as order 1 */
    sw_harmonic harmonic[SW_MOTOR_HARMONIC_LIMIT];
    sw_magnet_ring magnet_ring;
    sw_shares budget;               /* of volts_per_hertz, and voltage_constant with it */
    int commutator_ripple;          /* brushed: ripple periods a turn; 0 = not known */
    sw_quantity form_factor;        /* rms over rectified mean of the line wave, "1" */
    sw_quantity crest_factor;       /* peak over rms, "1" */
    sw_quantity distortion;         /* rms of harmonics over the fundamental, "1" */
    sw_quantity winding_resistance; /* "ohm", line to line, 20 degC */
    sw_quantity winding_inductance; /* "mH", line to line */
    sw_drag drag_torque;
    sw_quantity cogging_torque; /* "N m" */
    sw_quantity inertia;        /* "kg m2" */
    sw_quantity copper_mass;    /* "kg", of the winding */
    sw_magnet_kind magnet_kind;
    sw_quantity diameter;    /* "mm", of the housing */
    sw_quantity length;      /* "mm", of the housing without the shaft */
    sw_quantity mass;        /* "kg", the whole motor */
    sw_quantity temperature; /* "degC" */
    sw_quantity brush_drop;  /* "V", both brushes */
    int coil_groups;         /* per phase; 0 = not known */
    sw_rewire can_rewire;
    sw_quantity limit_speed;       /* "rpm" */
    sw_quantity limit_current;     /* "A" rms in a winding */
    sw_quantity nameplate_power;   /* "W" */
    sw_quantity limit_temperature; /* "degC", of the winding */
    sw_sources sources;
    size_t warnings;
    sw_warning warning[SW_MOTOR_WARNING_LIMIT];
} sw_motor;

/* A motor of which nothing is known. */
void sw_motor_init(sw_motor *motor);

/* Add a warning once (printf style); a second one of the same code is dropped when the list is
 * full. */
void sw_motor_warn(sw_motor *motor, sw_warning_code code, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
/* Take back every warning of a code: something surer is known now. */
void sw_motor_unwarn(sw_motor *motor, sw_warning_code code);
bool sw_motor_warned(const sw_motor *motor, sw_warning_code code);
/* Take back what a closer look replaces. */
void sw_motor_unwarn(sw_motor *motor, sw_warning_code code);

/* A file by its fingerprint, NULL when it is not among them. */
const sw_source *sw_source_find(const sw_sources *sources, const char *content);
/* Add a piece of evidence; a file that is there already gets the further use and what was told
 * this time. SW_UNSUPPORTED when there are too many. */
sw_status sw_source_add(sw_sources *sources, const sw_source *source, sw_error *error);
/* How many recordings and tables went into it, each once however many files it has. */
size_t sw_sources_recordings(const sw_sources *sources);

/* Probability from which pole pairs count as found: chosen so that of simulated motors fewer than
 * one answer in a hundred was wrong. */
#define SW_POLE_ANSWER_PROBABILITY 0.8

const char *sw_warning_name(sw_warning_code code);
const char *sw_motor_kind_name(sw_motor_kind kind);
const char *sw_connection_name(sw_connection connection); /* NULL as it comes */
const char *sw_rewire_name(sw_rewire rewire);
const char *sw_magnet_kind_name(sw_magnet_kind kind); /* NULL when unknown */

/* Fill every conversion that follows from volts_per_hertz, harmonics, pole_pairs and phases:
 * voltage_constant and constants. Known values of speed alone do too (brushed). */
void sw_motor_derive(sw_motor *motor);

/* Read a motor document; the winding keys may be hand-written. */
sw_status sw_motor_read(const char *path, const sw_units *units, sw_motor *motor, sw_error *error);
sw_status sw_motor_parse(const cJSON *root, const char *file, const sw_units *units,
                         sw_motor *motor, sw_error *error);

/* The document as JSON, with "unknown" reasons; the caller frees it with cJSON_Delete. */
cJSON *sw_motor_to_json(const sw_motor *motor);

#endif
