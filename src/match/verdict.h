/* Is it worth it? One table of thresholds, and the reasons that follow from it. */
#ifndef SPINWORTH_MATCH_VERDICT_H
#define SPINWORTH_MATCH_VERDICT_H

#include "shared/motor.h"
#include "src/match/search/search.h"
#include "src/match/sheet/remark.h"

/* From best to worst. */
typedef enum sw_verdict {
    SW_VERDICT_USE,
    SW_VERDICT_USE_IF,
    SW_VERDICT_SPARE,   /* "second choice" */
    SW_VERDICT_NOT_YET, /* a reading is missing */
    SW_VERDICT_LEAVE,
    SW_VERDICT_COUNT
} sw_verdict;

/* "use", "use-if", "spare", "not-yet", "leave". */
const char *sw_verdict_name(sw_verdict verdict);

typedef struct sw_thresholds {
    double least_kwh;   /* a year: below, leave it */
    double spare_kwh;   /* below, second choice */
    double spare_share; /* of what the rotor could give at its best: below, second choice */
    double late_start;  /* start wind over mean wind: above, second choice */
} sw_thresholds;

/* 2 kWh, 5 kWh, 0.12 and 1.5. */
extern const sw_thresholds SW_THRESHOLDS;

/* The usual ones for a builder to whom so many kWh a year are worth the work: below it is second
 * choice, below two fifths of it to be left. */
sw_thresholds sw_thresholds_worth(double worth_kwh);

typedef struct sw_verdict_request {
    const sw_motor *motor;
    const sw_search *search; /* NULL when the motor cannot be worked out */
    const sw_remarks *missing;
    const sw_remarks *guessed;
    const sw_thresholds *thresholds;
    double mean_wind;
    double started_kwh;
    double running_kwh;
    double potential_kwh; /* the rotor at its best Cp in every wind */
    double cut_in_rpm;    /* of the generator */
    double start_by;      /* asked for; 0 = any */
    double start_wind;    /* of the recommended choice */
    double may_be_little; /* probability that the energy is below spare_kwh; 0 = not asked */
} sw_verdict_request;

/* Readings without which nothing can be worked out. */
void sw_verdict_missing(const sw_motor *motor, sw_remarks *missing);

/* What counts of a year: all that it gives while running, if most is lost when it waits to start by
 * itself (then it is pushed by hand); else what it gives from rest. */
double sw_verdict_counted_kwh(double started_kwh, double running_kwh);

/* A yes turns into a perhaps when little is so likely. */
#define SW_PERHAPS_FROM 0.25

sw_verdict sw_verdict_of(const sw_verdict_request *request, sw_remarks *reasons);

#endif
