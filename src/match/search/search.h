/* Which battery, wiring and drive give most in a year: every voltage that is possible, every number
 * of machines at hand, every reachable connection and rectifier with every stock size, then the
 * size that would be best if any could be had.
 *
 * Torque over speed is tabulated once for each electrical option; sizes only read the table.
 */
#ifndef SPINWORTH_MATCH_SEARCH_H
#define SPINWORTH_MATCH_SEARCH_H

#include "shared/motor.h"
#include "shared/status.h"
#include "src/match/contact/grip.h"
#include "src/match/deliver/generator.h"
#include "src/match/drive/shop.h"
#include "src/match/heat/winding_heat.h"
#include "src/match/load/load.h"
#include "src/match/plant.h"
#include "src/match/rotor/rotor.h"
#include "src/match/site/site.h"
#include "src/match/year/power_curve.h"

#include <stdbool.h>
#include <stddef.h>

enum {
    SW_VOLTAGE_LIMIT = SW_LOAD_VOLTAGE_LIMIT,
    SW_MACHINE_LIMIT = 4,
    /* The motor alone in up to 7 wirings with 3 rectifiers each, coils wound anew among them; at
     * every further voltage and number of machines 6; and 3 other batteries with 2 rectifiers. */
    SW_ELECTRICAL_LIMIT = 7 * 3 + 6 * SW_VOLTAGE_LIMIT * SW_MACHINE_LIMIT + 3 * 2,
    SW_CHOICE_LIMIT = SW_ELECTRICAL_LIMIT * SW_GEAR_LIMIT
};

/* How the coils are brought to work, against how they came. */
typedef enum sw_rewiring {
    SW_REWIRING_NONE,
    SW_REWIRING_STAR,
    SW_REWIRING_DELTA,
    SW_REWIRING_PARALLEL, /* coil groups of a phase side by side */
    SW_REWIRING_WOUND     /* new coils with other turns */
} sw_rewiring;

typedef struct sw_electrical {
    sw_wiring wiring;
    sw_rewiring rewiring;
    bool reachable;          /* with what is at hand, the motor not opened or its ends outside */
    bool other_battery;      /* needs one that nobody said is possible */
    double nominal_v;        /* of its battery; NaN = none */
    bool tell_voltage;       /* it is one of several, or not the load's own */
    sw_load load;            /* as this option sees it */
    bool exact;              /* the table is no sketch */
    sw_generator *generator; /* owned; NULL when it could not be tabulated */
    char why_not[200];       /* then the reason */
} sw_electrical;

/* Another machine costs work and bearings: what it gives counts only so much. */
extern const double SW_MACHINE_WEIGHT;

/* A rim asks for a wheel on it: unless the kinds of drive are stated, what another kind gives
 * counts only so much there. */
extern const double SW_NO_WHEEL_WEIGHT;

/* What keeps a choice from being recommended. */
typedef enum sw_rejection {
    SW_REJECTED_NOT,
    SW_REJECTED_NO_POWER, /* the current never begins to flow in the winds of this site */
    SW_REJECTED_GRIP,     /* a wheel pressed on as hard as may be slips in usual winds */
    SW_REJECTED_CURRENT,  /* the winding's stated limit is passed in a working wind */
    SW_REJECTED_HEAT,     /* no limit is stated, and the winding makes more heat than a motor of
                             its size ever sheds in still air */
    SW_REJECTED_SPEED,    /* the motor's stated speed limit is passed in a working wind */
    SW_REJECTED_START,    /* does not start by itself at the wind that was asked for */
    SW_REJECTED_VOLTS     /* more than the converter bears when it stops drawing */
} sw_rejection;

/* One wiring with one gear. */
typedef struct sw_choice {
    size_t electrical;
    sw_gear gear;
    sw_drive drive;      /* with its contact force */
    sw_press press;      /* of a pressed wheel */
    double working_wind; /* grip and heat are worked out up to this wind */
    double top_wind;     /* nothing counts above: less than the search's where grip ends sooner */
    double started_kwh;
    double running_kwh;
    double start_wind;
    double cut_in_wind;
    double working_rpm;          /* generator, in the working wind */
    double working_winding_amps; /* rms */
    double working_heat_w;       /* of one machine's copper, as hot as it may be */
    sw_rejection rejection;
} sw_choice;

/* How the wheel meets the rim. */
typedef struct sw_rim {
    double run_out_mm;  /* either way from the mean */
    double moving_kg;   /* motor and arm */
    double safety;      /* of grip, >= 1 */
    double most_n;      /* what rim and motor bearing bear */
    double spring_n_mm; /* NaN = a soft one */
    int lumps;          /* high places a turn, >= 1 */
    double tyre_n_mm;   /* NaN = the surface's */
    double arm_gain;    /* contact force per drive force */
} sw_rim;

typedef struct sw_search_request {
    const sw_motor *motor;
    const sw_rotor *rotor;
    const sw_site *site;
    const sw_load *load;
    const sw_shop *shop;
    sw_rim rim;
    double wheel_mm; /* only this wheel; NaN = any */
    unsigned drives; /* SW_DRIVE_BIT of the kinds allowed; 0 = all */
    /* Possible nominal voltages of the battery; 0 of them = the load's own. */
    size_t voltages;
    double voltage[SW_VOLTAGE_LIMIT];
    int machines;    /* equal ones at hand, 1 .. SW_MACHINE_LIMIT; 0 = 1 */
    double start_by; /* must start by itself at or below this wind; INFINITY or 0 = any */
    bool outlook;    /* look at opened motors and other batteries too */
} sw_search_request;

typedef struct sw_search {
    size_t electricals;
    sw_electrical electrical[SW_ELECTRICAL_LIMIT];
    size_t choices;
    sw_choice *choice;    /* owned; best first, reachable and not rejected before the others */
    bool wheel_first;     /* a rim, and no kinds of drive stated */
    sw_winding_heat heat; /* what the winding may make */
    bool found;           /* choice[0] is reachable and not rejected */
    double working_wind;  /* hardest wind that grip and heat are worked out for */
    double top_wind;
    double lost_wind;  /* hardest wind that may turn the rotor with the load lost: it shuts itself
                          down above, or is tied down */
    double top_rpm;    /* of the tables */
    double best_ratio; /* with any size to be had, same wiring and kind of drive */
    double best_ratio_weight; /* its year's energy, weighed as choices are against each other */
    double stock_weight;      /* of the best stock size, alike */
} sw_search;

/* Every wiring with every gear. What the request points to must outlive the search; the caller
 * frees. SW_MEMORY, or what a table of the generator fails with. */
sw_status sw_search_run(const sw_search_request *request, sw_search *search, sw_error *error);
void sw_search_free(sw_search *search);

/* Work a choice out again on a finer grid of winds and an exact table. */
void sw_search_refine(const sw_search_request *request, sw_search *search, sw_choice *choice);

/* Machine with this choice of the search. */
sw_plant sw_search_plant(const sw_search_request *request, const sw_search *search,
                         const sw_choice *choice);

#endif
