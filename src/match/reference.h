/* The published tables below the reference directory.
 *
 * Every table is one JSON file: {"table", "about", "units", "sources", "list"}. Each row of the
 * list carries "source" (a key of "sources") and "status" (published, computed, from memory,
 * common practice). Values are plain numbers in the units that the table states once.
 */
#ifndef SPINWORTH_MATCH_REFERENCE_H
#define SPINWORTH_MATCH_REFERENCE_H

#include "shared/json_read.h"
#include "shared/status.h"

#include <cjson/cJSON.h>
#include <stdbool.h>
#include <stddef.h>

enum { SW_REFERENCE_NAME_ROOM = 64 };

/* An open table: nodes borrow from root. Release with sw_table_close. */
typedef struct sw_table {
    char path[512];
    cJSON *root;
    sw_node top;
    sw_node list;
} sw_table;

/* Open reference_dir/name.json ("wheels", "rotors/savonius-2-bucket"); SW_NOT_FOUND says what
 * was looked for. Pass the same sw_table object around: it must not be copied. */
sw_status sw_table_open(const char *reference_dir, const char *name, sw_table *table,
                        sw_error *error);
void sw_table_close(sw_table *table);

/* Row whose "name" is name; SW_NOT_FOUND lists the names there are. */
sw_status sw_table_row(const sw_table *table, const char *name, sw_node *row, sw_error *error);

/* Open a table and look up one row; on success the caller closes the table when done with row. */
sw_status sw_table_find(const char *reference_dir, const char *table_name, const char *row_name,
                        sw_table *table, sw_node *row, sw_error *error);

/* A number that must be there; a [low, high] pair; the row's name cut to fit. */
sw_status sw_row_number(const sw_node *row, const char *key, double *out, sw_error *error);
sw_status sw_row_range(const sw_node *row, const char *key, double range[2], sw_error *error);
void sw_row_name(const sw_node *row, char out[SW_REFERENCE_NAME_ROOM]);

/* A wheel that can be bought or found, ascending by diameter. */
typedef struct sw_stock_wheel {
    char name[SW_REFERENCE_NAME_ROOM];
    double diameter_mm;
    double tolerance_mm; /* a new wheel may differ by this much either way */
    double bore_mm;      /* NaN = not said */
    double width_mm;     /* NaN = not said */
    double hardness;     /* Shore A; NaN = not said */
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
} sw_friction;
sw_status sw_friction_pair(const char *reference_dir, const char *name, sw_friction *friction,
                           sw_error *error);

/* One copper conductor of area_mm2 > 0: IEC 60228 class 5 maximum, ohm/km at 20 degC; between the
 * sizes of the table by 1/area. */
sw_status sw_cable_resistance(const char *reference_dir, double area_mm2, double *ohm_per_km,
                              sw_error *error);
/* Largest lasting current, A: the next smaller size of the table counts, none below it = 0. */
sw_status sw_ampacity(const char *reference_dir, double area_mm2, double *amps, sw_error *error);
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
