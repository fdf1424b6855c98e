/* Records a live input into a sound file, in a thread of its own, with what went wrong written
 * beside it. Whoever shows a meter or asks questions meanwhile gets a copy of the frames and
 * cannot hold up the recording, whatever it waits for. */
#ifndef SPINWORTH_PROBES_CAPTURE_RECORDER_H
#define SPINWORTH_PROBES_CAPTURE_RECORDER_H

#include "probes/capture/capture.h"
#include "probes/capture/recording_log.h"

typedef struct sw_recorder_request {
    const char *path;    /* a new .wav or .flac; borrowed until the end */
    sw_capture *capture; /* open, not started; stays the caller's, to be closed after the end */
    int64_t frames;      /* stop after so many; 0 = go on */
    bool until_stopped;  /* stop when the motor has coasted down */
} sw_recorder_request;

typedef struct sw_recorder sw_recorder;

/* Look at path and disk without touching either: SW_USAGE, SW_EXISTS, SW_IO. For a call before
 * the input is opened. */
sw_status sw_recorder_check(const char *path, sw_error *error);

/* Make the file and its log, start the input and the thread. */
sw_status sw_recorder_start(const sw_recorder_request *request, sw_recorder **recorder,
                            sw_error *error);

/* For the caller's thread: wait up to timeout_s for the next block and copy it. `frames` has room
 * for SW_CAPTURE_BLOCK_FRAMES of all channels. When the caller is seconds late some blocks are
 * skipped (news->first jumps); events are kept as far as there is room. False when the recording
 * has ended and all was seen. */
bool sw_recorder_watch(sw_recorder *recorder, double timeout_s, int32_t *frames,
                       sw_capture_news *news);

/* Ask for the end: at once, from any thread. */
void sw_recorder_stop(sw_recorder *recorder);

/* Wait for the end, fill in log, release. The status tells a fault of disk or device (the file is
 * whole as far as it goes, and the log says how it ended); SW_OK otherwise. */
sw_status sw_recorder_finish(sw_recorder *recorder, sw_recording_log *log, sw_error *error);

#endif
