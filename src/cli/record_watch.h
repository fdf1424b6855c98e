/* Looking on while it is recorded: events as they happen, the live meter, and the guide. */
#ifndef SPINWORTH_CLI_RECORD_WATCH_H
#define SPINWORTH_CLI_RECORD_WATCH_H

#include "src/cli/command.h"
#include "src/cli/guide.h"
#include "src/cli/meter_line.h"
#include "src/cli/record_loop.h"

typedef struct sw_record_watch {
    sw_live_meter *meter; /* owned */
    sw_meter_line line;
    sw_guide *guide; /* borrowed, NULL = nobody is led */
    bool done;       /* the spin is over */
} sw_record_watch;

/* What the meter is asked to show of that input: --probe, --about, --into (pole pairs), --hold. */
sw_status sw_record_live_request(const sw_cli *cli, const sw_arguments *arguments,
                                 const sw_capture_description *about, const sw_guide *guide,
                                 sw_live_request *request, sw_error *error);

/* --probe, --about, --into (pole pairs), --hold, --coast and --meter say what the meter shows. */
sw_status sw_record_watch_start(const sw_cli *cli, const sw_arguments *arguments,
                                const sw_capture_description *about, FILE *screen, sw_guide *guide,
                                sw_record_watch *watch, sw_error *error);

/* Asks for the end when somebody is led and the motor has run down. */
sw_record_observer sw_record_watch_observer(sw_record_watch *watch);

void sw_record_watch_end(sw_record_watch *watch);

#endif
