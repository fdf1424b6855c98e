#include "src/measure/poles/tach.h"

#include <gsl/gsl_fit.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdlib.h>

enum { BLOCKS = 50, LEAST_MARKS = 3 };

static const double usual_share = 0.8;  /* of the blocks reach the levels */
static const double hysteresis = 0.15;  /* of the range, either way */
static const double even_share = 0.2;   /* how far an interval may be off whole marks */
static const double orderly = 0.8;      /* share of intervals that must be even */
static const double least_u = 1e-5;     /* relative: trigger and interpolation */
static const double stray_turns = 0.02; /* how evenly marks are stuck on, of a turn */

void sw_tach_free(sw_tach *tach) {
    free(tach->time_s);
    *tach = (sw_tach){0};
}

/* Levels that most of the record's blocks reach at the top and at the bottom. */
static void levels(const double *x, size_t frames, double *low, double *high) {
    double tops[BLOCKS];
    double bottoms[BLOCKS];
    size_t blocks = frames < BLOCKS ? 1 : BLOCKS;
    size_t size = frames / blocks;
    for (size_t b = 0; b < blocks; b++)
        gsl_stats_minmax(&bottoms[b], &tops[b], x + b * size, 1, size);
    gsl_sort(tops, 1, blocks);
    gsl_sort(bottoms, 1, blocks);
    *high = gsl_stats_quantile_from_sorted_data(tops, 1, blocks, usual_share);
    *low = gsl_stats_quantile_from_sorted_data(bottoms, 1, blocks, 1.0 - usual_share);
}

/* Pulses point away from where the signal mostly is. */
static bool points_down(const double *x, size_t frames, double middle) {
    size_t above = 0;
    for (size_t i = 0; i < frames; i++)
        above += x[i] > middle;
    return above > frames * 6 / 10;
}

/* Walks over the samples and notes the middle of each excursion above the level. */
typedef struct trigger {
    double sign;
    double middle;
    double reach; /* half the hysteresis */
    bool armed;   /* was below since the last pulse */
    bool high;
    double up; /* sample at which the level was passed upwards, downwards */
    double down;
} trigger;

/* True when a pulse has ended: its middle is (up + down) / 2. */
static bool step(trigger *t, double before, double here, double at) {
    double a = t->sign * (before - t->middle);
    double b = t->sign * (here - t->middle);
    double crossing = at - 1.0 + (a == b ? 0.0 : a / (a - b));
    if (a < 0.0 && b >= 0.0 && !t->high)
        t->up = crossing;
    if (a >= 0.0 && b < 0.0)
        t->down = crossing;
    if (b > t->reach && t->armed) {
        t->high = true;
        t->armed = false;
    }
    if (b >= -t->reach)
        return false;
    bool ended = t->high;
    t->high = false;
    t->armed = true;
    return ended;
}

static size_t collect(trigger t, const double *x, size_t frames, double rate_hz, double *times) {
    size_t count = 0;
    for (size_t i = 1; i < frames; i++)
        if (step(&t, x[i - 1], x[i], (double)i)) {
            if (times != NULL)
                times[count] = 0.5 * (t.up + t.down) / rate_hz;
            count++;
        }
    return count;
}

