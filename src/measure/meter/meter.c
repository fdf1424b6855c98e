/* Every channel is averaged down to some 8000 samples a second before its beat is looked at: what
 * a motor gives lies far below, and the meter then costs next to nothing. Peaks are taken before.
 */
#include "src/measure/meter/meter.h"

#include "src/measure/meter/meter_parts.h"

#include <math.h>
#include <stdlib.h>

enum { HELD_READINGS = 2 * SW_LIVE_UPDATES_PER_S, RMS_READINGS = 3, LOUD_READINGS = 3 };

static const double PACE_RATE_HZ = 8000;
static const double FULL_SCALE = 2147483648.0;
static const double CLIP = 0.999;        /* of full scale: what counts as clipped */
static const double LOUD = 0.95;         /* of full scale or of the clamps' linear limit */
static const double QUIET = 0.03;        /* of full scale */
static const double LIVELIER = 1.5;      /* before another channel is followed instead */
static const double POLE_STEADY_S = 1.5; /* held before the rough speed is made use of */
static const double ABOUT_ERROR = 0.2;   /* of a rough speed, as measure takes it */

typedef struct one_channel {
    int64_t sum; /* of the samples that make the next slow one */
    double level;
    double recent[HELD_READINGS]; /* levels */
    double rms[RMS_READINGS];
    int clip_left; /* readings for which the clip mark still stands */
    sw_beat beat;
} one_channel;

struct sw_live_meter {
    sw_live_request request;
    size_t thin; /* samples that are averaged into one */
    size_t gathered;
    size_t per_update; /* frames */
    size_t in_update;
    int64_t frames; /* of the recording up to here */
    uint64_t updates;
    uint64_t clipped_samples;
    size_t liveliest;
    double
        guessed_pairs; /* by the rough speed, 0 = not yet; whole where it allows but one number */
    bool was_loud;     /* then it was slowed down, and the rough speed counts no more */
    one_channel channel[SW_CHANNEL_LIMIT];
    sw_spin_course course;
};

