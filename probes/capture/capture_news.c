#include "probes/capture/capture_news.h"

const char *sw_capture_event_name(sw_capture_event_kind kind) {
    static const char *const NAMES[SW_CAPTURE_EVENT_KINDS] = {
        [SW_CAPTURE_OVERRUN] = "overrun",  [SW_CAPTURE_STALLED] = "stalled",
        [SW_CAPTURE_RESUMED] = "resumed",  [SW_CAPTURE_SILENT] = "silent",
        [SW_CAPTURE_HEARD] = "heard",      [SW_CAPTURE_WRONG_RATE] = "wrong_rate",
        [SW_CAPTURE_GONE] = "device_gone", [SW_CAPTURE_ENDED] = "ended",
    };
    return (unsigned)kind < SW_CAPTURE_EVENT_KINDS ? NAMES[kind] : "unknown";
}

void sw_capture_note(sw_capture_news *news, sw_capture_event event) {
    if (news->events < SW_CAPTURE_EVENT_LIMIT) {
        news->event[news->events++] = event;
        return;
    }
    for (size_t i = news->events; i > 0; i--)
        if (news->event[i - 1].kind == event.kind) {
            news->event[i - 1].value += event.value;
            return;
        }
    news->event[news->events - 1] = event;
}
