#include "src/report/match_parts.h"

#include "shared/near.h"
#include "src/report/energy_text.h"
#include "src/report/options_text.h"
#include "src/report/remark_text.h"
#include "src/report/seasons_text.h"
#include "src/report/stages_text.h"
#include "src/report/storm_text.h"
#include "src/report/sure_text.h"
#include "src/report/winds_text.h"

#include <stdio.h>
#include <string.h>

enum { PARTS = 6 };

typedef struct part_row {
    const char *name;
    const char *holds;
    bool (*any)(const sw_match *match); /* is there something to tell? */
    void (*say)(const sw_match_request *request, const sw_match *match,
                const sw_match_text_options *options, sw_text *text);
} part_row;

static bool is_built(const sw_match *match) {
    return match->full && match->verdict != SW_VERDICT_LEAVE;
}

static bool is_full(const sw_match *match) {
    return match->full;
}

static bool has_others(const sw_match *match) {
    return match->recommended || match->alternatives > 0;
}

static bool has_guesses(const sw_match *match) {
    return match->full || match->guessed.count > 0;
}

static void say_build(const sw_match_request *request, const sw_match *match,
                      const sw_match_text_options *options, sw_text *text) {
    sw_build_sheet_text(request, match, options->us, text);
}

static void say_winds(const sw_match_request *request, const sw_match *match,
                      const sw_match_text_options *options, sw_text *text) {
    (void)request;
    sw_winds_text(match, options->us, options->details, text);
}

static void say_storm(const sw_match_request *request, const sw_match *match,
                      const sw_match_text_options *options, sw_text *text) {
    (void)request;
    sw_storm_text(match, options->us, text);
}

static void say_others(const sw_match_request *request, const sw_match *match,
                       const sw_match_text_options *options, sw_text *text) {
    (void)request;
    sw_stages_text(&match->stages, options->us, text);
    sw_options_text(match, options->us, text);
}

static void say_guesses(const sw_match_request *request, const sw_match *match,
                        const sw_match_text_options *options, sw_text *text) {
    (void)request;
    sw_remarks_text("Guessed, not measured", &match->guessed, options->us, text);
    sw_sure_text(match, options->details, text);
}

static void say_energy(const sw_match_request *request, const sw_match *match,
                       const sw_match_text_options *options, sw_text *text) {
    (void)request;
    sw_energy_text(match, options->us, text);
}

static const part_row ROWS[PARTS] = {
    {"build", "wheel, spring, wires, fuse, cable, tools, first spin", is_built, say_build},
    {"winds", "watts in each wind, spinning up, other mean winds, months", is_full, say_winds},
    {"storm", "turns, volts and forces in a storm, the wires as a brake", is_full, say_storm},
    {"others", "other wheels, wirings, batteries, and what was left out", has_others, say_others},
    {"guesses", "what was guessed, how sure it is, what to measure", has_guesses, say_guesses},
    {"energy", "where the year's energy goes", is_full, say_energy},
};

static sw_status unknown_part(const char *word, sw_error *error) {
    const char *known[PARTS + 2];
    char all[100];
    size_t used = 0;
    for (size_t i = 0; i < PARTS; i++) {
        known[i] = ROWS[i].name;
        used += (size_t)snprintf(all + used, sizeof all - used, "%s, ", ROWS[i].name);
    }
    known[PARTS] = "all";
    known[PARTS + 1] = NULL;
    const char *near = sw_near_word(word, known);
    return sw_fail(error, SW_USAGE, "found \"%.40s\", expected %sall%s%s%s", word, all,
                   near != NULL ? "; did you mean " : "", near != NULL ? near : "",
                   near != NULL ? "?" : "");
}

static sw_status read_word(const char *word, sw_match_parts *parts, sw_error *error) {
    if (strcmp(word, "all") == 0) {
        *parts |= SW_MATCH_ALL_PARTS;
        return SW_OK;
    }
    for (size_t i = 0; i < PARTS; i++)
        if (strcmp(word, ROWS[i].name) == 0) {
            *parts |= 1U << i;
            return SW_OK;
        }
    return unknown_part(word, error);
}

sw_status sw_match_parts_read(const char *text, sw_match_parts *parts, sw_error *error) {
    sw_status status = SW_OK;
    *parts = 0;
    for (const char *at = text; status == SW_OK;) {
        char word[48];
        at += strspn(at, " ");
        size_t length = strcspn(at, ", ");
        snprintf(word, sizeof word, "%.*s", (int)length, at);
        status = read_word(word, parts, error);
        at += length;
        at += strspn(at, " ");
        if (*at == '\0')
            break;
        at += *at == ',';
    }
    return status;
}

bool sw_match_parts_lack(const sw_match *match, sw_match_parts parts) {
    bool lack = false;
    for (size_t i = 0; i < PARTS; i++)
        lack = lack || ((parts & 1U << i) != 0 && !ROWS[i].any(match));
    return lack;
}

void sw_match_parts_text(const sw_match_request *request, const sw_match *match,
                         const sw_match_text_options *options, sw_text *text) {
    for (size_t i = 0; i < PARTS; i++) {
        if ((options->parts & 1U << i) == 0)
            continue;
        if (ROWS[i].any(match))
            ROWS[i].say(request, match, options, text);
        else if (options->parts != SW_MATCH_ALL_PARTS)
            sw_text_add(text, "\nThere is nothing to show of \"%s\" for the reasons above.\n",
                        ROWS[i].name);
    }
}

void sw_match_parts_list(const sw_match *match, sw_text *text) {
    const char *first = NULL;
    for (size_t i = 0; i < PARTS; i++) {
        if (!ROWS[i].any(match))
            continue;
        if (first == NULL)
            sw_text_add(text, "\nThere is more: the same command with --show and a word, or words "
                              "with commas\n");
        first = ROWS[i].name;
        sw_text_add(text, "  %-8s %s\n", ROWS[i].name, ROWS[i].holds);
    }
    if (first != NULL)
        sw_text_add(text, "  %-8s everything\n", "all");
}
