/* The magnet ring and the uncertainty budget in words. */
#ifndef SPINWORTH_REPORT_RING_TEXT_H
#define SPINWORTH_REPORT_RING_TEXT_H

#include "shared/motor.h"
#include "shared/text.h"

/* One line among the numbers. */
void sw_ring_row(const sw_motor *motor, sw_text *text);

/* Every pole with a bar, its strength and its placement. */
void sw_ring_table(const sw_motor *motor, sw_text *text);

/* What contributes most to the voltage constant's uncertainty. */
void sw_budget_table(const sw_motor *motor, sw_text *text);

#endif
