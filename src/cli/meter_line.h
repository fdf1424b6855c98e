/* The live meter on the screen: one line drawn over and over on a terminal, lines now and then
 * elsewhere. The screen is standard error, so that standard output stays for the result. */
#ifndef SPINWORTH_CLI_METER_LINE_H
#define SPINWORTH_CLI_METER_LINE_H

#include "src/measure/meter/meter.h"

#include <stdio.h>

typedef enum sw_meter_style {
    SW_METER_LINES, /* a line every two seconds and when the advice changes */
    SW_METER_DRAWN, /* one line, drawn over */
    SW_METER_OFF
} sw_meter_style;

typedef struct sw_meter_line {
    FILE *screen; /* borrowed */
    sw_meter_style style;
    bool terminal;
    bool bold;       /* the advice, on a terminal */
    bool with_drill; /* the drill stays on: the trigger is let go, not the shaft */
    size_t columns;  /* of what is drawn now */
    double next_s;   /* when a plain line is due */
    sw_live_advice said;
} sw_meter_line;

/* Drawn on a terminal, plain lines else; no bold type where NO_COLOR asks for none. */
sw_meter_line sw_meter_line_start(FILE *screen, bool with_drill);

void sw_meter_line_show(sw_meter_line *line, const sw_live_reading *reading);

/* A line of words; the meter goes on below it. */
void sw_meter_line_say(sw_meter_line *line, const char *words);

/* A beep, on a terminal: whoever holds a drill looks elsewhere. */
void sw_meter_line_ring(sw_meter_line *line);

/* Leave what is drawn standing and go to the next line. */
void sw_meter_line_end(sw_meter_line *line);

#endif
