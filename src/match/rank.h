/* A shelf of motors, and one or several rotors, best first.
 *
 * They are sorted by a cautious year: what nobody measured of a motor (drag, cogging, inductance)
 * counts as so bad that only one in ten is worse. A motor so never gains a place by not being
 * measured, and of two that are alike the measured one comes first. */
#ifndef SPINWORTH_MATCH_RANK_H
#define SPINWORTH_MATCH_RANK_H

#include "shared/motor.h"
#include "shared/status.h"
#include "src/match/match.h"

#include <stddef.h>

/* m/s: what most days bring, and a windy day. */
#define SW_RANK_LIGHT_WIND 4.0
#define SW_RANK_STRONG_WIND 10.0

/* One motor on one rotor. */
typedef struct sw_rank_row {
    size_t motor;
    size_t rotor;
    sw_verdict verdict;
    sw_remark reason; /* the one that decides */
    bool recommended; /* the following are known */
    double started_kwh;
    double running_kwh;
    double cautious_started_kwh; /* as in sw_match; what is sorted by */
    double cautious_running_kwh;
    sw_assumed assumed; /* what was not measured of the motor */
    double start_wind;
    double cautious_start_wind;
    double cut_in_wind;
    double light_w;  /* DC while running in SW_RANK_LIGHT_WIND, should the wheel hold */
    double strong_w; /* and in SW_RANK_STRONG_WIND */
    sw_choice choice;
    sw_electrical electrical; /* its table is gone: generator is NULL */
    sw_vane_storm vane;       /* without a recommendation nothing is coupled */
    bool failed;              /* could not be judged: only motor, rotor and why are filled */
    sw_error error;           /* then why */
} sw_rank_row;

typedef struct sw_rank_request {
    const sw_motor *motor;
    size_t motors;
    const char *const *unread; /* a motor's reason for not being read, NULL = it was; NULL = all */
    const sw_rotor *rotor;
    size_t rotors;
    const sw_site *site;
    const sw_load *load; /* NULL = the usual battery */
    const sw_shop *shop;
    const sw_thresholds *thresholds;
    double wheel_mm; /* only this wheel; 0 or NaN = any */
    unsigned drives; /* as in sw_search_request */
    size_t voltages; /* as in sw_match_request */
    double voltage[SW_VOLTAGE_LIMIT];
    int machines;
    double start_by;
} sw_rank_request;

/* The caller frees *rows; motors x rotors of them, best first, those that could not be judged
 * last. Fails only when not one could be. */
sw_status sw_rank_run(const sw_rank_request *request, sw_rank_row **rows, sw_error *error);

#endif
