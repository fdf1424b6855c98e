/* Inside of the live meter: the pace of one channel, and the course of a spin. */
#ifndef SPINWORTH_MEASURE_METER_PARTS_H
#define SPINWORTH_MEASURE_METER_PARTS_H

#include "src/measure/meter/meter.h"

/* ---- pace: frequency by upward crossings with hysteresis (meter_beat.c) ---- */

typedef struct sw_beat {
    double rate_hz;
    double keep_offset; /* of the high-pass that takes the offset off */
    double keep_envelope;
    double input;  /* last */
    double output; /* last, offset taken off */
    double envelope;
    bool up;
    double time;     /* samples */
    double crossing; /* time of the last upward one, NAN = none */
    double interval; /* before it, NAN = none */
    double uneven;   /* mean relative difference of neighbouring intervals */
    size_t cycles;   /* since the last reading */
    double span;     /* samples they took */
    double squares;  /* of the output, since the last reading */
    size_t samples;
    double frequency_hz; /* of the last reading, NAN = nothing regular */
    double rms;
} sw_beat;

sw_beat sw_beat_start(double rate_hz);
void sw_beat_feed(sw_beat *beat, double sample);
/* Samples are missing here: the interval that spans them does not count. */
void sw_beat_break(sw_beat *beat);
/* Frequency and rms since the last reading. */
void sw_beat_read(sw_beat *beat);

/* ---- course: what the person has done so far (meter_course.c) ---- */

enum { SW_COURSE_WINDOW = 15 }; /* readings, 1.5 s */

typedef enum sw_course_stage {
    SW_COURSE_REST,
    SW_COURSE_TURNING,
    SW_COURSE_HELD, /* long enough */
    SW_COURSE_RUNNING_DOWN,
    SW_COURSE_STOPPED
} sw_course_stage;

typedef struct sw_spin_course {
    double wanted_s;
    sw_course_stage stage;
    size_t count;                    /* readings in the window */
    double window[SW_COURSE_WINDOW]; /* hertz, oldest first */
    double wander;
    bool steady;
    double held_s;
    double turning_s;
    double gone_s;  /* nothing regular since */
    double hold_hz; /* mean of the last steady window */
    double flux;    /* amplitude over frequency while steady; 0 = not known */
    size_t low;     /* readings below the held speed in a row */
    bool again;
} sw_spin_course;

sw_spin_course sw_spin_course_start(double wanted_s);

/* One reading: frequency NAN when nothing regular was heard; amplitude corrected for the low
 * cut; loud: near or at full scale. False when what was heard is not the motor. */
bool sw_spin_course_follow(sw_spin_course *course, double frequency_hz, double amplitude,
                           bool loud);

/* What to do next, level aside. */
sw_live_advice sw_spin_course_advice(const sw_spin_course *course, double frequency_hz,
                                     double amplitude);

#endif
