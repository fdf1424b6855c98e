/* A workshop's measurements in words and as JSON. */
#ifndef SPINWORTH_REPORT_BENCH_TEXT_H
#define SPINWORTH_REPORT_BENCH_TEXT_H

#include "shared/motor.h"
#include "shared/text.h"
#include "src/measure/bench/bench.h"

#include <cjson/cJSON.h>

/* A section of its own below the motor's; nothing when there is nothing to say. */
void sw_bench_text(const sw_bench *bench, const sw_motor *motor, sw_text *text);

/* The same as "bench" in the motor's document. */
void sw_bench_json(const sw_bench *bench, cJSON *root);

#endif
