/* Where a rotor settles: all speeds at which the driving torque equals the load torque, which of
 * them are stable, which one is reached from rest and which one is kept while running.
 *
 * Torques are functions with a context, so that nothing here knows wind, wheels or rectifiers.
 */
#ifndef SPINWORTH_MATCH_BALANCE_H
#define SPINWORTH_MATCH_BALANCE_H

#include <stdbool.h>
#include <stddef.h>

enum { SW_ROOT_LIMIT = 16, SW_KINK_LIMIT = 8 };

typedef double (*sw_torque_at)(const void *context, double speed_rad_s);

typedef struct sw_torque {
    sw_torque_at at; /* N m at speed > 0 */
    const void *context;
} sw_torque;

typedef struct sw_balance_request {
    sw_torque driving;
    sw_torque load;
    double static_driving_nm;         /* at rest, worst angle */
    double static_load_nm;            /* at rest: what must be broken loose */
    double top_rad_s;                 /* driving < load at and above this speed; > 0 */
    double kink_rad_s[SW_KINK_LIMIT]; /* speeds where the load bends (cut-in); any order */
    size_t kinks;
    size_t steps; /* grid from 0 to top; 0 = 160 */
} sw_balance_request;

typedef struct sw_root {
    double speed_rad_s;
    double torque_nm; /* of both */
    bool stable;
} sw_root;

typedef struct sw_balance {
    size_t roots;
    sw_root root[SW_ROOT_LIMIT]; /* rising speed */
    bool starts;                 /* from rest, at the worst angle */
    double from_rest_rad_s;      /* 0 = stays at rest */
    double running_rad_s;        /* fastest stable point; 0 = comes to rest */
} sw_balance;

/* Roots closer together than a hundredth of a grid step may be taken for none or for one. */
sw_balance sw_balance_find(const sw_balance_request *request);

#endif