sw_status sw_live_meter_new(const sw_live_request *request, sw_live_meter **meter,
                            sw_error *error) {
    *meter = NULL;
    if (!(request->rate_hz >= 100 && request->rate_hz <= 1e7) || request->channels < 1 ||
        request->channels > SW_CHANNEL_LIMIT)
        return sw_fail(error, SW_VALUE, "the meter takes 1 to %d channels at 100 Hz to 10 MHz",
                       SW_CHANNEL_LIMIT);
    sw_live_meter *made = calloc(1, sizeof *made);
    if (made == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for the meter");
    made->request = *request;
    made->thin = (size_t)fmax(1, floor(request->rate_hz / PACE_RATE_HZ));
    made->per_update = (size_t)fmax(1, round(request->rate_hz / SW_LIVE_UPDATES_PER_S));
    made->course = sw_spin_course_start(request->hold_s);
    for (size_t c = 0; c < request->channels; c++)
        made->channel[c].beat = sw_beat_start(request->rate_hz / (double)made->thin);
    *meter = made;
    return SW_OK;
}

void sw_live_meter_free(sw_live_meter *meter) {
    free(meter);
}

static void feed_frame(sw_live_meter *meter, const int32_t *frame) {
    bool slow = ++meter->gathered == meter->thin;
    for (size_t c = 0; c < meter->request.channels; c++) {
        one_channel *channel = &meter->channel[c];
        double size = fabs((double)frame[c]);
        channel->level = size > channel->level ? size : channel->level;
        if (size >= CLIP * FULL_SCALE) {
            meter->clipped_samples++;
            channel->clip_left = HELD_READINGS;
        }
        channel->sum += frame[c];
        if (!slow)
            continue;
        sw_beat_feed(&channel->beat, (double)channel->sum / ((double)meter->thin * FULL_SCALE));
        channel->sum = 0;
    }
    if (slow)
        meter->gathered = 0;
}

/* ---- a reading ---- */

static double greatest(const double *values, size_t count) {
    double most = 0;
    for (size_t i = 0; i < count; i++)
        most = fmax(most, values[i]);
    return most;
}

static double recent_rms(const one_channel *channel) {
    double squares = 0;
    for (size_t i = 0; i < RMS_READINGS; i++)
        squares += channel->rms[i] * channel->rms[i];
    return sqrt(squares / RMS_READINGS);
}

static void read_channel(sw_live_meter *meter, size_t c, sw_live_reading *reading) {
    one_channel *channel = &meter->channel[c];
    sw_beat_read(&channel->beat);
    channel->rms[meter->updates % RMS_READINGS] = channel->beat.rms;
    channel->recent[meter->updates % HELD_READINGS] = channel->level / FULL_SCALE;
    reading->level[c] = channel->level / FULL_SCALE;
    reading->peak[c] = greatest(channel->recent, HELD_READINGS);
    reading->clipped[c] = channel->clip_left > 0;
    channel->clip_left -= channel->clip_left > 0;
    channel->level = 0;
}

static void choose_liveliest(sw_live_meter *meter) {
    for (size_t c = 0; c < meter->request.channels; c++)
        if (recent_rms(&meter->channel[c]) >
            LIVELIER * recent_rms(&meter->channel[meter->liveliest]))
            meter->liveliest = c;
}

/* First-order low cut, |H| = 1 / sqrt(1 + (fc / f)^2). */
static double through_input(const sw_live_meter *meter, double frequency_hz) {
    double cut_hz = meter->request.profile.low_cut_hz.value;
    return isfinite(cut_hz) && cut_hz > 0 ? 1 / hypot(1, cut_hz / frequency_hz) : 1;
}

/* The only whole number within the rough speed's error; where there are several, what the rough
 * speed itself makes it: turns a minute are then as rough as that. */
static double pairs_about(double frequency_hz, double about_rpm) {
    double near = 60 * frequency_hz / about_rpm;
    double least = fmax(1, ceil(near / (1 + ABOUT_ERROR)));
    double most = floor(near / (1 - ABOUT_ERROR));
    return least == most ? least : near;
}

static void read_speed(sw_live_meter *meter, sw_live_reading *reading) {
    const sw_live_request *request = &meter->request;
    double f = reading->frequency_hz;
    if (request->about_rpm > 0 && meter->guessed_pairs == 0 && !meter->was_loud &&
        meter->course.held_s >= POLE_STEADY_S)
        meter->guessed_pairs = pairs_about(meter->course.hold_hz, request->about_rpm);
    double pairs = request->pole_pairs > 0 ? request->pole_pairs : meter->guessed_pairs;
    reading->rpm = pairs > 0 ? 60 * f / pairs : NAN;
    reading->rpm_guessed = request->pole_pairs == 0;
    reading->rpm_rough = pairs != round(pairs);
}

/* Near or at full scale or the clamps' limit: over a few readings, because in a tenth of a second a
 * slow wave may have no crest. */
static bool is_loud(const sw_live_meter *meter) {
    double linear = meter->request.profile.linear_limit;
    double limit = linear > 0 && linear < 1 ? linear : 1;
    for (size_t c = 0; c < meter->request.channels; c++)
        for (size_t i = 0; i < LOUD_READINGS && i <= meter->updates; i++)
            if (meter->channel[c].recent[(meter->updates - i) % HELD_READINGS] > LOUD * limit)
                return true;
    return false;
}

static sw_live_advice advise(const sw_live_meter *meter, const sw_live_reading *reading,
                             double frequency_hz, double amplitude) {
    sw_live_advice advice = sw_spin_course_advice(&meter->course, frequency_hz, amplitude);
    bool driven = advice == SW_LIVE_SPEED_UP || advice == SW_LIVE_HOLD_STEADY ||
                  advice == SW_LIVE_KEEP_HOLDING;
    if ((driven || advice == SW_LIVE_WAIT) && is_loud(meter))
        return SW_LIVE_TOO_LOUD;
    if (advice == SW_LIVE_KEEP_HOLDING && greatest(reading->peak, reading->channels) < QUIET)
        return SW_LIVE_TOO_QUIET;
    return advice;
}

static void read_all(sw_live_meter *meter, sw_live_reading *reading) {
    *reading = (sw_live_reading){.channels = meter->request.channels, .volts = NAN};
    reading->elapsed_s = (double)meter->frames / meter->request.rate_hz;
    for (size_t c = 0; c < reading->channels; c++)
        read_channel(meter, c, reading);
    choose_liveliest(meter);
    const one_channel *channel = &meter->channel[meter->liveliest];
    double f = channel->beat.frequency_hz;
    double through = isfinite(f) ? through_input(meter, f) : 1;
    double amplitude = sqrt(2) * channel->beat.rms / through;
    bool loud = is_loud(meter);
    bool motor = sw_spin_course_follow(&meter->course, f, amplitude, loud);
    meter->was_loud = meter->was_loud || loud;
    reading->frequency_hz = motor ? f : NAN;
    reading->clipped_samples = meter->clipped_samples;
    reading->wander = meter->course.wander;
    reading->held_s = meter->course.held_s;
    reading->to_go_s = fmax(0, meter->request.hold_s - meter->course.held_s);
    if (meter->request.profile.calibrated && motor)
        reading->volts =
            recent_rms(channel) / through * meter->request.profile.volts_per_unit.value;
    read_speed(meter, reading);
    reading->advice = advise(meter, reading, f, amplitude);
    meter->updates++;
}

/* Frames were skipped: the clock goes on, and no cycle reaches across. */
static void go_to(sw_live_meter *meter, int64_t first) {
    if (first == meter->frames)
        return;
    meter->frames = first;
    for (size_t c = 0; c < meter->request.channels; c++)
        sw_beat_break(&meter->channel[c].beat);
}

bool sw_live_meter_feed(sw_live_meter *meter, int64_t first, const int32_t *samples, size_t frames,
                        sw_live_reading *reading) {
    bool fresh = false;
    if (frames > 0)
        go_to(meter, first);
    for (size_t i = 0; i < frames; i++) {
        feed_frame(meter, samples + i * meter->request.channels);
        meter->frames++;
        if (++meter->in_update < meter->per_update)
            continue;
        meter->in_update = 0;
        read_all(meter, reading);
        fresh = true;
    }
    return fresh;
}
