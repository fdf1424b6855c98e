/* One wiring with one gear, worked out: the contact force it needs, what a year gives, and what
 * keeps it from being recommended. */
#ifndef SPINWORTH_MATCH_CHOICE_H
#define SPINWORTH_MATCH_CHOICE_H

#include "src/match/search/search.h"

/* How finely: winds, speeds, rounds until the force is settled. */
typedef struct sw_choice_grid {
    bool sketch; /* cut-in and jumps to the nearest wind of the grid */
    double wind_step;
    size_t balance_steps; /* as in sw_balance_request */
    int press_rounds;
    int grip_rounds;
} sw_choice_grid;

extern const sw_choice_grid SW_GRID_SKETCH;
extern const sw_choice_grid SW_GRID_COARSE;
extern const sw_choice_grid SW_GRID_FINE;

/* With the contact force not yet known. */
sw_choice sw_choice_of(const sw_search_request *request, const sw_search *search, size_t electrical,
                       sw_gear gear);

/* Contact force, working point, year and rejection, on winds as fine as the grid says. */
void sw_choice_evaluate(const sw_search_request *request, const sw_search *search,
                        const sw_choice_grid *grid, sw_choice *choice);

#endif
