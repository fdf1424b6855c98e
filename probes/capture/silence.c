#include "probes/capture/silence.h"

#include <math.h>

static const double PATIENCE_S = 0.8; /* said within a second */

void sw_silence_begin(sw_silence *silence, size_t channels, double rate_hz) {
    *silence = (sw_silence){.channels = channels, .patience = (int64_t)(PATIENCE_S * rate_hz)};
}

static void watch_channel(sw_silence *silence, size_t c, const int32_t *frames, size_t count) {
    int32_t last = silence->last[c];
    int64_t alike = silence->alike[c];
    for (size_t i = 0; i < count; i++) {
        int32_t sample = frames[i * silence->channels + c];
        alike = sample == last ? alike + 1 : 1;
        last = sample;
    }
    silence->last[c] = last;
    silence->alike[c] = alike;
}

static void note(sw_capture_news *news, sw_capture_event_kind kind, size_t channel) {
    int64_t frame = news->first + (int64_t)news->frames;
    sw_capture_note(news, (sw_capture_event){kind, frame, channel, NAN});
}

/* All channels alike are one event, not one each. */
static void note_change(unsigned before, unsigned after, size_t channels, sw_capture_news *news) {
    unsigned all = (1U << channels) - 1;
    if (after == all) {
        note(news, SW_CAPTURE_SILENT, 0);
        return;
    }
    if (before == all) {
        note(news, SW_CAPTURE_HEARD, 0);
        before = 0;
    }
    for (size_t c = 0; c < channels; c++) {
        unsigned bit = 1U << c;
        if ((before & bit) != (after & bit))
            note(news, (after & bit) != 0 ? SW_CAPTURE_SILENT : SW_CAPTURE_HEARD, c + 1);
    }
}

void sw_silence_watch(sw_silence *silence, const int32_t *frames, sw_capture_news *news) {
    unsigned after = 0;
    if (news->frames == 0)
        return;
    for (size_t c = 0; c < silence->channels; c++) {
        watch_channel(silence, c, frames, news->frames);
        if (silence->alike[c] >= silence->patience)
            after |= 1U << c;
    }
    if (after != silence->silent)
        note_change(silence->silent, after, silence->channels, news);
    silence->silent = after;
}
