/* What a call of measure has to do with what its saved motor was made from: the same evidence must
 * not count twice, and a recording need not be described twice. */
#ifndef SPINWORTH_CLI_MEASURE_SOURCES_H
#define SPINWORTH_CLI_MEASURE_SOURCES_H

#include "shared/motor.h"
#include "shared/text.h"
#include "src/cli/command.h"

#include <stdbool.h>
#include <stddef.h>

/* A call put together of remembered words. Not to be copied: the call points into the words. */
typedef struct sw_told {
    sw_arguments call;
    size_t used;
    char words[SW_MOTOR_SOURCE_LIMIT * SW_SOURCE_TEXT_ROOM];
} sw_told;

/* Add remembered options that the call does not give itself. */
void sw_told_add(sw_told *told, const char *remembered, const sw_option *options);

/* How the call's recording stands to the saved motor. */
typedef enum sw_acquaintance {
    SW_RECORDING_NEW,
    SW_RECORDING_RENEWS, /* measured again, the only one: takes the place of what it gave */
    SW_RECORDING_KNOWN   /* beside others: only what it has not given yet is taken */
} sw_acquaintance;

typedef struct sw_sourcing {
    sw_told told;          /* the call, with what the saved motor remembers of its recording */
    sw_acquaintance known; /* of the call's recording */
    sw_sources files;      /* the call's recording, one entry for each file */
} sw_sourcing;

/* Complete the call. saved: what --into names, NULL without; it must live as long as sourcing. A
 * recording that must be looked at again and was not named is taken from where it was, when it
 * still is what it was. Refuses what would count twice. */
sw_status sw_sourcing_begin(const sw_arguments *arguments, const sw_option *options,
                            const sw_motor *saved, sw_sourcing *sourcing, sw_error *error);

/* A table of readings that was changed since it went into the saved motor: SW_MISMATCH. */
sw_status sw_sourcing_check_table(const sw_sourcing *sourcing, const sw_motor *saved,
                                  sw_error *error);

/* Enter the call's recording into the motor, with the uses it was put to (of sw_source_use). */
sw_status sw_sourcing_enter(const sw_sourcing *sourcing, unsigned used_as, sw_motor *motor,
                            sw_error *error);

/* The same for another file (a loaded run, a second run-down). */
sw_status sw_source_enter_file(const char *path, unsigned used_as, sw_motor *motor,
                               sw_error *error);
/* Is the file in the motor with that use? */
sw_status sw_source_used(const sw_motor *motor, const char *path, unsigned use, bool *known,
                         sw_error *error);

/* What was given by hand: the first option of a list and those that go with it (NULL at its end).
 * false when the first is not given. */
bool sw_source_by_hand(const sw_arguments *arguments, const char *const *options,
                       sw_source *source);
/* The last reading by hand that begins with an option, NULL when there is none. */
const sw_source *sw_source_find_hand(const sw_sources *sources, const char *option);
/* Do they hold an option with that value, by hand or with a recording? */
bool sw_sources_tell(const sw_sources *sources, const char *option, const char *value);

/* A word as a shell wants it, a blank before it. */
void sw_cli_add_word(const char *word, sw_text *text);

/* A whole call as it would be typed: "spinworth measure rec.wav --probe probe.json". */
void sw_cli_add_call(const char *command, const sw_arguments *arguments, sw_text *text);

#endif
