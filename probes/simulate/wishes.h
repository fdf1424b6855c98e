/* What a person asks of a simulation: a family and a seed, and whatever should differ from what
 * the seed draws. The command's options and the keys of a simulation document are the same list
 * (an option has dashes where a key has underscores).
 */
#ifndef SPINWORTH_PROBES_SIMULATE_WISHES_H
#define SPINWORTH_PROBES_SIMULATE_WISHES_H

#include "probes/simulate/spec.h"
#include "shared/json_read.h"
#include "shared/quantity.h"
#include "shared/status.h"

#include <stdbool.h>
#include <stddef.h>

enum { SW_SIM_QUANTITY_LIMIT = 40, SW_SIM_FLAG_LIMIT = 8 };

/* A value with a unit, and where it goes. */
typedef struct sw_sim_setting {
    const char *key;
    const char *unit;
    double low;
    double high;
    size_t offset; /* of the double in sw_sim_spec */
    double factor; /* spec value per unit */
} sw_sim_setting;

/* A switch, and where it goes. */
typedef struct sw_sim_switch {
    const char *key;
    size_t offset; /* of the bool in sw_sim_spec */
} sw_sim_switch;

const sw_sim_setting *sw_sim_setting_at(size_t index); /* NULL beyond the last */
const sw_sim_switch *sw_sim_switch_at(size_t index);

typedef struct sw_sim_wishes {
    char family[SW_SIM_NAME_ROOM]; /* "" = drawn too */
    unsigned long seed;
    sw_quantity quantity[SW_SIM_QUANTITY_LIMIT]; /* by setting; unknown = as drawn */
    sw_quantity ramp_time;                       /* s to reach the speed; 0 starts at speed */
    sw_quantity hold_time;                       /* s at speed before letting go */
    int channels;                                /* 0 = as drawn */
    int bits;                                    /* -1 = as drawn, 0 = not rounded */
    int coast;                                   /* sw_sim_coast, -1 = as drawn */
    int between;                                 /* sw_sim_between, -1 = automatic */
    int tach_marks;                              /* 0 = no tachometer */
    int weak_magnet;                             /* pole from 1, 0 = none */
    int fault;                                   /* sw_sim_fault */
    double weak_strength;                        /* share of its strength that is left */
    bool flag[SW_SIM_FLAG_LIMIT];
    bool hand;  /* turned by hand, 60 rpm unless a speed is wished */
    bool clean; /* equal magnets, ideal input, steady speed, before all other wishes */
} sw_sim_wishes;

/* Words of `coast` and `between`, NULL-terminated; the index is the enumerator's value. */
extern const char *const SW_SIM_COAST_WORDS[];
extern const char *const SW_SIM_BETWEEN_WORDS[];

sw_sim_wishes sw_sim_wishes_none(void);

/* "5:0.6": the fifth pole keeps 0.6 of its strength. False when it is not of that form. */
bool sw_sim_weak_magnet_parse(const char *text, sw_sim_wishes *wishes);

/* Read a simulation document. */
sw_status sw_sim_wishes_read(const sw_node *top, sw_sim_wishes *wishes, sw_error *error);

/* Draw what was not said and put the rest in; checks that the times fit together. */
sw_status sw_sim_wishes_apply(const sw_sim_wishes *wishes, sw_sim_spec *spec, sw_error *error);

#endif