sw_status sw_tach_read(const sw_waveform *waveform, size_t channel, int marks, double rate_hz,
                       sw_tach *tach, sw_error *error) {
    *tach = (sw_tach){.marks = marks};
    const double *x = waveform->channel[channel].samples;
    if (waveform->frames < 2)
        return SW_OK;
    double low;
    double high;
    levels(x, waveform->frames, &low, &high);
    if (!(high > low))
        return SW_OK;
    trigger t = {.sign = 1.0, .middle = 0.5 * (low + high), .reach = hysteresis * (high - low)};
    if (points_down(x, waveform->frames, t.middle))
        t.sign = -1.0;
    size_t count = collect(t, x, waveform->frames, rate_hz, NULL);
    tach->time_s = calloc(count + 1, sizeof *tach->time_s);
    if (tach->time_s == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for the tachometer's marks");
    tach->count = collect(t, x, waveform->frames, rate_hz, tach->time_s);
    return SW_OK;
}

/* Marks within the track: their electrical angle and, after numbering, their number. */
typedef struct marked {
    size_t count;
    double *angle;
    double *number;
} marked;

static sw_status marked_new(const sw_tach *tach, const sw_track *track, marked *m,
                            sw_error *error) {
    *m = (marked){.angle = calloc(3 * tach->count + 1, sizeof(double))};
    if (m->angle == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for the tachometer's marks");
    m->number = m->angle + tach->count;
    double from_s = track->knot[0].time_s;
    double to_s = track->knot[track->count - 1].time_s;
    for (size_t i = 0; i < tach->count; i++)
        if (tach->time_s[i] >= from_s && tach->time_s[i] <= to_s)
            m->angle[m->count++] = sw_track_cycles(track, tach->time_s[i]);
    return SW_OK;
}

/* Electrical cycles from mark to mark, the middle one of all. */
static double usual_interval(const marked *m) {
    double *sorted = m->angle + 2 * (m->number - m->angle);
    for (size_t i = 0; i + 1 < m->count; i++)
        sorted[i] = m->angle[i + 1] - m->angle[i];
    gsl_sort(sorted, 1, m->count - 1);
    return gsl_stats_median_from_sorted_data(sorted, 1, m->count - 1);
}

/* Number the marks, over gaps too; what comes between is dropped. False when few are even. */
static bool number_marks(marked *m, double interval) {
    size_t kept = 1;
    size_t even = 0;
    size_t all = m->count - 1;
    m->number[0] = 0.0;
    for (size_t i = 1; i < m->count; i++) {
        double steps = (m->angle[i] - m->angle[kept - 1]) / interval;
        if (round(steps) < 1.0 || fabs(steps - round(steps)) > even_share)
            continue;
        even++;
        m->number[kept] = m->number[kept - 1] + round(steps);
        m->angle[kept++] = m->angle[i];
    }
    m->count = kept;
    return (double)even >= orderly * (double)all;
}

/* Angle over number is a straight line whose slope is the cycles from mark to mark. */
static void fit(const marked *m, const sw_tach *tach, sw_tach_count *count) {
    double c0;
    double c1;
    double c00;
    double c01;
    double c11;
    double square;
    gsl_fit_linear(m->number, 1, m->angle, 1, m->count, &c0, &c1, &c00, &c01, &c11, &square);
    double turns = m->number[m->count - 1] / tach->marks;
    double cycles = c1 * tach->marks;
    /* Marks at uneven angles: both ends of the count may be off by what they are off. */
    double uneven = tach->marks > 1 ? stray_turns / turns : 0.0;
    double u = sqrt(c11) * tach->marks;
    u = sqrt(u * u + pow(cycles * least_u, 2.0) + pow(cycles * uneven, 2.0));
    count->turns = (size_t)turns;
    count->cycles = sw_quantity_of(cycles, u, "1");
    count->mark_cycles = c0;
}

sw_status sw_tach_compare(const sw_tach *tach, const sw_track *track, sw_tach_count *count,
                          sw_error *error) {
    *count = (sw_tach_count){.cycles = sw_quantity_unknown(), .mark_cycles = NAN};
    if (tach->count < LEAST_MARKS || track->count < 2)
        return SW_OK;
    marked m;
    sw_status status = marked_new(tach, track, &m, error);
    if (status == SW_OK && m.count >= LEAST_MARKS) {
        double interval = usual_interval(&m);
        if (interval > 0.0 && number_marks(&m, interval) && m.count >= LEAST_MARKS)
            fit(&m, tach, count);
    }
    free(m.angle);
    return status;
}

sw_quantity sw_tach_speed(const sw_tach *tach, double from_s, double to_s) {
    size_t first = 0;
    while (first < tach->count && tach->time_s[first] < from_s)
        first++;
    size_t last = first;
    while (last + 1 < tach->count && tach->time_s[last + 1] <= to_s)
        last++;
    if (last <= first || last >= tach->count)
        return sw_quantity_unknown();
    double turns = (double)(last - first) / tach->marks;
    double rpm = 60.0 * turns / (tach->time_s[last] - tach->time_s[first]);
    double uneven = tach->marks > 1 ? stray_turns / turns : 0.0;
    return sw_quantity_of(rpm, rpm * hypot(uneven, least_u), "rpm");
}

size_t sw_tach_clipped(const sw_channel *channel, size_t frames) {
    double most = channel->full_scale - 1.5 * channel->step;
    size_t count = 0;
    for (size_t i = 0; i < frames && channel->full_scale > 0.0; i++)
        count += fabs(channel->samples[i]) >= most;
    return count;
}

sw_waveform sw_tach_rest(const sw_waveform *waveform, size_t channel) {
    sw_waveform rest = *waveform;
    rest.channels = 0;
    for (size_t c = 0; c < waveform->channels; c++)
        if (c != channel)
            rest.channel[rest.channels++] = waveform->channel[c];
    return rest;
}
