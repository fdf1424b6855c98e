/* What a call of record asks for. */
#ifndef SPINWORTH_CLI_RECORD_WISHES_H
#define SPINWORTH_CLI_RECORD_WISHES_H

#include "probes/capture/sound_card.h"
#include "probes/simulate/spec.h"
#include "shared/files.h"
#include "src/cli/command.h"

extern const sw_option SW_RECORD_OPTIONS[];

typedef struct sw_record_wishes {
    const char *path;
    sw_sound_card_request card;
    double for_s;  /* 0 = not said */
    double hold_s; /* how long the speed is to be held */
    bool until_stopped;
    bool guide;
    bool simulate;
    sw_sim_spec motor;        /* simulated */
    char truth[SW_PATH_ROOM]; /* where it is told what that really was */
} sw_record_wishes;

/* Looks at the files to be written too, so that nothing is begun that cannot be kept. */
sw_status sw_record_wishes_from(const sw_cli *cli, const sw_arguments *arguments,
                                sw_record_wishes *out, sw_error *error);

/* How long the speed is to be held, --hold. */
sw_status sw_record_hold(const sw_cli *cli, const sw_arguments *arguments, double *hold_s,
                         sw_error *error);

#endif
