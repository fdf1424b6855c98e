/* One thread reads the input and writes the file; the caller's thread looks on.
 *
 *     sound card --ring--> recording thread --> file, log
 *                                |
 *                                +--two rings--> sw_recorder_watch (meter, prompts, Ctrl-C)
 *
 * The recording thread never waits for the caller: when the caller's rings are full, the copy is
 * skipped. Every KEEP_S the header is brought up to date and the disk is told to keep it, so that
 * a kill costs less than a second; the log is saved again whenever an event has come. */
#include "probes/capture/recorder.h"

#include "probes/capture/coast.h"
#include "probes/capture/ring.h"
#include "probes/capture/sound_writer.h"
#include "shared/files.h"
#include "shared/platform.h"

#include <math.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { NEWS_ROOM = 256 };

static const double READ_S = 0.1;
static const double NAP_S = 0.01;
static const double KEEP_S = 0.5;
static const double DRAIN_S = 0.5;         /* for what is left in the card's ring at the end */
static const double GIVE_UP_S = 3;         /* after a stall was said */
static const double COPY_S = 2;            /* the caller may be so late */
static const double COPY_SIMULATED_S = 60; /* whose time may run twenty times faster */
static const double RESERVE_S = 2;         /* stop while the disk still has room for so much */
static const double LEAST_START_S = 5;     /* do not begin with less than this above the reserve */
static const double RESERVE_BYTES = 1048576;

struct sw_recorder {
    sw_recorder_request request;
    char log_path[SW_PATH_ROOM];
    sw_sound_form form;
    sw_thread *thread;
    sw_ring *frames; /* copies for the caller */
    sw_ring *news;
    int64_t seen; /* the caller's: position after the last block */
    atomic_bool stop;
    atomic_bool over;
    /* from here on the thread's, until it is joined */
    sw_sound_writer *writer;
    int32_t *block;
    sw_recording_log log;
    bool log_changed;
    sw_coast coast;
    double kept_s;
    double stalled_s; /* since when, NAN = not */
    sw_status status;
    sw_error error;
};

/* ---- the recording thread ---- */

static void end_with(sw_recorder *self, sw_recording_end end) {
    if (self->log.end == SW_END_OPEN)
        self->log.end = end;
}

static void disk_failed(sw_recorder *self, sw_status status) {
    if (status == SW_OK)
        return;
    if (self->status == SW_OK)
        self->status = status;
    end_with(self, SW_END_DISK);
}

static void cut_to_length(const sw_recorder *self, sw_capture_news *news) {
    int64_t left = self->request.frames - self->log.frames;
    if (self->request.frames > 0 && (int64_t)news->frames > left)
        news->frames = (size_t)left;
}

static void note_events(sw_recorder *self, const sw_capture_news *news) {
    for (size_t i = 0; i < news->events; i++) {
        const sw_capture_event *event = &news->event[i];
        sw_recording_log_add(&self->log, event);
        self->log_changed = true;
        if (event->kind == SW_CAPTURE_STALLED)
            self->stalled_s = sw_platform_seconds();
        if (event->kind == SW_CAPTURE_RESUMED)
            self->stalled_s = NAN;
        if (event->kind == SW_CAPTURE_GONE)
            end_with(self, SW_END_GONE);
        if (event->kind == SW_CAPTURE_ENDED)
            end_with(self, SW_END_INPUT);
    }
}

static void hand_over(sw_recorder *self, const sw_capture_news *news) {
    sw_capture_news copy = *news;
    if (news->frames == 0 && news->events == 0)
        return;
    if (sw_ring_room(self->news) == 0)
        return;
    if (sw_ring_room(self->frames) < news->frames)
        copy.frames = 0;
    (void)sw_ring_put(self->frames, self->block, copy.frames);
    (void)sw_ring_put(self->news, &copy, 1);
}

static bool disk_is_full(const sw_recorder *self) {
    int64_t left = sw_platform_free_bytes(self->request.path);
    double reserve = fmax(RESERVE_BYTES, RESERVE_S * sw_sound_form_bytes(&self->form));
    return left >= 0 && (double)left < reserve;
}

static sw_status save_log(sw_recorder *self, bool force, sw_error *error) {
    sw_capture_rate(self->request.capture, &self->log.rate_hz, &self->log.rate_u_hz);
    cJSON *root = sw_recording_log_to_json(&self->log, self->request.path);
    sw_status status = sw_json_save(root, self->log_path, force, error);
    cJSON_Delete(root);
    return status;
}

static void keep(sw_recorder *self) {
    double now = sw_platform_seconds();
    if (now - self->kept_s < KEEP_S)
        return;
    disk_failed(self, sw_sound_writer_keep(self->writer, &self->error));
    if (self->log_changed && save_log(self, true, NULL) == SW_OK)
        self->log_changed = false; /* else it is tried again */
    if (disk_is_full(self))
        end_with(self, SW_END_FULL);
    self->kept_s = sw_platform_seconds();
}

