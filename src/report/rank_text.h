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

typedef struct sw_rank_text_options {
    bool us;
    bool details; /* every row, else the best twenty and those that failed */
} sw_rank_text_options;

void sw_rank_text(const sw_rank_request *request, const sw_rank_names *names,
                  const sw_rank_row *rows, const sw_rank_text_options *options, sw_text *text);

/* What decides a row, in a few words; its motor and rotor by name or file (rank_words.c). */
void sw_rank_reason(bool us, const sw_remark *reason, char *out, size_t room);
const char *sw_rank_motor(const sw_rank_request *request, const sw_rank_names *names,
                          const sw_rank_row *row);
const char *sw_rank_rotor(const sw_rank_request *request, const sw_rank_names *names,
                          const sw_rank_row *row);

/* A list, best first (rank_json.c). */
cJSON *sw_rank_to_json(const sw_rank_request *request, const sw_rank_names *names,
                       const sw_rank_row *rows);

#endif
