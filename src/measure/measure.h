/* Waveform in, motor record out. */
#ifndef SPINWORTH_MEASURE_MEASURE_H
#define SPINWORTH_MEASURE_MEASURE_H

#include "probes/profile.h"
#include "probes/readings.h"
#include "probes/recording.h"
#include "shared/motor.h"
#include "src/measure/poles/poles.h"
#include "src/measure/signal/cycles.h"

/* What two clips were on. */
typedef enum sw_between {
    SW_BETWEEN_NOT_SAID,
    SW_BETWEEN_LINES,      /* any two of the three wires, or against the third */
    SW_BETWEEN_STAR_POINT, /* a wire against the star point */
    SW_BETWEEN_WINDINGS    /* separate windings, isolated channels */
} sw_between;

typedef struct sw_measure_request {
    sw_profile profile;
    sw_between between;
    sw_speed_evidence evidence; /* frequency_hz, cycles_in_all, phases are filled in here */
    double gear;                /* turns of the magnets a turn of the shaft `speed` means; 1 */
    int tach_channel;           /* from 1; 0 = no tachometer in the recording */
    int tach_marks;             /* marks a turn of the shaft that it watches; >= 1 */
    bool level_untrusted;       /* frequency and pattern only */
    long today;                 /* shared/day.h, for the probe's age; 0 = not known */
    bool brushed;               /* somebody knows that the motor has brushes */
    int slots;                  /* slots (teeth) of the stator; 0 = not known */
} sw_measure_request;

/* A request with nothing known. */
sw_measure_request sw_measure_default(void);

/* Analyse a waveform. Whatever goes wrong with the motor is a warning in the record; an error
 * is a recording that cannot be analysed at all. */
sw_status sw_measure(const sw_waveform *waveform, size_t clipped, const sw_measure_request *request,
                     sw_motor *motor, sw_error *error);

/* The channel that carried most, cycle by cycle, for whoever asks more of the record than what the
 * motor is. Empty when nothing alternated. */
typedef struct sw_course {
    sw_cycles cycles;      /* owned; sw_cycles_free */
    double line_over_lead; /* line-to-line fundamental over this channel's */
    double low_cut_slope;  /* d ln(flux) / d low cut of the whole record, 1/Hz */
    double low_cut_hz;     /* of the input, its correction is in the cycles already */
    double start_s;        /* the cycles' times count from here */
} sw_course;

/* The same as sw_measure, with the course handed over. */
sw_status sw_measure_course(const sw_waveform *waveform, size_t clipped,
                            const sw_measure_request *request, sw_motor *motor, sw_course *course,
                            sw_error *error);

/* Regression over hand readings: voltage constant, and resistance where readings under load
 * allow it. */
sw_status sw_measure_readings(const sw_readings *readings, const sw_measure_request *request,
                              sw_motor *motor, sw_error *error);

#endif
