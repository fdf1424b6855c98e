/* What all live inputs share: the watch over a device that stops delivering, over silence and
 * over the claimed rate. */
#include "probes/capture/capture.h"

#include "probes/capture/pace.h"
#include "probes/capture/silence.h"
#include "shared/platform.h"

#include <math.h>
#include <stdlib.h>

static const double STALL_S = 0.8;       /* said within a second */
static const double FIRST_FRAME_S = 2.5; /* some sound systems take two seconds to begin */

struct sw_capture {
    const sw_capture_kind *kind;
    void *state;
    sw_capture_description about;
    int64_t position;
    double last_s; /* when something came last */
    bool stalled;
    bool over; /* gone or ended */
    bool rate_said;
    sw_pace pace;
    sw_silence silence;
};

sw_status sw_capture_new(const sw_capture_kind *kind, void *state,
                         const sw_capture_description *about, sw_capture **capture,
                         sw_error *error) {
    sw_capture *fresh = calloc(1, sizeof *fresh);
    if (fresh == NULL) {
        kind->close(state);
        return sw_fail(error, SW_MEMORY, "not enough memory for a live input");
    }
    fresh->kind = kind;
    fresh->state = state;
    fresh->about = *about;
    sw_pace_begin(&fresh->pace, about->rate_hz);
    sw_silence_begin(&fresh->silence, about->channels, about->rate_hz);
    *capture = fresh;
    return SW_OK;
}

const sw_capture_description *sw_capture_describe(const sw_capture *capture) {
    return &capture->about;
}

sw_status sw_capture_start(sw_capture *capture, sw_error *error) {
    capture->last_s = sw_platform_seconds();
    return capture->kind->start(capture->state, error);
}

/* ---- the watch ---- */

static void watch_stall(sw_capture *capture, sw_capture_news *news, double now) {
    double patience = capture->position > 0 ? STALL_S : FIRST_FRAME_S;
    double idle = now - capture->last_s;
    if (news->frames == 0 && !capture->stalled && idle >= patience && !capture->over) {
        capture->stalled = true;
        sw_capture_note(news, (sw_capture_event){SW_CAPTURE_STALLED, news->first, 0, idle});
    } else if (news->frames > 0 && capture->stalled) {
        capture->stalled = false;
        sw_capture_note(news, (sw_capture_event){SW_CAPTURE_RESUMED, news->first, 0, NAN});
    }
    if (news->frames > 0)
        capture->last_s = now;
}

static bool is_break(const sw_capture_event *event) {
    return event->kind == SW_CAPTURE_OVERRUN || event->kind == SW_CAPTURE_RESUMED;
}

/* Samples lost at a break, by the clock, where the device did not count them. */
static void watch_breaks(sw_capture *capture, sw_capture_news *news) {
    bool broken = false;
    for (size_t i = 0; i < news->events; i++) {
        sw_capture_event *event = &news->event[i];
        if (!is_break(event))
            continue;
        if (isnan(event->value) && !broken && !isnan(news->clock_s)) {
            double missing = sw_pace_missing(&capture->pace, news->clock_s, news->clock_frames);
            event->value = missing > 0 ? rint(missing) : missing; /* NaN stays */
            if (event->value < 0)
                event->value = 0;
        }
        broken = true;
    }
    if (broken)
        sw_pace_break(&capture->pace);
}

static void watch_rate(sw_capture *capture, sw_capture_news *news) {
    double rate_hz = NAN;
    double rate_u_hz = NAN;
    if (isnan(news->clock_s))
        return;
    sw_pace_add(&capture->pace, news->clock_s, news->clock_frames);
    sw_pace_rate(&capture->pace, &rate_hz, &rate_u_hz);
    if (capture->rate_said || !sw_pace_differs(capture->about.rate_hz, rate_hz, rate_u_hz))
        return;
    capture->rate_said = true;
    int64_t frame = news->first + (int64_t)news->frames;
    sw_capture_note(news, (sw_capture_event){SW_CAPTURE_WRONG_RATE, frame, 0, rate_hz});
}

static void watch_end(sw_capture *capture, const sw_capture_news *news) {
    for (size_t i = 0; i < news->events; i++) {
        sw_capture_event_kind kind = news->event[i].kind;
        if (kind == SW_CAPTURE_GONE || kind == SW_CAPTURE_ENDED)
            capture->over = true;
    }
}

sw_status sw_capture_read(sw_capture *capture, double timeout_s, int32_t *frames, size_t room,
                          sw_capture_news *news, sw_error *error) {
    *news = (sw_capture_news){.first = capture->position, .clock_s = NAN};
    if (capture->over)
        return sw_fail(error, SW_DEVICE, "%s: nothing more comes from it", capture->about.device);
    sw_status status = capture->kind->read(capture->state, timeout_s, frames, room, news, error);
    if (status != SW_OK)
        return status;
    watch_end(capture, news);
    watch_stall(capture, news, sw_platform_seconds());
    watch_breaks(capture, news);
    watch_rate(capture, news);
    sw_silence_watch(&capture->silence, frames, news);
    capture->position += (int64_t)news->frames;
    return SW_OK;
}

void sw_capture_rate(const sw_capture *capture, double *rate_hz, double *rate_u_hz) {
    sw_pace_rate(&capture->pace, rate_hz, rate_u_hz);
}

void sw_capture_close(sw_capture *capture) {
    if (capture == NULL)
        return;
    capture->kind->close(capture->state);
    free(capture);
}
