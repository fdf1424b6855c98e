/* What carries the motor and presses its wheel on the rim: an arm with a spring, the tyre, the rim
 * it runs on and the bearing that bears it. Read from "friction_drive" of a rotor document; what
 * is not said stays NaN, 0 or empty and is guessed where it is used. A stated u of a size is
 * checked and not kept: the spring is set for the worst place of the rim and a margin of grip, and
 * the year's range comes from wind, rotor, motor and friction (search/sure.c). */
#ifndef SPINWORTH_MATCH_CARRIAGE_H
#define SPINWORTH_MATCH_CARRIAGE_H

#include "shared/json_read.h"
#include "shared/status.h"
#include "shared/table.h"

#include <stdbool.h>

/* Where the arm's pivot is, seen from the wheel. */
typedef enum sw_arm {
    SW_ARM_STRAIGHT, /* the drive force neither adds to the spring nor takes from it */
    SW_ARM_TRAILING, /* the rim runs from the pivot to the wheel: the wheel is lifted off */
    SW_ARM_LEADING   /* the rim runs from the wheel to the pivot: the wheel is drawn in */
} sw_arm;

typedef struct sw_carriage {
    char surface[SW_REFERENCE_NAME_ROOM]; /* row of reference/friction.json; "" = not said */
    char bearing[SW_REFERENCE_NAME_ROOM]; /* row of reference/bearings.json; "" = not said */
    bool inside;                          /* the wheel runs on the rim's inside */
    sw_arm arm;
    double arm_deg; /* from the rim's tangent to the line contact - pivot; NaN = not said */
    double run_out_mm;
    int lumps; /* high places of the rim a turn; 0 = not said */
    double moving_kg;
    double spring_n_mm;
    double tyre_n_mm;
    double most_n;              /* force that rim and motor may be pressed with */
    double overhang_mm;         /* nearest bearing to the wheel's middle */
    double bearing_distance_mm; /* between the motor's two bearings */
} sw_carriage;

/* Nothing said. */
sw_carriage sw_carriage_unknown(void);

/* The object under key; absent leaves *carriage as it is. */
sw_status sw_carriage_read(const sw_node *node, const char *key, sw_carriage *carriage,
                           sw_error *error);

/* Are the surface and the bearing that it names in the tables? An error names file and key. */
sw_status sw_carriage_check(const sw_node *node, const char *key, const char *reference_dir,
                            const sw_carriage *carriage, sw_error *error);

/* Growth of the contact force with the drive force: N = N0 + gain F; + leading, - trailing. An arm
 * without an angle is taken at 15 degrees. */
double sw_carriage_arm_gain(const sw_carriage *carriage);

#endif
