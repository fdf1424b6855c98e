/* Which of these wires? From ohms between numbered wires, thickness and what shorting two of them
 * does to the shaft: groups, what each wire is, and which ones to connect.
 *
 * Wires are numbered from 0 here and from 1 wherever people read them. */
#ifndef SPINWORTH_MEASURE_WIRES_H
#define SPINWORTH_MEASURE_WIRES_H

#include "shared/json_read.h"
#include "shared/motor.h"
#include "shared/quantity.h"
#include "shared/status.h"

#include <stdbool.h>
#include <stddef.h>

enum {
    SW_WIRE_LIMIT = 12,
    SW_WIRE_COLOUR_ROOM = 24,
    SW_WIRE_DOUBT_LIMIT = 16,
    SW_WIRE_TEXT_ROOM = 280
};

typedef enum sw_wire_contact {
    SW_CONTACT_OPEN,      /* the meter shows open, or the pair was not mentioned */
    SW_CONTACT_OHMS,      /* a value */
    SW_CONTACT_CLIMBS,    /* climbs until open: a capacitor */
    SW_CONTACT_UNMEASURED /* said to be not measured: "?" */
} sw_wire_contact;

typedef enum sw_wire_weight { SW_WEIGHT_NOT_SAID, SW_THIN, SW_THICK } sw_wire_weight;

typedef struct sw_wire_pair {
    bool said; /* the pair's contact was given, not taken as open */
    sw_wire_contact contact;
    sw_quantity ohm;   /* as the meter shows it, test leads included; "ohm" */
    sw_quantity volts; /* AC while the shaft was spun; "V" */
    sw_answer stiffer; /* does the shaft turn harder with the two shorted? */
} sw_wire_pair;

typedef struct sw_wires {
    int count; /* 2 .. SW_WIRE_LIMIT */
    char colour[SW_WIRE_LIMIT][SW_WIRE_COLOUR_ROOM];
    sw_wire_weight weight[SW_WIRE_LIMIT];
    sw_wire_pair pair[SW_WIRE_LIMIT][SW_WIRE_LIMIT]; /* [smaller][larger] */
    sw_quantity test_leads; /* what the meter shows with its leads shorted; "ohm" */
} sw_wires;

/* What a group of connected wires is. Names in wires.c and in the schema. */
typedef enum sw_wire_kind {
    SW_WIRES_WINDING,     /* two wires, one coil */
    SW_WIRES_THREE,       /* three alike: star or delta, ohms cannot tell */
    SW_WIRES_THREE_POINT, /* a star with its star point brought out */
    SW_WIRES_CENTRE_TAP,  /* one coil and its middle */
    SW_WIRES_MAIN_AUX,    /* common, main and auxiliary winding */
    SW_WIRES_COMMON_FOUR, /* four coils with one common wire */
    SW_WIRES_FOUR,        /* four alike, joined inside */
    SW_WIRES_TAPPED,      /* a coil with taps along it */
    SW_WIRES_UNEVEN,      /* three wires that should be alike and are not */
    SW_WIRES_SWITCH,      /* next to no ohms: a thermal switch or a bridge */
    SW_WIRES_SENSOR,      /* a speed-sensor coil: volts, hardly any watts */
    SW_WIRES_SIGNALS,     /* supply and signals of position sensors */
    SW_WIRES_EARTH,       /* green and yellow: the frame */
    SW_WIRES_LONE,        /* connected to nothing */
    SW_WIRES_UNFINISHED,  /* pairs not measured yet */
    SW_WIRES_UNCLEAR,     /* hangs together in no way that is known here */
    SW_WIRES_KIND_COUNT
} sw_wire_kind;

typedef enum sw_wire_role {
    SW_ROLE_LINE,
    SW_ROLE_STAR_POINT,
    SW_ROLE_COIL_END,
    SW_ROLE_CENTRE_TAP,
    SW_ROLE_COMMON,
    SW_ROLE_MAIN,
    SW_ROLE_AUXILIARY,
    SW_ROLE_TAP,
    SW_ROLE_SWITCH,
    SW_ROLE_SENSOR,
    SW_ROLE_SIGNAL,
    SW_ROLE_EARTH,
    SW_ROLE_UNKNOWN,
    SW_ROLE_COUNT
} sw_wire_role;

