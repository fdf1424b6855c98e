/* `deliver` as JSON: one operating point, or a sweep with its units declared once. */
#ifndef SPINWORTH_REPORT_DELIVER_JSON_H
#define SPINWORTH_REPORT_DELIVER_JSON_H

#include "src/match/deliver/deliver_answer.h"
#include "src/match/deliver/deliver_sweep.h"
#include "src/match/deliver/diode_heat.h"

#include <cjson/cJSON.h>

/* heat NULL: no rectifier. The caller frees with cJSON_Delete. */
cJSON *sw_deliver_json(const sw_motor *motor, const sw_wiring *wiring, const sw_deliver_load *load,
                       const sw_deliver_answer *answer, const sw_diode_heat *heat);
cJSON *sw_sweep_json(const sw_motor *motor, const sw_wiring *wiring, const sw_deliver_load *load,
                     const sw_sweep *sweep);

/* "none", "pulsed", "continuous". */
const char *sw_conduction_name(sw_conduction conduction);

#endif