static void take_frames(sw_recorder *self, const sw_capture_news *news) {
    if (news->frames == 0)
        return;
    disk_failed(self, sw_sound_writer_put(self->writer, self->block, news->frames, &self->error));
    if (self->status != SW_OK)
        return;
    self->log.frames += (int64_t)news->frames;
    if (self->request.frames > 0 && self->log.frames >= self->request.frames)
        end_with(self, SW_END_LENGTH);
    if (self->request.until_stopped && sw_coast_watch(&self->coast, self->block, news->frames))
        end_with(self, SW_END_COASTED);
}

/* Returns how many frames came. */
static size_t step(sw_recorder *self, double timeout_s) {
    sw_capture_news news;
    sw_status status = sw_capture_read(self->request.capture, timeout_s, self->block,
                                       SW_CAPTURE_BLOCK_FRAMES, &news, &self->error);
    if (status != SW_OK) {
        self->status = status;
        end_with(self, SW_END_GONE);
        return 0;
    }
    cut_to_length(self, &news);
    take_frames(self, &news);
    note_events(self, &news);
    hand_over(self, &news);
    if (sw_platform_seconds() - self->stalled_s > GIVE_UP_S)
        end_with(self, SW_END_STALLED);
    keep(self);
    return news.frames;
}

/* What came before the end was asked for is kept as well. */
static void drain(sw_recorder *self) {
    double until = sw_platform_seconds() + DRAIN_S;
    while (self->log.end == SW_END_OPEN && step(self, 0) == SW_CAPTURE_BLOCK_FRAMES &&
           sw_platform_seconds() < until)
        continue;
    end_with(self, SW_END_ASKED);
}

static void close_files(sw_recorder *self) {
    disk_failed(self,
                sw_sound_writer_close(self->writer, self->status == SW_OK ? &self->error : NULL));
    self->writer = NULL;
    sw_recording_log_trim(&self->log);
    sw_status status = save_log(self, true, self->status == SW_OK ? &self->error : NULL);
    if (self->status == SW_OK)
        self->status = status;
    if (self->log.frames > 0)
        return;
    sw_platform_remove(self->request.path); /* nothing came: the name stays free */
    sw_platform_remove(self->log_path);
}

static void record(void *recorder) {
    sw_recorder *self = recorder;
    while (self->log.end == SW_END_OPEN && !atomic_load(&self->stop))
        (void)step(self, READ_S);
    if (self->log.end == SW_END_OPEN)
        drain(self);
    close_files(self);
    atomic_store(&self->over, true);
}

/* ---- the caller's thread ---- */

static sw_status check_new(const char *path, sw_error *error) {
    if (sw_file_exists(path))
        return sw_fail(error, SW_EXISTS, "%s: exists already; take another name", path);
    return SW_OK;
}

/* Told before the input is opened, not after it was said to be recording. */
static sw_status check_folder(const char *path, sw_error *error) {
    char folder[SW_PATH_ROOM];
    const char *slash = strrchr(path, '/');
    if (slash == NULL || slash == path)
        return SW_OK;
    int used = snprintf(folder, sizeof folder, "%.*s", (int)(slash - path), path);
    if (used < 0 || (size_t)used >= sizeof folder || sw_file_is_directory(folder))
        return SW_OK; /* too long is told where it is opened */
    return sw_fail(error, SW_IO, "%s: there is no folder %s", path, folder);
}

static sw_status check_space(const char *path, double bytes_a_second, sw_error *error) {
    int64_t left = sw_platform_free_bytes(path);
    double reserve = fmax(RESERVE_BYTES, RESERVE_S * bytes_a_second);
    if (left < 0 || (double)left >= reserve + LEAST_START_S * bytes_a_second)
        return SW_OK;
    return sw_fail(error, SW_IO,
                   "%s: the disk is full: %.1f MB are left, %.1f MB are needed to begin", path,
                   (double)left / 1e6, (reserve + LEAST_START_S * bytes_a_second) / 1e6);
}

sw_status sw_recorder_check(const char *path, sw_error *error) {
    char log_path[SW_PATH_ROOM];
    sw_status status = sw_sound_writer_check(path, error);
    if (status == SW_OK)
        status = sw_recording_log_path(path, log_path, sizeof log_path, error);
    if (status == SW_OK)
        status = check_new(path, error);
    if (status == SW_OK)
        status = check_new(log_path, error);
    if (status == SW_OK)
        status = check_folder(path, error);
    return status == SW_OK ? check_space(path, 0, error) : status;
}

static void release(sw_recorder *self) {
    sw_ring_free(self->frames);
    sw_ring_free(self->news);
    free(self->block);
    free(self);
}

