/* What the plate says against what the measured winding gives: "500 W at 800 rpm".
 *
 * Two questions: how much really comes out at the claimed speed, and which speed, current and
 * winding heat the claimed watts really need; then whether rotor, drive and winding get there.
 */
#ifndef SPINWORTH_MATCH_CLAIM_H
#define SPINWORTH_MATCH_CLAIM_H

#include "shared/motor.h"
#include "shared/quantity.h"
#include "shared/status.h"
#include "src/match/deliver/deliver.h"
#include "src/match/heat/winding_heat.h"
#include "src/match/plant.h"
#include "src/match/site/site.h"

#include <stdbool.h>

typedef struct sw_claim {
    double power_w;
    double speed_rpm; /* NaN = the plate does not say */
} sw_claim;

/* "500W at 800rpm", "500 W @ 800 rpm", "500 W". */
sw_status sw_claim_parse(const char *text, const sw_units *units, sw_claim *claim, sw_error *error);

typedef struct sw_claim_request {
    sw_claim claim;
    const sw_motor *motor;
    sw_wiring wiring; /* of one machine */
    const sw_deliver_load *load;
    const sw_site *site;
    const sw_plant *plant; /* NULL = no drive is recommended: rotor and grip are left out */
    double friction;       /* of a pressed wheel, wet */
} sw_claim_request;

typedef struct sw_claim_finding {
    sw_claim claim;
    bool delivered_known;         /* the claim has a speed, and it could be worked out */
    sw_operating_point delivered; /* at the claimed speed */
    bool at_most;                 /* the winding's inductance is not known */
    bool kept;                    /* at least nine tenths of the claim are there */
    bool reached;                 /* some speed gives the claimed watts */
    double tried_rpm;             /* up to which speed that was looked for */
    sw_operating_point needed;    /* where they are given */
    sw_answer winding_bears;      /* against the motor's stated limit of current; without one, no
                                     when it makes more heat than such a motor ever sheds */
    bool current_stated;          /* the motor has such a limit */
    sw_winding_heat heat;         /* what the motor sheds */
    double hot_w;                 /* the winding's heat there, else at the claimed speed,
                                     as hot as it may be */
    sw_answer speed_borne;        /* against its stated limit of speed */
    bool driven;                  /* a drive is known: the rest is filled */
    double rotor_rad_s;
    double rotor_nm;
    double wind_m_s;       /* least wind that gives it; INFINITY = none up to 45 m/s */
    double hours;          /* a year with that wind or more */
    sw_answer rotor_gets;  /* at least ten hours a year */
    sw_answer wheel_grips; /* wet; not said when nothing is pressed on */
} sw_claim_finding;

sw_claim_finding sw_claim_check(const sw_claim_request *request);

/* Watts at the rails, AC watts without a rectifier. */
double sw_claim_power_w(const sw_operating_point *point);

#endif
