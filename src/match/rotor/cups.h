/* A rotor of vanes on arms, pushed by drag, integrated round the turn. */
#ifndef SPINWORTH_MATCH_CUPS_H
#define SPINWORTH_MATCH_CUPS_H

typedef struct sw_cups {
    int vanes;         /* >= 1, evenly round the axis */
    double width_m;    /* of a vane, along its arm */
    double height_m;   /* of a vane, along the axis */
    double arm_m;      /* axis to vane centre, >= width / 2 */
    double drag_front; /* of the side that drives (hollow), on the vane's own area */
    double drag_back;  /* of the side that returns against the wind */
    double shielded;   /* fraction of the returning side hidden from the wind, 0 .. 1 */
} sw_cups;

double sw_cups_radius_m(const sw_cups *cups);      /* blade tip: arm + width / 2 */
double sw_cups_swept_area_m2(const sw_cups *cups); /* 2 (arm + width / 2) height */

/* Torque coefficient on swept area and tip radius, mean over a turn at a tip-speed ratio >= 0. */
double sw_cups_torque(const sw_cups *cups, double tip_speed_ratio);

/* Torque coefficient at rest with the first arm angle_deg from the wind's direction. */
double sw_cups_static_torque(const sw_cups *cups, double angle_deg);

#endif
