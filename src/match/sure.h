/* How sure the year's energy is: the inputs vary within what is known of them. */
#ifndef SPINWORTH_MATCH_SURE_H
#define SPINWORTH_MATCH_SURE_H

#include "shared/status.h"
#include "src/match/drive.h"
#include "src/match/plant.h"
#include "src/match/site.h"

#include <stddef.h>

/* What is varied. */
typedef enum sw_doubt {
    SW_DOUBT_WIND,     /* mean wind */
    SW_DOUBT_ROTOR,    /* power coefficient */
    SW_DOUBT_CONSTANT, /* motor's EMF */
    SW_DOUBT_DRAG,     /* motor's drag and cogging */
    SW_DOUBT_DRIVE,    /* rolling arm, creep, efficiency */
    SW_DOUBT_COUNT
} sw_doubt;

typedef struct sw_sure_request {
    sw_plant plant; /* as recommended */
    const sw_site *site;
    const sw_surface *surface; /* of a pressed wheel */
    double top_wind;
    double started_kwh; /* worked out finely; the spread is scaled to it */
    double running_kwh;
    double u[SW_DOUBT_COUNT]; /* relative standard uncertainties; of the drive unused */
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
    /* Standard deviation of the energy when only this one varies, kWh a year. */
    double alone_kwh[SW_DOUBT_COUNT];
    sw_doubt widest; /* the next best measurement */
} sw_sure;

sw_status sw_sure_work_out(const sw_sure_request *request, sw_sure *sure, sw_error *error);

#endif
