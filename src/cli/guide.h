/* Leading a newcomer through a spin: the checks before it, what to do while it is recorded, and
 * the measuring afterwards. Answers are lines of standard input; the end of the input before the
 * recording is an error, after it every answer left counts as "don't know". Ctrl-C at a question
 * stops at once. */
#ifndef SPINWORTH_CLI_GUIDE_H
#define SPINWORTH_CLI_GUIDE_H

#include "probes/simulate/truth.h"
#include "src/cli/command.h"
#include "src/cli/meter_line.h"
#include "src/cli/talk.h"

typedef struct sw_guide {
    const sw_cli *cli;
    const sw_arguments *arguments;
    const sw_sim_spec *simulated; /* NULL = a real motor */
    const double *held_rpm;       /* what the simulated person held at last; NULL = a real motor */
    const sw_sim_truth *truth;    /* of the simulated recording; NULL = a real motor */
    bool ended;                   /* no more answers */
    bool stopped;                 /* Ctrl-C at a question */
    bool with_drill;              /* the drill stays on the shaft while it runs down */
    char about[SW_TALK_ROOM];     /* rough speed, "" = not known */
    char slower[SW_TALK_ROOM];    /* the same after it was too loud and slowed down */
    const char *phases;           /* by the number of wires, NULL = not known */
    char resistance[SW_TALK_ROOM];
    char leads[SW_TALK_ROOM]; /* ohms of the meter's own */
    bool direct;              /* steady volts through brushes, which the input does not pass */
    char dc_volts[SW_TALK_ROOM];
    char dc_speed[SW_TALK_ROOM];
    char disc_mass[SW_TALK_ROOM];
    char disc_diameter[SW_TALK_ROOM];
    /* while it spins */
    sw_live_advice said;
    sw_live_advice heard; /* the advice now, and for how many readings */
    int heard_for;
    int waited;          /* readings without anything turning */
    bool turned;         /* something has */
    bool loud;           /* it was said to be too loud */
    bool loud_last;      /* and still was when the shaft was freed */
    double top_hz;       /* highest frequency */
    double volts_per_hz; /* rms, of what was not too loud; 0 = not known */
} sw_guide;

/* For a simulated motor: simulated, and where the speed stands that is held; else NULL. */
sw_guide sw_guide_start(const sw_cli *cli, const sw_arguments *arguments,
                        const sw_sim_spec *simulated, const double *held_rpm);

/* The checks, one by one. *go_on is false when the person stops there. */
sw_status sw_guide_before(sw_guide *guide, bool *go_on, sw_error *error);

/* Say what the moment asks for, above the meter. True when it is over: the shaft has stopped, or
 * nothing was heard for a minute. */
bool sw_guide_follow(sw_guide *guide, sw_meter_line *line, const sw_live_reading *reading);

/* Ask what a look, a meter and a scale can tell, measure the recording of so many channels and
 * save the motor. */
sw_status sw_guide_after(sw_guide *guide, const char *recording, size_t channels, sw_error *error);

/* Where the motor of a recording goes: --output, --into, else rec.json for rec.wav. */
sw_status sw_guide_target(const sw_arguments *arguments, const char *recording, char *out,
                          size_t room, sw_error *error);

#endif
