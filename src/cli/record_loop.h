/* Recording while somebody looks on: the loop of the record command, with Ctrl-C. */
#ifndef SPINWORTH_CLI_RECORD_LOOP_H
#define SPINWORTH_CLI_RECORD_LOOP_H

#include "probes/capture/recorder.h"

#include <stdbool.h>
#include <stdio.h>

typedef struct sw_record_observer {
    void *user;
    /* Each block of frames as it comes (a copy; news->frames may be 0), and without any at least
     * ten times a second. It may take its time, the recording goes on. True asks for the end. */
    bool (*see)(void *user, const sw_capture_description *about, const int32_t *frames,
                const sw_capture_news *news);
} sw_record_observer;

enum { SW_RECORD_OBSERVER_LIMIT = 4 };

typedef struct sw_record_call {
    sw_recorder_request request; /* the input open, not started; still to be closed afterwards */
    size_t observers;
    sw_record_observer observer[SW_RECORD_OBSERVER_LIMIT];
} sw_record_call;

/* Record until the request, an observer, Ctrl-C (or a polite kill) or a fault ends it. The log is
 * filled in also on a fault that came after the start; log->frames tells what was kept. */
sw_status sw_record_run(const sw_record_call *call, sw_recording_log *log, sw_error *error);

/* Where messages go while a sound input is open: PortAudio prints on standard error when a device
 * is pulled out, so it is turned off meanwhile. Close before the program's own last message. */
typedef struct sw_record_screen {
    FILE *stream; /* standard error */
    int kept;
} sw_record_screen;

sw_record_screen sw_record_screen_open(void);
void sw_record_screen_close(sw_record_screen *screen);

#endif
