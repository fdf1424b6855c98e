/* A channel's pace: upward crossings of 0.4 of the envelope, after a dip below minus 0.4 of it,
 * are counted and timed between the samples; the frequency of a reading is the cycles since the
 * last one over the time that they took. Hysteresis that large keeps the humps of a peaky wave
 * and noise from being counted. Noise alone gives intervals that differ wildly from one to the
 * next (their mean relative difference is a half for random moments), a motor's differ by a few
 * per cent, so the evenness of the intervals tells whether anything turns. */
#include "src/measure/meter/meter_parts.h"

#include <gsl/gsl_math.h>
#include <math.h>

static const double OFFSET_CUT_HZ = 0.5;
static const double ENVELOPE_S = 0.4;
static const double HYSTERESIS = 0.4;
static const double LEAST = 0.002; /* of full scale: less is not looked at */
static const double UNEVEN = 0.2;
static const double UNEVEN_SHARE = 0.25; /* weight of the newest interval */
static const double SILENT_CYCLES = 2.2;
static const double LONGEST_CYCLE_S = 1.2;

sw_beat sw_beat_start(double rate_hz) {
    return (sw_beat){.rate_hz = rate_hz,
                     .keep_offset = exp(-2 * M_PI * OFFSET_CUT_HZ / rate_hz),
                     .keep_envelope = exp(-1 / (ENVELOPE_S * rate_hz)),
                     .crossing = NAN,
                     .interval = NAN,
                     .uneven = 1,
                     .frequency_hz = NAN};
}

static void cross(sw_beat *beat, double moment) {
    double interval = moment - beat->crossing;
    beat->crossing = moment;
    if (!isfinite(interval))
        return;
    beat->cycles++;
    beat->span += interval;
    if (isfinite(beat->interval)) {
        double difference = fabs(interval - beat->interval) / (interval + beat->interval);
        beat->uneven += UNEVEN_SHARE * (2 * difference - beat->uneven);
    }
    beat->interval = interval;
}

void sw_beat_feed(sw_beat *beat, double sample) {
    double y = beat->keep_offset * (beat->output + sample - beat->input);
    beat->envelope = fmax(fabs(y), beat->envelope * beat->keep_envelope);
    double threshold = HYSTERESIS * beat->envelope;
    beat->time += 1;
    if (beat->up && y <= -threshold)
        beat->up = false;
    else if (!beat->up && y >= threshold && beat->envelope > LEAST) {
        double rise = y - beat->output;
        beat->up = true;
        cross(beat, beat->time - (rise > 0 ? fmin((y - threshold) / rise, 1) : 0));
    }
    beat->squares += y * y;
    beat->samples++;
    beat->input = sample;
    beat->output = y;
}

void sw_beat_break(sw_beat *beat) {
    beat->crossing = NAN;
    beat->up = true; /* the next crossing is one that was seen from below */
}

static void forget(sw_beat *beat) {
    beat->crossing = NAN;
    beat->interval = NAN;
    beat->uneven = 1;
    beat->frequency_hz = NAN;
}

void sw_beat_read(sw_beat *beat) {
    double quiet = beat->time - beat->crossing;
    double longest = fmin(SILENT_CYCLES * beat->interval, LONGEST_CYCLE_S * beat->rate_hz);
    if (beat->cycles > 0)
        beat->frequency_hz =
            beat->uneven < UNEVEN ? (double)beat->cycles * beat->rate_hz / beat->span : NAN;
    else if (quiet > fmax(longest, beat->rate_hz / SW_LIVE_UPDATES_PER_S))
        forget(beat);
    beat->rms = beat->samples > 0 ? sqrt(beat->squares / (double)beat->samples) : 0;
    beat->cycles = 0;
    beat->span = 0;
    beat->squares = 0;
    beat->samples = 0;
}
