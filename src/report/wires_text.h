/* Which wires to use, in words and a sketch, and as a document. */
#ifndef SPINWORTH_REPORT_WIRES_TEXT_H
#define SPINWORTH_REPORT_WIRES_TEXT_H

#include "shared/text.h"
#include "src/measure/wires/wires.h"

#include <cjson/cJSON.h>

void sw_wires_text(const sw_wires *wires, const sw_wire_finding *finding, sw_text *text);

/* How the chosen wires go to the rectifier, and what to try (wires_advice.c). */
void sw_wires_advice(const sw_wires *wires, const sw_wire_finding *finding, sw_text *text);

/* Before the first spin, and how to clamp and couple (wires_advice.c). */
void sw_first_spin_text(sw_text *text);

/* The facts and what was found, as a document; the caller frees it with cJSON_Delete. */
cJSON *sw_wires_to_json(const sw_wires *wires, const sw_wire_finding *finding);

#endif
