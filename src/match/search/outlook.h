/* The same machine at other mean winds: for a builder who does not know the wind. */
#ifndef SPINWORTH_MATCH_OUTLOOK_H
#define SPINWORTH_MATCH_OUTLOOK_H

#include "src/match/search/potential.h"
#include "src/match/verdict.h"
#include "src/match/year/power_curve.h"

enum { SW_OUTLOOK_ROWS = 5 };

typedef struct sw_outlook_row {
    double mean_wind;
    double started_kwh;
    double running_kwh;
    bool pushed; /* the verdict counts on a start by hand */
    sw_verdict verdict;
} sw_outlook_row;

typedef struct sw_outlook {
    sw_outlook_row row[SW_OUTLOOK_ROWS]; /* 2, 3, 4, 5, 6 m/s */
    double turns_at;                     /* mean wind above which it is worth using; NaN = at no
                                            wind of 1 .. 12 m/s, or at all of them */
} sw_outlook;

/* curve and verdict as of the site; only the mean wind is another. */
sw_outlook sw_outlook_of(const sw_verdict_request *verdict, const sw_power_curve *curve,
                         const sw_potential *potential, const sw_site *site);

#endif
