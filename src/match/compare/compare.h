/* After the build: a log of what it did, beside what was predicted.
 *
 * Method of bins of IEC 61400-12-1 (from memory): wind in bins of 0.5 m/s centred on multiples of
 * it, the means of wind and power in each, wind brought to the prediction's density by its cube
 * root. A log of rotor speed instead of wind (turned by hand, or in a jet) is binned by speed; then
 * the rotor's own torque plays no part. Five handwritten rows will do: a bin of one row is shown
 * with its count.
 */
#ifndef SPINWORTH_MATCH_COMPARE_H
#define SPINWORTH_MATCH_COMPARE_H

#include "shared/quantity.h"
#include "shared/status.h"

#include <stdbool.h>
#include <stddef.h>

enum { SW_COMPARE_BIN_LIMIT = 200, SW_COMPARE_POINT_LIMIT = 512 };

/* One row; NaN = not logged. */
typedef struct sw_log_row {
    double wind_m_s;
    double rotor_rpm;
    double volts;
    double amps;
    double hertz; /* electrical */
    double watts; /* volts x amps where no power column is there */
} sw_log_row;

typedef struct sw_log {
    sw_log_row *row; /* owned */
    size_t rows;
    bool wind;     /* binned by wind, else by rotor speed */
    bool beaufort; /* the wind was judged by eye */
} sw_log;

/* Any table with a header whose words name wind, rotor, volts, amps, watts, hertz, with the wind's
 * unit in it ("wind [mph]", "wind m/s", "wind Beaufort"). */
sw_status sw_log_parse(const char *text, const char *path, const sw_units *units, sw_log *log,
                       sw_error *error);
sw_status sw_log_read(const char *path, const sw_units *units, sw_log *log, sw_error *error);
void sw_log_free(sw_log *log);

/* What a match document predicts, while running. */
typedef struct sw_prediction {
    size_t points;
    double wind_m_s[SW_COMPARE_POINT_LIMIT];
    double rotor_rpm[SW_COMPARE_POINT_LIMIT];
    double watts[SW_COMPARE_POINT_LIMIT];
    double u_relative; /* of power at a known wind */
    double density;    /* kg/m3; NaN = not in the document */
    double ratio;      /* generator turns a rotor turn, creep taken off */
    double pole_pairs; /* NaN = not known */
} sw_prediction;

sw_status sw_prediction_read(const char *path, const sw_units *units, sw_prediction *prediction,
                             sw_error *error);

typedef struct sw_compare_bin {
    size_t rows;
    double at; /* mean wind (at the prediction's density), or rotor rpm */
    double watts;
    double u_watts;   /* of the mean, from scatter; NaN for one row */
    double predicted; /* W; NaN = outside the prediction */
} sw_compare_bin;

typedef enum sw_compare_cause {
    SW_CAUSE_NONE,     /* as predicted, within the uncertainties */
    SW_CAUSE_BETTER,   /* more than predicted */
    SW_CAUSE_SLIP,     /* the generator turns slower than wheel and rim say */
    SW_CAUSE_CUT_IN,   /* nothing in light winds, the rest about right */
    SW_CAUSE_PHASE,    /* a third to a half at every speed: a phase or diodes lost */
    SW_CAUSE_CABLE,    /* resistance in the way: cable, contacts, a hot winding, one diode */
    SW_CAUSE_ROTOR,    /* less in every wind: the rotor catches less */
    SW_CAUSE_MACHINE,  /* less at every speed, no pattern */
    SW_CAUSE_FAR_LESS, /* next to nothing in every wind: no guess of rotor or wind explains it */
    SW_CAUSE_NOTHING,  /* no power in any row that should have some */
    SW_CAUSE_COUNT
} sw_compare_cause;

typedef struct sw_comparison {
    bool wind;
    size_t bins;
    sw_compare_bin bin[SW_COMPARE_BIN_LIMIT];
    double share;   /* measured over predicted, bins with a prediction; NaN = none */
    double u_share; /* of the prediction and of the scatter */
    double
        share_at_speed; /* the same at equal rotor speeds, where wind was binned; NaN = no speed */
    double u_at_speed;
    double volts_lift; /* by how much of them the volts stand higher at the largest current */
    double
        rise_at_speed;  /* share of the strong half over that of the light half, at equal speeds */
    double speed_share; /* rotor speed over that predicted at the wind; NaN = not known */
    bool beaufort;
    double slip; /* share of speed lost between rim and wheel beyond creep; NaN = not known */
    sw_compare_cause cause;
} sw_comparison;

/* density of the air while logging; NaN = as predicted. pole_pairs NaN = the document's. */
sw_status sw_compare(const sw_log *log, const sw_prediction *prediction, double density,
                     double pole_pairs, sw_comparison *comparison, sw_error *error);

/* The share that would be no surprise, at both ends: share_low .. 1 / share_low. */
double sw_compare_share_low(const sw_comparison *comparison);

/* "none", "slip", "late_cut_in" ... */
const char *sw_compare_cause_name(sw_compare_cause cause);

#endif
