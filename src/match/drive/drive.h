/* How the rotor turns the generator: a friction wheel on the rim, a belt, a chain, or directly.
 *
 * ratio = driver diameter / wheel diameter. Creep lowers the generator's speed only; rolling
 * resistance is a torque N f at the wheel that is there at zero output; belt and chain have an
 * efficiency. One constant table row a kind.
 */
#ifndef SPINWORTH_MATCH_DRIVE_H
#define SPINWORTH_MATCH_DRIVE_H

#include "shared/status.h"

#include <stdbool.h>

typedef enum sw_drive_id {
    SW_DRIVE_FRICTION,
    SW_DRIVE_BELT,
    SW_DRIVE_CHAIN,
    SW_DRIVE_DIRECT,
    SW_DRIVE_COUNT
} sw_drive_id;

/* In a set of kinds. */
#define SW_DRIVE_BIT(id) (1U << (unsigned)(id))

/* A figure that nobody measured: taken as uniform over its range, the middle is counted with. */
typedef struct sw_range {
    double low;
    double high;
} sw_range;

typedef struct sw_drive_kind {
    sw_drive_id id;
    const char *name;    /* "friction-wheel" */
    const char *said;    /* "a wheel pressed on the rim" */
    const char *wheel;   /* what turns the generator: "wheel", "pulley", "sprocket" */
    bool pressed;        /* held by contact force, can slip */
    sw_range creep;      /* fraction of speed lost; a pressed wheel's comes with its surface */
    sw_range efficiency; /* of torque, (0, 1] */
} sw_drive_kind;

/* What a pressed wheel does on a rim. */
typedef struct sw_surface {
    sw_range dry; /* friction */
    sw_range wet;
    sw_range rolling_mm; /* lever arm f of rolling resistance, torque = N f */
    sw_range creep;
    sw_range stiffness_n_mm; /* of the tyre; 0 = rigid */
} sw_surface;

/* A drive of given sizes. */
typedef struct sw_drive {
    const sw_drive_kind *kind;
    double driver_mm; /* rim, pulley or chain ring on the rotor; NaN for direct */
    double wheel_mm;  /* on the generator; NaN for direct */
    double ratio;
    double creep;
    double efficiency;
    double rolling_mm;
    double contact_n; /* mean force on the rim, per wheel; 0 when not pressed */
    int wheels;       /* equal generators on one rim, 1 */
    double arm_gain;  /* contact force per drive force on a leading (+) or trailing (-) arm; 0 */
} sw_drive;

const sw_drive_kind *sw_drive_kind_of(sw_drive_id id);

double sw_range_middle(sw_range range);

/* Middle of creep, efficiency and rolling arm; contact force 0. Direct: sizes are not used. Only
 * a pressed kind reads surface. */
sw_drive sw_drive_of(const sw_drive_kind *kind, const sw_surface *surface, double driver_mm,
                     double wheel_mm);

/* n_gen = n_rotor ratio (1 - creep). */
double sw_drive_generator_rpm(const sw_drive *drive, double rotor_rad_s);
double sw_drive_rotor_rad_s(const sw_drive *drive, double generator_rpm);

/* Torque that the rotor must give for generator_nm of all generators together (drag included):
 * ratio (T / efficiency + wheels N f). */
double sw_drive_rotor_torque_nm(const sw_drive *drive, double generator_nm);

/* Contact force of each wheel while the generators together take generator_nm: contact_n, and on
 * an arm what the drive force adds or takes away; never below 0. */
double sw_drive_contact_n(const sw_drive *drive, double generator_nm);

/* Rolling resistance of all wheels at their shafts, N f, at this torque. */
double sw_drive_rolling_nm(const sw_drive *drive, double generator_nm);

#endif
