/* The builder's rotor: torque out of wind at a speed, and what it takes to turn. */
#ifndef SPINWORTH_MATCH_ROTOR_H
#define SPINWORTH_MATCH_ROTOR_H

#include "shared/quantity.h"
#include "shared/status.h"

#include <cjson/cJSON.h>
#include <stdbool.h>
#include <stddef.h>

typedef enum sw_rotor_kind {
    SW_ROTOR_CURVE,
    SW_ROTOR_CUPS,
    SW_ROTOR_MEASURED,
    SW_ROTOR_PUBLISHED,
    SW_ROTOR_KIND_COUNT
} sw_rotor_kind;

/* A rotor ready for use. Opaque inside: power coefficient as a spline over tip-speed ratio. */
typedef struct sw_rotor {
    char name[80];
    sw_rotor_kind kind;
    double swept_area_m2;
    double radius_m;            /* blade tip */
    double rim_diameter_mm;     /* NaN = no rim */
    sw_quantity bearing_torque; /* "N m" */
    sw_quantity inertia;        /* "kg m2", unknown allowed */
    bool power_guessed;         /* Cp not measured on this rotor: u is the 20 % default */
    double power_u_relative;    /* standard uncertainty of Cp, relative */
    double static_torque_min;   /* Ct from rest at the worst angle (reference R and A) */
    double static_torque_mean;
    double peak_power; /* largest Cp and where */
    double peak_tip_speed_ratio;
    double no_load_tip_speed_ratio; /* Cp = 0 */
    double force_area_m2;           /* parked drag: sum Cd A of what faces the wind, storm force */
    int vanes;                      /* 0 = not known */
    struct sw_rotor_curve *curve;   /* owned */
} sw_rotor;

/* Read a rotor document; published tables are looked up below reference_dir. */
sw_status sw_rotor_read(const char *path, const char *reference_dir, const sw_units *units,
                        sw_rotor *rotor, sw_error *error);
sw_status sw_rotor_parse(const cJSON *root, const char *file, const char *reference_dir,
                         const sw_units *units, sw_rotor *rotor, sw_error *error);
void sw_rotor_free(sw_rotor *rotor);

/* Cp at a tip-speed ratio >= 0 (0 at 0; negative beyond the no-load ratio). */
double sw_rotor_power_coefficient(const sw_rotor *rotor, double tip_speed_ratio);

/* Ct = Cp / lambda; at and near 0 the mean static torque. */
double sw_rotor_torque_coefficient(const sw_rotor *rotor, double tip_speed_ratio);

/* N m at the rotor shaft before bearings. wind > 0. */
double sw_rotor_torque_nm(const sw_rotor *rotor, double density, double wind_m_s,
                          double speed_rad_s);

#endif
