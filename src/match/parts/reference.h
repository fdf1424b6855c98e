/* What the published tables say, row by row: wheels, friction, cables, limits, batteries, diodes,
 * roughness, drag. How a table is opened stands in shared/table.h. */
#ifndef SPINWORTH_MATCH_REFERENCE_H
#define SPINWORTH_MATCH_REFERENCE_H

#include "shared/table.h"

#include <stdbool.h>
#include <stddef.h>

/* A wheel that can be bought or found, ascending by diameter. */
typedef struct sw_stock_wheel {
    char name[SW_REFERENCE_NAME_ROOM];
    double diameter_mm;
    double tolerance_mm; /* a new wheel may differ by this much either way */
    double bore_mm;      /* NaN = not said */
    bool pneumatic;
} sw_stock_wheel;
/* The caller frees *wheels. */
sw_status sw_stock_wheels(const char *reference_dir, sw_stock_wheel **wheels, size_t *count,
                          sw_error *error);

/* What a wheel does on a rim: every pair of numbers is a range, low and high. */
typedef struct sw_friction {
    char name[SW_REFERENCE_NAME_ROOM];
    double dry[2];
    double wet[2];
    double rolling_arm_mm[2]; /* lever arm f of rolling resistance, torque = N f at the wheel */
    double creep[2];          /* share of speed lost at rated torque */
    double stiffness_n_mm[2]; /* of the tyre: force a millimetre of flattening */
} sw_friction;
sw_status sw_friction_pair(const char *reference_dir, const char *name, sw_friction *friction,
                           sw_error *error);

/* A ball bearing of a motor's shaft. */
typedef struct sw_bearing {
    char name[SW_REFERENCE_NAME_ROOM];
    double dynamic_n; /* basic dynamic load rating C, ISO 281 */
} sw_bearing;
sw_status sw_bearing_find(const char *reference_dir, const char *name, sw_bearing *bearing,
                          sw_error *error);

/* One copper conductor of area_mm2 > 0: IEC 60228 class 5 maximum, ohm/km at 20 degC; between the
 * sizes of the table by 1/area. */
sw_status sw_cable_resistance(const char *reference_dir, double area_mm2, double *ohm_per_km,
                              sw_error *error);
/* Smallest standard area that carries amps; SW_VALUE when none does. */
sw_status sw_cable_for_current(const char *reference_dir, double amps, double *area_mm2,
                               sw_error *error);

typedef struct sw_safety_limit {
    double ac_v; /* rms */
    double dc_v;
} sw_safety_limit;
/* "bare-dry", "bare-wet", "extra-low-voltage". */
sw_status sw_safety_find(const char *reference_dir, const char *name, sw_safety_limit *limit,
                         sw_error *error);

/* A battery kind; voltages are of a nominal 12 V block (or of its usual multiple). */
typedef struct sw_battery_kind {
    char name[SW_REFERENCE_NAME_ROOM];
    double nominal_v;
    double empty_v;
    double rest_v;          /* half to nearly full: the rest EMF that charging meets */
    double full_v;          /* charging ends here */
    double ohm_ah;          /* internal resistance of the block times its size */
    double charge_per_hour; /* usual largest charging current over size, 1/h */
} sw_battery_kind;
sw_status sw_battery_find(const char *reference_dir, const char *name, sw_battery_kind *kind,
                          sw_error *error);

/* What limits a diode kind, for the parts list. */
typedef struct sw_diode_rating {
    double current_a; /* mean forward current it is sold for; NaN = not said */
    double inverse_v;
    double heat_k_w; /* junction to case of one diode or the whole block; NaN = not said */
    double junction_degc;
} sw_diode_rating;
sw_status sw_diode_rating_find(const char *reference_dir, const char *name, sw_diode_rating *rating,
                               sw_error *error);

typedef struct sw_roughness {
    char name[SW_REFERENCE_NAME_ROOM];
    double length_m; /* z0 */
    double exponent;
} sw_roughness;
/* By name of the terrain ("farmland-hedges-500m"). */
sw_status sw_roughness_find(const char *reference_dir, const char *name, sw_roughness *roughness,
                            sw_error *error);

/* Drag of a vane by shape ("half-pipe", "flat", "cup", "v", "corrugated"). */
typedef struct sw_drag_pair {
    double front; /* hollow or flat side to the wind */
    double back;
} sw_drag_pair;
sw_status sw_drag_find(const char *reference_dir, const char *shape, sw_drag_pair *drag,
                       sw_error *error);

#endif
