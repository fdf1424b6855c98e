/* `deliver` for people: the answer, a way to check it, the numbers, what was guessed. */
#ifndef SPINWORTH_REPORT_DELIVER_TEXT_H
#define SPINWORTH_REPORT_DELIVER_TEXT_H

#include "shared/text.h"
#include "src/match/deliver/deliver_answer.h"
#include "src/match/deliver/deliver_sweep.h"
#include "src/match/deliver/diode_heat.h"

#include <stdbool.h>

typedef struct sw_deliver_text_options {
    bool us;
    bool details;
} sw_deliver_text_options;

void sw_deliver_text(const sw_motor *motor, const sw_wiring *wiring, const sw_deliver_load *load,
                     const sw_deliver_answer *answer, const sw_diode_heat *heat,
                     const sw_deliver_text_options *options, sw_text *text);
void sw_sweep_text(const sw_wiring *wiring, const sw_deliver_load *load, const sw_sweep *sweep,
                   bool us, sw_text *text);

#endif
