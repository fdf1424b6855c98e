/* How long the rotor takes from rest to near its running speed, where its inertia is known. */
#ifndef SPINWORTH_MATCH_SPIN_UP_H
#define SPINWORTH_MATCH_SPIN_UP_H

#include "src/match/plant.h"

#include <stdbool.h>

enum { SW_SPIN_UPS = 2 };

/* Part of the running speed that counts as there. */
#define SW_SPUN_UP 0.95

typedef struct sw_spin_up {
    double wind_m_s;
    bool starts;    /* from rest, at the worst angle */
    double seconds; /* to SW_SPUN_UP of the speed it settles at; NaN = does not start or settle */
} sw_spin_up;

typedef struct sw_spin_ups {
    bool known;                  /* everything below is filled */
    double inertia_kg_m2;        /* at the rotor's shaft, with the motors' where it is known */
    bool from_vanes;             /* of the rotor only the mass of its vanes is known */
    sw_spin_up row[SW_SPIN_UPS]; /* a light and a middle wind */
} sw_spin_ups;

/* In a steady wind, with so much inertia. */
sw_spin_up sw_spin_up_in(const sw_plant *plant, double inertia_kg_m2, double wind_m_s);

/* At 5 and 8 m/s. */
sw_spin_ups sw_spin_ups_of(const sw_plant *plant);

#endif
