/* Where only a part of a record is cut off (it was too loud until somebody slowed down), the volts
 * are told from the cycles that are whole: flux does not depend on speed, so a slow stretch is as
 * good as a fast one. A cycle counts as cut when a sample of it reaches the highest or lowest of a
 * channel that was clipped, or the level from which the protection diodes conduct. */
#include "src/measure/analysis.h"

#include <gsl/gsl_math.h>
#include <math.h>

static const size_t ENOUGH_WHOLE = 20; /* cycles; fewer: all are taken, as they are */
static const double AT_THE_TOP = 0.999;

typedef struct limits {
    double low, high; /* in samples; infinite = none */
} limits;

static limits limits_of(const sw_analysis *a, const sw_channel *channel) {
    double linear = a->request->profile.linear_limit;
    double scale = channel->full_scale > 0 ? channel->full_scale : 1;
    double most = linear > 0 && linear < 1 && !a->waveform->in_volts ? linear * scale : INFINITY;
    limits found = {-most, most};
    double low = 0;
    double high = 0;
    for (size_t i = 0; i < a->waveform->frames && a->clipped > 0; i++) {
        low = fmin(low, channel->samples[i]);
        high = fmax(high, channel->samples[i]);
    }
    if (low < 0)
        found.low = fmax(found.low, AT_THE_TOP * low);
    if (high > 0)
        found.high = fmin(found.high, AT_THE_TOP * high);
    return found;
}

static bool is_cut(const sw_analysis *a, const double *samples, limits most,
                   const sw_cycle *cycle) {
    double from = fmax(0, floor(cycle->start_s * a->rate_hz));
    double to =
        fmin((double)a->waveform->frames, ceil((cycle->start_s + cycle->length_s) * a->rate_hz));
    for (size_t i = (size_t)from; (double)i < to; i++)
        if (samples[i] >= most.high || samples[i] <= most.low)
            return true;
    return false;
}

/* Returns how many are whole. */
static size_t mark(const sw_analysis *a, size_t c) {
    const sw_channel *channel = &a->waveform->channel[c];
    const sw_cycles *cycles = &a->trace[c].cycles;
    limits most = limits_of(a, channel);
    size_t whole = 0;
    for (size_t i = 0; i < cycles->count; i++) {
        cycles->cycle[i].cut = is_cut(a, channel->samples, most, &cycles->cycle[i]);
        whole += !cycles->cycle[i].cut;
    }
    return whole;
}

void sw_crests_judge(sw_analysis *a) {
    double limit = a->request->profile.linear_limit;
    a->whole_cycles = 0;
    if (a->clipped == 0 && !(limit > 0 && limit < 1))
        return;
    for (size_t c = 0; c < a->channels; c++) {
        sw_cycles *cycles = &a->trace[c].cycles;
        size_t whole = mark(a, c);
        bool enough = whole >= ENOUGH_WHOLE && whole < cycles->count;
        for (size_t i = 0; i < cycles->count && !enough; i++)
            cycles->cycle[i].cut = false;
        if (enough)
            sw_trace_fit(&a->trace[c]);
        if (c == a->lead && enough)
            a->whole_cycles = whole;
    }
}
