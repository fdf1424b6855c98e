/* What is known of a recording besides its samples: the document NAME.wav.json beside NAME.wav. */
#ifndef SPINWORTH_PROBES_CAPTURE_RECORDING_LOG_H
#define SPINWORTH_PROBES_CAPTURE_RECORDING_LOG_H

#include "probes/capture/capture.h"
#include "shared/json_read.h"
#include "shared/json_write.h"

enum { SW_LOG_EVENT_LIMIT = 400 };

typedef enum sw_recording_end {
    SW_END_OPEN, /* still going on, or killed */
    SW_END_ASKED,
    SW_END_LENGTH,  /* as long as was asked for */
    SW_END_COASTED, /* the motor stood still */
    SW_END_INPUT,   /* a simulated input was through */
    SW_END_GONE,    /* the device was unplugged or died */
    SW_END_STALLED, /* the device delivered no more */
    SW_END_FULL,    /* stopped before the disk was full */
    SW_END_DISK,    /* the disk failed */
    SW_END_COUNT
} sw_recording_end;

typedef struct sw_recording_log {
    char started[24]; /* "2026-05-04T13:02:11Z" */
    sw_capture_description input;
    double rate_hz, rate_u_hz; /* by the system's clock; NAN = not known */
    int64_t frames;
    sw_recording_end end;
    size_t count[SW_CAPTURE_EVENT_KINDS]; /* of each kind, all that happened */
    double lost;                          /* frames lost where it was counted or could be told */
    bool lost_is_least;                   /* some losses could not be told */
    size_t events;                        /* kept, the first ones */
    sw_capture_event event[SW_LOG_EVENT_LIMIT];
} sw_recording_log;

/* Count an event, and keep it while there is room. */
void sw_recording_log_add(sw_recording_log *log, const sw_capture_event *event);

/* Samples that were lost behind the last recorded frame are no loss of the recording. */
void sw_recording_log_trim(sw_recording_log *log);

/* By the system's clock the rate is not the claimed one, as it stands at the end: the event told it
 * while it ran, perhaps too early. */
bool sw_recording_log_wrong_rate(const sw_recording_log *log);

/* "rec.wav" -> "rec.wav.json"; SW_USAGE when the path is too long. */
sw_status sw_recording_log_path(const char *recording, char *out, size_t room, sw_error *error);

/* The document beside the recording (the caller deletes it; NULL = no memory), and from it. */
cJSON *sw_recording_log_to_json(const sw_recording_log *log, const char *recording);
sw_status sw_recording_log_read(const sw_node *top, sw_recording_log *log, sw_error *error);

#endif
