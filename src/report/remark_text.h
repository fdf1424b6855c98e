/* The words for what matching remarks: one sentence a code. */
#ifndef SPINWORTH_REPORT_REMARK_TEXT_H
#define SPINWORTH_REPORT_REMARK_TEXT_H

#include "shared/text.h"
#include "src/match/parts/usual_motor.h"
#include "src/match/sheet/remark.h"
#include "src/match/verdict.h"

#include <cjson/cJSON.h>
#include <stdbool.h>
#include <stddef.h>

enum { SW_REMARK_ROOM = 400 };

/* A whole sentence. */
void sw_remark_say(bool us, const sw_remark *remark, char *out, size_t room);

/* What to measure next, as an instruction; "" when the remark is no guess or gap that a reading
 * closes. */
const char *sw_remark_reading(sw_remark_code code);

/* object[key] = [{"code", "message"}, ...]; messages in metric units. */
void sw_remarks_add_json(cJSON *object, const char *key, const sw_remarks *remarks);

/* A title and a line for each remark, nothing without remarks. */
void sw_remarks_text(const char *title, const sw_remarks *remarks, bool us, sw_text *text);

/* What was guessed, without the values: "mean wind, diodes and 4 more". */
void sw_remarks_topics(const sw_remarks *remarks, sw_text *line);

/* A verdict in words, as every text says it: "use it", "use it, with ifs", "second choice" ... */
const char *sw_verdict_said(sw_verdict verdict);

/* "drag, cogging and inductance": what was not measured of a motor; how many. */
#define SW_ASSUMED_ROOM 48
size_t sw_assumed_say(const sw_assumed *assumed, char *out, size_t room);

#endif