static sw_status make_room(sw_recorder *self, const sw_capture_description *about,
                           sw_error *error) {
    size_t width = about->channels * sizeof(int32_t);
    double copy_s = about->simulated ? COPY_SIMULATED_S : COPY_S;
    size_t copies = (size_t)fmax(copy_s * about->rate_hz, 2 * SW_CAPTURE_BLOCK_FRAMES);
    self->block = malloc(SW_CAPTURE_BLOCK_FRAMES * width);
    if (self->block == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory to record");
    sw_status status = sw_ring_new(width, copies, &self->frames, error);
    return status == SW_OK ? sw_ring_new(sizeof(sw_capture_news), NEWS_ROOM, &self->news, error)
                           : status;
}

/* The file first: of two recorders with one name the second finds it taken. */
static sw_status make_files(sw_recorder *self, sw_error *error) {
    char comment[2 * SW_CAPTURE_NAME_ROOM + 60];
    const sw_capture_description *about = &self->log.input;
    snprintf(comment, sizeof comment, "recorded %s from %s (%s)", self->log.started, about->device,
             about->host);
    self->form = (sw_sound_form){(int)lrint(about->rate_hz), about->channels, comment};
    sw_status status = check_space(self->request.path, sw_sound_form_bytes(&self->form), error);
    if (status == SW_OK)
        status = sw_sound_writer_open(self->request.path, &self->form, &self->writer, error);
    self->form.comment = NULL;
    if (status != SW_OK)
        return status;
    status = save_log(self, false, error);
    if (status != SW_OK) {
        (void)sw_sound_writer_close(self->writer, NULL);
        sw_platform_remove(self->request.path);
    }
    return status;
}

static void unmake_files(sw_recorder *self) {
    (void)sw_sound_writer_close(self->writer, NULL);
    sw_platform_remove(self->request.path);
    sw_platform_remove(self->log_path);
}

static sw_status begin(sw_recorder *self, sw_error *error) {
    const sw_capture_description *about = sw_capture_describe(self->request.capture);
    self->log.input = *about;
    sw_platform_utc(self->log.started, sizeof self->log.started);
    sw_coast_begin(&self->coast, about->channels, about->rate_hz);
    sw_status status =
        sw_recording_log_path(self->request.path, self->log_path, sizeof self->log_path, error);
    if (status == SW_OK)
        status = make_room(self, about, error);
    if (status == SW_OK)
        status = make_files(self, error);
    if (status != SW_OK)
        return status;
    self->kept_s = sw_platform_seconds();
    status = sw_capture_start(self->request.capture, error);
    if (status == SW_OK)
        status = sw_thread_start(record, self, &self->thread, error);
    if (status != SW_OK)
        unmake_files(self);
    return status;
}

sw_status sw_recorder_start(const sw_recorder_request *request, sw_recorder **recorder,
                            sw_error *error) {
    sw_recorder *fresh = calloc(1, sizeof *fresh);
    if (fresh == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory to record");
    fresh->request = *request;
    fresh->stalled_s = NAN;
    atomic_init(&fresh->stop, false);
    atomic_init(&fresh->over, false);
    sw_status status = begin(fresh, error);
    if (status == SW_OK)
        *recorder = fresh;
    else
        release(fresh);
    return status;
}

bool sw_recorder_watch(sw_recorder *recorder, double timeout_s, int32_t *frames,
                       sw_capture_news *news) {
    double until = sw_platform_seconds() + timeout_s;
    bool over = atomic_load(&recorder->over); /* before the last look into the ring */
    bool got = sw_ring_take(recorder->news, news, 1) == 1;
    while (!got && !over && sw_platform_seconds() < until) {
        sw_platform_sleep(fmin(NAP_S, timeout_s));
        over = atomic_load(&recorder->over);
        got = sw_ring_take(recorder->news, news, 1) == 1;
    }
    if (!got) {
        *news = (sw_capture_news){.first = recorder->seen, .clock_s = NAN};
        return !over;
    }
    (void)sw_ring_take(recorder->frames, frames, news->frames);
    recorder->seen = news->first + (int64_t)news->frames;
    return true;
}

void sw_recorder_stop(sw_recorder *recorder) {
    atomic_store(&recorder->stop, true);
}

static sw_status end_status(const sw_recorder *self, sw_error *error) {
    const char *device = self->log.input.device;
    double seconds = (double)self->log.frames / self->log.input.rate_hz;
    switch (self->log.end) {
    case SW_END_GONE:
        return sw_fail(error, SW_DEVICE, "%s was unplugged or stopped working after %.1f s", device,
                       seconds);
    case SW_END_STALLED:
        if (self->log.frames == 0)
            return sw_fail(error, SW_DEVICE, "nothing comes from %s: unplugged, or in use?",
                           device);
        return sw_fail(error, SW_DEVICE, "nothing more came from %s after %.1f s; unplugged?",
                       device, seconds);
    case SW_END_FULL:
        return sw_fail(error, SW_IO, "the disk is almost full; stopped after %.1f s", seconds);
    default:
        return SW_OK;
    }
}

sw_status sw_recorder_finish(sw_recorder *recorder, sw_recording_log *log, sw_error *error) {
    sw_thread_join(recorder->thread);
    *log = recorder->log;
    sw_status status = recorder->status;
    if (status != SW_OK && error != NULL)
        *error = recorder->error;
    if (status == SW_OK)
        status = end_status(recorder, error);
    release(recorder);
    return status;
}
