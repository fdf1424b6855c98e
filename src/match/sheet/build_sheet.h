/* The numbers that the builder takes to the bench: wheel, spring, rectifier, fuse, cable, dump
 * load, and the wind at which to tie the rotor down. */
#ifndef SPINWORTH_MATCH_BUILD_SHEET_H
#define SPINWORTH_MATCH_BUILD_SHEET_H

#include "shared/status.h"
#include "src/match/drive/shop.h"
#include "src/match/load/load.h"
#include "src/match/search/search.h"
#include "src/match/storm/braking.h"
#include "src/match/storm/storm.h"

#include <stdbool.h>

typedef struct sw_build_sheet {
    const sw_stock_wheel *wheel; /* nearest in stock; NULL when there is no wheel */
    double ratio_off;            /* of the drive's stock parts, either way, as a part of it */
    double stop_wind;            /* tie the rotor down before more than this blows */
    bool brake_trusted;          /* the short stops it even in the storm, and stays cool */
    double lost_dc_v;            /* bare wires when the battery drops off, working wind */
    double storm_dc_a;           /* if the load stays connected in the storm */
    double diode_inverse_v;      /* buy at least this */
    double diode_current_a;
    double diode_heat_w; /* of all diodes in the storm */
    double sink_k_w;     /* heat sink; NaN = none needed */
    double fuse_a;       /* NaN = larger than any in the row */
    double usual_fuse_a; /* with a usual inductance, where fuse_a is for none because it was not
                            measured; NaN = it was, or it makes no difference */
    double cable_mm2;    /* carries the fuse; NaN = none in the table does */
    double own_mm2;      /* what the load document states; NaN = nothing */
    bool own_thin;       /* it does not carry the fuse */
    double cable_m;      /* one way: as stated, else 10 m */
    double drop_v;   /* over that there and back in the working wind, in the stated cable if there
                        is one; NaN = not known, or on the motor's side of the rectifier */
    double dump_w;   /* dump load must take this */
    double dump_ohm; /* NaN = no battery */
} sw_build_sheet;

typedef struct sw_build_sheet_request {
    const sw_plant *plant; /* as recommended, at the worst that was left open */
    const sw_plant *usual; /* with a usual inductance, when plant has none; else NULL */
    const sw_choice *choice;
    const sw_load *load;
    const sw_shop *shop;
    const sw_storm *storm;
    const sw_braking *braking;
    double working_wind;
    double lost_wind; /* up to it a converter bears the volts */
    double storm_wind;
} sw_build_sheet_request;

void sw_build_sheet_fill(const sw_build_sheet_request *request, sw_build_sheet *sheet);

#endif
