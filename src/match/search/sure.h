/* How sure the year's energy, the verdict and the wheel are: the inputs vary within what is known
 * of them. */
#ifndef SPINWORTH_MATCH_SURE_H
#define SPINWORTH_MATCH_SURE_H

#include "shared/status.h"
#include "src/match/drive/drive.h"
#include "src/match/plant.h"
#include "src/match/search/potential.h"
#include "src/match/site/site.h"
#include "src/match/verdict.h"

#include <stddef.h>

/* What is varied. */
typedef enum sw_doubt {
    SW_DOUBT_WIND,       /* mean wind */
    SW_DOUBT_ROTOR,      /* power coefficient */
    SW_DOUBT_CONSTANT,   /* motor's EMF */
    SW_DOUBT_DRAG,       /* motor's drag and cogging */
    SW_DOUBT_RESISTANCE, /* of the winding */
    SW_DOUBT_INDUCTANCE,
    SW_DOUBT_DRIVE, /* rolling arm, creep, efficiency */
    SW_DOUBT_COUNT
} sw_doubt;

enum { SW_RIVAL_LIMIT = 6 };

/* One way to couple and wire the machine. */
typedef struct sw_rival {
    sw_plant plant;
    const sw_surface *surface; /* of a pressed wheel */
    const sw_press *press;     /* of the chosen one, when it is pressed */
    double working_wind;       /* it has to hold up to this one */
    double top_wind;
    double started_kwh; /* worked out finely; what is drawn is scaled to it */
    double running_kwh;
} sw_rival;

typedef struct sw_sure_request {
    sw_rival chosen;
    size_t rivals; /* other choices that might turn out better */
    sw_rival rival[SW_RIVAL_LIMIT];
    const sw_site *site;
    double u[SW_DOUBT_COUNT]; /* relative standard uncertainties; of the drive unused */
    /* The chosen option's table with resistance, with inductance one u higher; NULL = not known */
    const sw_generator *more_ohm;
    const sw_generator *more_henry;
    const sw_verdict_request *verdict; /* of the undisturbed inputs; NULL = not asked */
    const sw_potential *potential;
    unsigned long seed;
    size_t draws; /* 0 = 240 */
} sw_sure_request;

typedef struct sw_spread {
    double low; /* 5 % */
    double middle;
    double high; /* 95 % */
    double u;    /* standard deviation */
} sw_spread;

typedef struct sw_sure {
    sw_spread started_kwh;
    sw_spread running_kwh;
    double start_wind_u; /* standard deviation over the draws that start; NaN = none do */
    double cut_in_wind_u;
    double verdict_stands; /* share of the draws that give the same verdict */
    double holds_dry;      /* in which a pressed wheel does not slip; NaN = nothing is pressed */
    double holds_wet;
    double below_worth; /* in which the year's energy is below the worth threshold; 0 = not asked */
    double choice_stands; /* in which no rival gives a twentieth more */
    /* How much narrower the range would be if only this one were known exactly, 0 .. 1. */
    double narrows[SW_DOUBT_COUNT];
    sw_doubt order[SW_DOUBT_COUNT]; /* by that, most first: the next best measurement */
} sw_sure;

/* SW_MEMORY. */
sw_status sw_sure_work_out(const sw_sure_request *request, sw_sure *sure, sw_error *error);

/* "mean_wind", "power_coefficient" ... */
const char *sw_doubt_name(sw_doubt doubt);

#endif
