/* A match in words: the answer in a sentence a neighbour understands, the energy as a range, how
 * to check, the numbers, what was guessed, the next step, the cautions, the build sheet. */
#ifndef SPINWORTH_REPORT_MATCH_TEXT_H
#define SPINWORTH_REPORT_MATCH_TEXT_H

#include "shared/text.h"
#include "src/match/match.h"

#include <cjson/cJSON.h>
#include <stdbool.h>
#include <stddef.h>

typedef struct sw_match_text_options {
    bool us;
    bool details;
} sw_match_text_options;

void sw_match_text(const sw_match_request *request, const sw_match *match,
                   const sw_match_text_options *options, sw_text *text);

/* The build sheet alone (build_sheet_text.c); its first box is what must be done tonight. */
void sw_build_sheet_text(const sw_match_request *request, const sw_match *match, bool us,
                         sw_text *text);

/* "a 72 mm wheel on the 1900 mm rim", "a 48-tooth chain ring and an 11-tooth sprocket". */
void sw_gear_say(bool us, const sw_choice *choice, char *out, size_t room);

/* "the coils as they come, a bridge rectifier" */
void sw_electrical_say(const sw_electrical *electrical, char *out, size_t room);

/* The document of the contract. */
cJSON *sw_match_to_json(const sw_match_request *request, const sw_match *match);

#endif