/* What the wires together make. */
typedef enum sw_wire_machine {
    SW_MACHINE_THREE_PHASE,
    SW_MACHINE_THREE_WINDINGS, /* six ends: star or delta by choice */
    SW_MACHINE_ONE_WINDING,
    SW_MACHINE_ONE_TAPPED,
    SW_MACHINE_TWO_PHASE,        /* two windings alike */
    SW_MACHINE_TWO_PHASE_TAPPED, /* the same with centre taps: six wires */
    SW_MACHINE_TWO_PHASE_COMMON, /* the same with one common: five wires */
    SW_MACHINE_FOUR_COILS,       /* eight wires */
    SW_MACHINE_UNLIKE_WINDINGS,  /* main and auxiliary, or field and armature */
    SW_MACHINE_NONE,             /* nothing to connect */
    SW_MACHINE_UNCLEAR,
    SW_MACHINE_COUNT
} sw_wire_machine;

typedef struct sw_wire_group {
    sw_wire_kind kind;
    int count;
    int wire[SW_WIRE_LIMIT];
    double arm_ohm[SW_WIRE_LIMIT]; /* star equivalent; NaN where it has no meaning */
    sw_quantity ohm;               /* between two lines or coil ends, leads taken off */
    sw_quantity greatest_watts;    /* E^2 / 4R at the volts given; "W" */
    sw_answer stiffer;
    bool use; /* connect it to the rectifier */
} sw_wire_group;

typedef enum sw_wire_doubt_code {
    SW_DOUBT_LEADS,      /* little ohms, test leads not taken off */
    SW_DOUBT_TOO_SMALL,  /* the meter cannot tell one arrangement from another */
    SW_DOUBT_LEAK,       /* a million ohms and more: damp or dirt, taken as open */
    SW_DOUBT_BROKEN,     /* a coil or wire that is broken */
    SW_DOUBT_UNEVEN,     /* readings that should be alike */
    SW_DOUBT_CAPACITOR,  /* a capacitor is still connected */
    SW_DOUBT_NO_MAGNETS, /* shorting does not brake */
    SW_DOUBT_SENSOR,     /* looks like a sensor coil; volts would prove it */
    SW_DOUBT_UNMEASURED, /* pairs still to be measured */
    SW_DOUBT_NOT_KNOWN,  /* arrangement not known here */
    SW_DOUBT_COUNT
} sw_wire_doubt_code;

typedef struct sw_wire_doubt {
    sw_wire_doubt_code code;
    char message[SW_WIRE_TEXT_ROOM];
} sw_wire_doubt;

typedef struct sw_wire_finding {
    sw_wire_machine machine;
    int phases; /* 0 = not known */
    int groups;
    sw_wire_group group[SW_WIRE_LIMIT];
    sw_wire_role role[SW_WIRE_LIMIT];
    bool use[SW_WIRE_LIMIT];
    size_t doubts;
    sw_wire_doubt doubt[SW_WIRE_DOUBT_LIMIT];
} sw_wire_finding;

/* So many wires, nothing else known. */
void sw_wires_init(sw_wires *wires, int count);

/* The pair of two different wires, whichever comes first. */
sw_wire_pair *sw_wires_pair(sw_wires *wires, int a, int b);

/* wires_find.c: groups, roles, use. SW_VALUE names the pair of readings that contradict each other.
 */
sw_status sw_wires_find(const sw_wires *wires, sw_wire_finding *finding, sw_error *error);

const char *sw_wire_kind_name(sw_wire_kind kind);
const char *sw_wire_role_name(sw_wire_role role);
const char *sw_wire_machine_name(sw_wire_machine machine);
const char *sw_wire_doubt_name(sw_wire_doubt_code code);
const char *sw_wire_weight_name(sw_wire_weight weight); /* NULL when not said */

/* Ohms for people: "7.2", "0.35", "120". */
void sw_wires_number_text(double value, char *out, size_t room);

/* As typed (wires_parse.c). Messages begin with the piece that was not understood.
 *   ohms     "1-2 7.2, 2-3 7.1, 4-5 1.2k, 3-4 open, 5-6 climbs, 1-6 ?"
 *   volts    "4-5 12 V"
 *   stiffer  "1-2, 2-3"
 *   weight   "1,2,3" or "1-3"
 *   colours  "blue, white, red" */
sw_status sw_wires_parse_ohms(const char *text, const sw_units *units, sw_wires *wires,
                              sw_error *error);
sw_status sw_wires_parse_volts(const char *text, const sw_units *units, sw_wires *wires,
                               sw_error *error);
sw_status sw_wires_parse_stiffer(const char *text, sw_answer answer, sw_wires *wires,
                                 sw_error *error);
sw_status sw_wires_parse_weight(const char *text, sw_wire_weight weight, sw_wires *wires,
                                sw_error *error);
sw_status sw_wires_parse_colours(const char *text, sw_wires *wires, sw_error *error);

/* A document of kind "wires" (wires_document.c). */
sw_status sw_wires_read(const char *path, const sw_units *units, sw_wires *wires, sw_error *error);

#endif
