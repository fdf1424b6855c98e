/* The builder's rotor: torque out of wind at a speed, and what it takes to turn.
 *
 * Torque coefficients refer to swept area and tip radius: T = 1/2 rho A R v^2 Ct(lambda),
 * Cp = lambda Ct, lambda = tip speed over wind speed. A rotor with curves at several Reynolds
 * numbers depends on the wind too, which is why the functions take it.
 */
#ifndef SPINWORTH_MATCH_ROTOR_H
#define SPINWORTH_MATCH_ROTOR_H

#include "shared/quantity.h"
#include "shared/status.h"
#include "src/match/drive/carriage.h"

#include <cjson/cJSON.h>
#include <stdbool.h>

typedef enum sw_rotor_kind {
    SW_ROTOR_CURVE,
    SW_ROTOR_CUPS,
    SW_ROTOR_MEASURED,
    SW_ROTOR_PUBLISHED,
    SW_ROTOR_KIND_COUNT
} sw_rotor_kind;

enum { SW_ROTOR_NAME_ROOM = 80, SW_ROTOR_NOTE_ROOM = 400 };

/* Wind at which the peak, no-load and static values of a sw_rotor are given. */
#define SW_ROTOR_REFERENCE_WIND 7.0

/* A rotor ready for use. */
typedef struct sw_rotor {
    char name[SW_ROTOR_NAME_ROOM];
    char note[SW_ROTOR_NOTE_ROOM]; /* a remark for the builder (vane surface is no swept area) */
    sw_rotor_kind kind;
    bool horizontal; /* axis along the wind: sweeps a disc */
    double swept_area_m2;
    double radius_m;            /* blade tip */
    double rim_diameter_mm;     /* where a wheel runs; NaN = no rim */
    sw_carriage carriage;       /* of a wheel pressed on it */
    sw_quantity bearing_torque; /* "N m"; never unknown: a guess when not measured */
    bool bearing_guessed;
    sw_quantity inertia;       /* "kg m2", unknown allowed */
    bool power_guessed;        /* Cp not measured on this rotor */
    double power_u_relative;   /* standard uncertainty of Cp, relative; 0.2 unless better known */
    double static_torque_min;  /* Ct from rest at the worst angle */
    double static_torque_mean; /* over a turn */
    bool static_guessed;       /* estimated from the lowest point of the curve */
    double peak_power;         /* largest Cp and where, at the reference wind */
    double peak_tip_speed_ratio;
    double no_load_tip_speed_ratio; /* Cp = 0 */
    double no_load_most;            /* the same, at no wind more */
    double force_area_m2;           /* parked drag: sum of Cd A facing the wind, storm force */
    int vanes;                      /* 0 = not known */
    double vane_force_area_m2;      /* Cd A of one vane square to the wind; NaN = not known */
    double vane_mass_kg;            /* NaN = not known */
    double vane_arm_m;              /* axis to vane centre; NaN = not known */
    struct sw_rotor_curve *curve;   /* owned */
} sw_rotor;

/* Read a rotor document; published tables are looked up below reference_dir. */
sw_status sw_rotor_read(const char *path, const char *reference_dir, const sw_units *units,
                        sw_rotor *rotor, sw_error *error);
sw_status sw_rotor_parse(const cJSON *root, const char *file, const char *reference_dir,
                         const sw_units *units, sw_rotor *rotor, sw_error *error);
void sw_rotor_free(sw_rotor *rotor);

/* Cp at a tip-speed ratio >= 0 (0 at 0; negative beyond the no-load ratio) in wind_m_s > 0. */
double sw_rotor_power_coefficient(const sw_rotor *rotor, double tip_speed_ratio, double wind_m_s);

/* Ct = Cp / lambda; at 0 the mean static torque. */
double sw_rotor_torque_coefficient(const sw_rotor *rotor, double tip_speed_ratio, double wind_m_s);

/* N m at the rotor shaft before bearings. wind_m_s > 0; speed >= 0. */
double sw_rotor_torque_nm(const sw_rotor *rotor, double density, double wind_m_s,
                          double speed_rad_s);

/* Largest Cp in this wind; *tip_speed_ratio (may be NULL) gets where it is. */
double sw_rotor_peak(const sw_rotor *rotor, double wind_m_s, double *tip_speed_ratio);

/* Tip-speed ratio at which the rotor runs away in this wind: the largest root of Cp. */
double sw_rotor_no_load(const sw_rotor *rotor, double wind_m_s);

/* N m from rest at the worst angle, before bearings. */
double sw_rotor_start_torque_nm(const sw_rotor *rotor, double density, double wind_m_s);

#endif
