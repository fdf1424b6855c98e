/* A conversation on the terminal: words go to standard error, answers come as lines of standard
 * input, typed or through a pipe. */
#ifndef SPINWORTH_CLI_TALK_H
#define SPINWORTH_CLI_TALK_H

#include "shared/quantity.h"
#include "shared/status.h"

#include <stdbool.h>

enum { SW_TALK_ROOM = 200, SW_TALK_TRIES = 20 };

typedef enum sw_talk_kind {
    SW_TALK_ANSWER,  /* "" when only Enter was pressed */
    SW_TALK_UNKNOWN, /* ?, don't know */
    SW_TALK_QUIT,    /* q */
    SW_TALK_END,     /* no more input */
    SW_TALK_STOP     /* Ctrl-C: at once */
} sw_talk_kind;

/* A paragraph, lines after the first indented. */
void sw_talk_say(int indent, const char *words);

/* Show the prompt and read a line without blanks at its ends; what is too long is cut. */
sw_talk_kind sw_talk_ask(const char *prompt, char answer[SW_TALK_ROOM]);

/* What an answer must be beyond a value of its unit, or why it is not. */
typedef struct sw_talk_check {
    sw_status (*fits)(const void *user, const char *answer, sw_error *error);
    const void *user;
} sw_talk_check;

/* Ask for a value in that unit until it is one that fits (check NULL: any above 0), "" or not
 * known; anything else is explained. From a pipe SW_TALK_TRIES times, then it counts as not
 * known. */
sw_talk_kind sw_talk_ask_quantity(const char *prompt, const char *unit, const sw_units *units,
                                  const sw_talk_check *check, char answer[SW_TALK_ROOM]);

/* Ask for one of the choices by its number in the list, from 1, or by its word, until it is one,
 * "" or not known; anything else is answered with `help`. *chosen is the number, 0 for "" and
 * for all that is no answer. From a pipe SW_TALK_TRIES times, then it counts as not known. */
sw_talk_kind sw_talk_ask_choice(const char *prompt, const char *const *choices, const char *help,
                                int *chosen);

/* Is the answer one of these words, in any case of letters? The list ends with NULL. */
bool sw_talk_is(const char *answer, const char *const *words);

#endif
