/* The parts of a match that are printed only when they are asked for, by their names. */
#ifndef SPINWORTH_REPORT_MATCH_PARTS_H
#define SPINWORTH_REPORT_MATCH_PARTS_H

#include "shared/status.h"
#include "shared/text.h"
#include "src/report/match_text.h"

#include <stdbool.h>

/* "storm", "build,winds", "all" -> a set of parts; names the word that is none. */
sw_status sw_match_parts_read(const char *text, sw_match_parts *parts, sw_error *error);

/* Is one of them without anything to tell? */
bool sw_match_parts_lack(const sw_match *match, sw_match_parts parts);

/* The parts asked for, in their order; one that has nothing to tell says so. */
void sw_match_parts_text(const sw_match_request *request, const sw_match *match,
                         const sw_match_text_options *options, sw_text *text);

/* The parts that have something to tell, and how to ask for one; nothing when there are none. */
void sw_match_parts_list(const sw_match *match, sw_text *text);

#endif
