/* One motor on one rotor at one site into one load: the recommendation with its verdict. */
#ifndef SPINWORTH_MATCH_MATCH_H
#define SPINWORTH_MATCH_MATCH_H

#include "shared/motor.h"
#include "shared/status.h"
#include "src/match/contact/motor_bearing.h"
#include "src/match/contact/wheel_check.h"
#include "src/match/drive/shop.h"
#include "src/match/load/load.h"
#include "src/match/parts/usual_motor.h"
#include "src/match/rotor/rotor.h"
#include "src/match/search/outlook.h"
#include "src/match/search/potential.h"
#include "src/match/search/search.h"
#include "src/match/search/stages.h"
#include "src/match/search/sure.h"
#include "src/match/sheet/build_sheet.h"
#include "src/match/sheet/claim.h"
#include "src/match/sheet/remark.h"
#include "src/match/site/site.h"
#include "src/match/spin_up.h"
#include "src/match/storm/braking.h"
#include "src/match/storm/magnets.h"
#include "src/match/storm/storm.h"
#include "src/match/storm/vane_storm.h"
#include "src/match/verdict.h"
#include "src/match/year/budget.h"
#include "src/match/year/power_curve.h"
#include "src/match/year/seasons.h"

#include <stdbool.h>
#include <stddef.h>

typedef struct sw_match_request {
    const sw_motor *motor;
    const sw_rotor *rotor;
    const sw_site *site;
    const sw_load *load; /* NULL = a 12 V lead battery, listed as a guess */
    const sw_shop *shop;
    double wheel_mm;                 /* only this wheel; NaN = any */
    unsigned drives;                 /* as in sw_search_request */
    double run_out_mm;               /* of the rim, either way; NaN = a guess */
    double moving_kg;                /* motor and arm that follow the rim; NaN = a guess */
    const sw_thresholds *thresholds; /* NULL = the usual ones */
    const sw_claim *claimed;         /* what the plate says; NULL = not asked */
    size_t voltages; /* possible nominal voltages of the battery; 0 = the load's own */
    double voltage[SW_VOLTAGE_LIMIT];
    int machines;    /* equal ones at hand; 0 = 1 */
    double start_by; /* must start by itself at or below this wind; 0 = any */
    unsigned long seed;
    bool brief; /* for ranking: no range, no storm, no build sheet */
} sw_match_request;

/* Why a choice is shown beside the recommended one. */
typedef enum sw_alternative_kind {
    SW_ALTERNATIVE_SMALLER_WHEEL,
    SW_ALTERNATIVE_LARGER_WHEEL,
    SW_ALTERNATIVE_DRIVE,    /* another kind of drive */
    SW_ALTERNATIVE_WIRING,   /* another connection or rectifier within reach */
    SW_ALTERNATIVE_BATTERY,  /* another battery, possible or not */
    SW_ALTERNATIVE_MACHINES, /* another number of them */
    SW_ALTERNATIVE_OPENED    /* needs the motor opened */
} sw_alternative_kind;

enum { SW_ALTERNATIVE_LIMIT = 16 };

typedef struct sw_alternative {
    sw_alternative_kind kind;
    sw_choice choice;
} sw_alternative;

typedef struct sw_match {
    sw_verdict verdict;
    sw_remarks reasons;
    sw_remarks guessed;
    sw_remarks missing;
    sw_remarks cautions;
    sw_load load;   /* as used */
    sw_motor motor; /* the request's, with what nobody measured as it usually is */
    sw_assumed assumed;
    double cut_in_rpm; /* generator, as wired; NaN = not known */

    bool claim_checked;
    sw_claim_finding claim;

    bool recommended; /* everything below is filled */
    sw_search search; /* owned tables */
    sw_choice best;
    sw_plant plant; /* borrows the request's rotor, the motor above and the search's table */
    sw_power_curve curve;
    double started_kwh;
    double running_kwh;
    /* The same with what nobody measured of the motor so bad that only one in ten is worse. */
    double cautious_started_kwh;
    double cautious_running_kwh;
    double cautious_start_wind;
    double usable_kwh;    /* started, after battery resistance, cable, converter and standby */
    double potential_kwh; /* the rotor at its best Cp in every wind */
    double betz_kwh;      /* 16/27 of the wind through the swept area */
    sw_potential potential;
    size_t alternatives;
    sw_alternative alternative[SW_ALTERNATIVE_LIMIT];

    bool full; /* not brief: what follows is filled too */
    sw_sure sure;
    sw_storm storm;
    sw_braking braking;      /* with the motor's own wires */
    sw_magnet_risk magnets;  /* what a short does to them */
    sw_spin_ups spin_up;     /* from rest to near its speed */
    sw_vane_storm vane;      /* in the site's storm */
    sw_stages stages;        /* motors lowered on the rim one after another */
    sw_wheel_check wheel;    /* of a pressed wheel */
    sw_bearing_load bearing; /* the same */
    sw_seasons seasons;      /* months, hot magnets */
    sw_budget budget;
    sw_outlook outlook;
    sw_build_sheet sheet;
} sw_match;

/* The whole verdict. What the request points to must outlive the match, which must stay where it
 * is (its plant points into it); the caller frees. Fails on
 * missing tables and SW_MEMORY: a motor that will not do is a verdict, no error. */
sw_status sw_match_run(const sw_match_request *request, sw_match *match, sw_error *error);
void sw_match_free(sw_match *match);

#endif
