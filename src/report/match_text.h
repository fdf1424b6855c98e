/* A match in words: a short answer, and parts that are printed when they are asked for. */
#ifndef SPINWORTH_REPORT_MATCH_TEXT_H
#define SPINWORTH_REPORT_MATCH_TEXT_H

#include "shared/text.h"
#include "src/match/match.h"

#include <cjson/cJSON.h>
#include <stdbool.h>
#include <stddef.h>

/* A set of parts, one bit each (match_parts.h). */
typedef unsigned sw_match_parts;
#define SW_MATCH_ALL_PARTS (~0U)

typedef struct sw_match_text_options {
    bool us;
    bool details;           /* finer tables, probabilities as numbers */
    sw_match_parts parts;   /* 0 = the short answer, all = that and every part, else those parts */
    const char *motor_file; /* for calls to be typed; NULL = "motor.json" */
} sw_match_text_options;

void sw_match_text(const sw_match_request *request, const sw_match *match,
                   const sw_match_text_options *options, sw_text *text);

/* The build sheet alone (build_sheet_text.c); its first box is what must be done tonight. */
void sw_build_sheet_text(const sw_match_request *request, const sw_match *match, bool us,
                         sw_text *text);

/* "at least 1.5 mm²", "14 AWG or thicker" */
void sw_cable_say(bool us, double area_mm2, char *out, size_t room);

/* "a 72 mm wheel on the 1900 mm rim", "a 48-tooth chain ring and an 11-tooth sprocket". */
void sw_gear_say(bool us, const sw_choice *choice, char *out, size_t room);

/* "the coils as they come, a bridge rectifier" */
void sw_electrical_say(const sw_electrical *electrical, char *out, size_t room);

/* The document of the contract. */
cJSON *sw_match_to_json(const sw_match_request *request, const sw_match *match);

#endif
