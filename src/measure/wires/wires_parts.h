/* What the files of wires share. */
#ifndef SPINWORTH_MEASURE_WIRES_PARTS_H
#define SPINWORTH_MEASURE_WIRES_PARTS_H

#include "src/measure/wires/wires.h"

/* Readings with the test leads taken off, as a symmetric matrix. */
typedef struct sw_wire_mesh {
    const sw_wires *wires;
    bool joined[SW_WIRE_LIMIT][SW_WIRE_LIMIT]; /* a value, or not measured */
    double ohm[SW_WIRE_LIMIT][SW_WIRE_LIMIT];  /* NaN = not measured */
    double u[SW_WIRE_LIMIT][SW_WIRE_LIMIT];
    double lead_room_ohm; /* what the leads may hold: 0 when they were taken off */
} sw_wire_mesh;

/* A doubt once a code and message (printf style). */
void sw_wires_doubt(sw_wire_finding *finding, sw_wire_doubt_code code, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* Put the wires of a group, whose arms are not set yet, in order. */
void sw_wires_sort(sw_wire_group *group);

/* Shape of one group whose pairs are complete (wires_shape.c): kind, arms, roles, ohm. */
void sw_wires_shape(const sw_wire_mesh *mesh, sw_wire_group *group, sw_wire_finding *finding);

/* Are two values alike, given their uncertainties and how much windings differ? */
bool sw_wires_alike(double a, double u_a, double b, double u_b);

/* What the groups are together (wires_roles.c): sensors, signals, earth, machine, use. */
void sw_wires_roles(const sw_wire_mesh *mesh, sw_wire_finding *finding);

#endif
