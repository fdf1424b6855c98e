/* A ranked shelf in words and as JSON. */
#ifndef SPINWORTH_REPORT_RANK_TEXT_H
#define SPINWORTH_REPORT_RANK_TEXT_H

#include "shared/text.h"
#include "src/match/rank.h"

#include <cjson/cJSON.h>
#include <stdbool.h>

/* Names of files beside the documents; as many as motors and rotors. */
typedef struct sw_rank_names {
    char *const *motor;
    const char *const *rotor;
} sw_rank_names;

void sw_rank_text(const sw_rank_request *request, const sw_rank_names *names,
                  const sw_rank_row *rows, bool us, sw_text *text);

/* A list, best first. */
cJSON *sw_rank_to_json(const sw_rank_request *request, const sw_rank_names *names,
                       const sw_rank_row *rows);

#endif
