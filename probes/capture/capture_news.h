/* What a read of a live input tells beside the frames: losses, silence, a device that is gone. */
#ifndef SPINWORTH_PROBES_CAPTURE_CAPTURE_NEWS_H
#define SPINWORTH_PROBES_CAPTURE_CAPTURE_NEWS_H

#include <stddef.h>
#include <stdint.h>

enum { SW_CAPTURE_EVENT_LIMIT = 16 };

typedef enum sw_capture_event_kind {
    SW_CAPTURE_OVERRUN,    /* samples were lost before `frame`; value: how many, NAN = not known */
    SW_CAPTURE_STALLED,    /* nothing has come for value seconds; more may come */
    SW_CAPTURE_RESUMED,    /* it goes on; value: samples missed meanwhile, estimated */
    SW_CAPTURE_SILENT,     /* one and the same sample, again and again; channel */
    SW_CAPTURE_HEARD,      /* no longer silent; channel */
    SW_CAPTURE_WRONG_RATE, /* value: samples a second by the system's clock */
    SW_CAPTURE_GONE,       /* unplugged or dead: nothing will come any more */
    SW_CAPTURE_ENDED,      /* a simulated input is through: nothing will come any more */
    SW_CAPTURE_EVENT_KINDS
} sw_capture_event_kind;

typedef struct sw_capture_event {
    sw_capture_event_kind kind;
    int64_t frame;  /* frames delivered before it */
    size_t channel; /* 1-based; 0 = all of them */
    double value;   /* see the kinds; NAN = none */
} sw_capture_event;

/* lower_snake_case, as in documents: "overrun", "device_gone"; never NULL. */
const char *sw_capture_event_name(sw_capture_event_kind kind);

/* What one read brought. */
typedef struct sw_capture_news {
    size_t frames; /* read, 0 = none in time */
    int64_t first; /* position of the first of them: frames delivered before */
    size_t events;
    sw_capture_event event[SW_CAPTURE_EVENT_LIMIT]; /* in order; a full list merges the rest */
    /* By a backend with a clock of its own: at system time clock_s (sw_platform_seconds) the
     * device had handed over clock_frames frames, lost ones not counted. NAN = says nothing. */
    double clock_s;
    int64_t clock_frames;
} sw_capture_news;

/* Append; when the list is full the last one of the same kind takes the value in. */
void sw_capture_note(sw_capture_news *news, sw_capture_event event);

#endif
