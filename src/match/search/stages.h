/* Several equal motors on one rim that are lowered on it one after another as the wind rises: few
 * start easily and turn in a light wind, many take what a strong wind gives. */
#ifndef SPINWORTH_MATCH_STAGES_H
#define SPINWORTH_MATCH_STAGES_H

#include "src/match/search/search.h"

#include <stdbool.h>
#include <stddef.h>

typedef struct sw_stage {
    int machines;
    double from_wind;        /* lower this one from here on; 0 for the first */
    double from_rotor_rad_s; /* rotor speed there, with one motor less */
    double rotor_nm;         /* that so many motors take from the rotor there */
} sw_stage;

typedef struct sw_stages {
    bool pays;          /* else nothing below is told */
    sw_gear gear;       /* of every one of them */
    double contact_n;   /* of each wheel */
    double kwh;         /* a year, started by the first motor alone */
    double against_kwh; /* the recommended way, all its motors on the rim all the time */
    size_t stages;
    sw_stage stage[SW_MACHINE_LIMIT];
} sw_stages;

/* best: the recommended choice, with against_kwh a year. Tables of the search are refined. */
sw_stages sw_stages_of(const sw_search_request *request, sw_search *search, const sw_choice *best,
                       double against_kwh);

#endif
