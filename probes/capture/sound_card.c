/* The sound card, in PortAudio's callback mode.
 *
 * PortAudio's thread calls `take`, which may neither wait nor allocate: it copies the frames into
 * a ring and puts a mark (where, when, was something lost) into a second one. The reading thread
 * empties both. The ring holds RING_S seconds, so that a disk which pauses loses nothing; when it
 * overflows all the same, the frames that found no room are counted. A device that is unplugged
 * either ends the stream (`finished`) or just falls silent, which the watch in capture.c sees. */
#include "probes/capture/ring.h"
#include "probes/capture/sound_system.h"
#include "shared/platform.h"

#include <math.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>

enum { MARKS = 4096 };

static const double RING_S = 16;
static const double NAP_S = 0.02;
static const double LEAST_LATENCY_S = 0.1; /* survives a busy machine */

/* One a callback. */
typedef struct mark {
    int64_t frames; /* delivered so far */
    double time_s;
    double lost; /* before the frames of this callback: 0 none, NAN not known */
    int64_t lost_at;
} mark;

typedef struct card {
    PaStream *stream;
    sw_ring *ring;
    sw_ring *marks;
    int64_t delivered;   /* the callback's own */
    double pending_lost; /* the callback's own: lost, not yet told */
    int64_t pending_at;
    atomic_bool finished;
} card;

/* ---- PortAudio's thread ---- */

static void add_loss(card *self, double lost) {
    if (self->pending_lost == 0)
        self->pending_at = self->delivered;
    self->pending_lost += lost;
}

/* A loss is told when frames find room again: one gap, however many callbacks it took. */
static void put_mark(card *self, bool whole) {
    mark one = {self->delivered, sw_platform_seconds(), whole ? self->pending_lost : 0,
                self->pending_at};
    if (sw_ring_put(self->marks, &one, 1) == 1 && whole)
        self->pending_lost = 0;
}

static int take(const void *input, void *output, unsigned long frames,
                const PaStreamCallbackTimeInfo *time, PaStreamCallbackFlags flags, void *user) {
    card *self = user;
    (void)output;
    (void)time;
    if ((flags & paInputOverflow) != 0)
        add_loss(self, NAN);
    size_t kept = input != NULL ? sw_ring_put(self->ring, input, frames) : 0;
    self->delivered += (int64_t)kept;
    if (kept < frames)
        add_loss(self, (double)(frames - kept));
    put_mark(self, kept == frames);
    return paContinue;
}

static void finish(void *user) {
    card *self = user;
    atomic_store(&self->finished, true);
}

/* ---- the reader's thread ---- */

static void read_marks(card *self, sw_capture_news *news) {
    mark one;
    while (news->events < SW_CAPTURE_EVENT_LIMIT - 4 && sw_ring_take(self->marks, &one, 1) == 1) {
        news->clock_s = one.time_s;
        news->clock_frames = one.frames;
        if (one.lost != 0) /* NaN is not 0 */
            sw_capture_note(news, (sw_capture_event){SW_CAPTURE_OVERRUN, one.lost_at, 0, one.lost});
    }
}

static sw_status read_card(void *state, double timeout_s, int32_t *frames, size_t room,
                           sw_capture_news *news, sw_error *error) {
    card *self = state;
    (void)error;
    double until = sw_platform_seconds() + timeout_s;
    bool over = atomic_load(&self->finished); /* before the last look into the ring */
    news->frames = sw_ring_take(self->ring, frames, room);
    while (news->frames == 0 && !over && sw_platform_seconds() < until) {
        sw_platform_sleep(fmin(NAP_S, timeout_s));
        over = atomic_load(&self->finished);
        news->frames = sw_ring_take(self->ring, frames, room);
    }
    read_marks(self, news);
    if (over && sw_ring_filled(self->ring) == 0)
        sw_capture_note(
            news, (sw_capture_event){SW_CAPTURE_GONE, news->first + (int64_t)news->frames, 0, NAN});
    return SW_OK;
}

static sw_status device_fault(PaError code, const char *what, sw_error *error) {
    const PaHostErrorInfo *host = Pa_GetLastHostErrorInfo();
    const char *reason = code == paUnanticipatedHostError && host != NULL && *host->errorText != 0
                             ? host->errorText
                             : Pa_GetErrorText(code);
    if (code == paDeviceUnavailable)
        reason = "it is in use by another program, or was unplugged";
    return sw_fail(error, SW_DEVICE, "%s: cannot be opened: %s", what, reason);
}

static sw_status start_card(void *state, sw_error *error) {
    card *self = state;
    int kept = sw_platform_hush();
    PaError code = Pa_StartStream(self->stream);
    sw_platform_unhush(kept);
    return code == paNoError ? SW_OK : device_fault(code, "the sound input", error);
}

/* Abort, not stop: stopping waits for buffers that a dead device never fills. */
static void close_card(void *state) {
    card *self = state;
    int kept = sw_platform_hush();
    if (self->stream != NULL) {
        (void)Pa_AbortStream(self->stream);
        (void)Pa_CloseStream(self->stream);
    }
    sw_platform_unhush(kept);
    sw_sound_system_end();
    sw_ring_free(self->ring);
    sw_ring_free(self->marks);
    free(self);
}

static const sw_capture_kind SOUND_CARD = {
    .name = "sound card", .start = start_card, .read = read_card, .close = close_card};

/* ---- opening ---- */

static void list_rates(const sw_input *input, char *out, size_t room) {
    size_t used = 0;
    *out = '\0';
    for (size_t i = 0; i < input->rates && used < room; i++) {
        int length =
            snprintf(out + used, room - used, "%s%g", i > 0 ? ", " : "", input->rate_hz[i]);
        used += length > 0 ? (size_t)length : room;
    }
}

static sw_status refuse_rate(const sw_input *input, double rate_hz, sw_error *error) {
    char offered[200];
    list_rates(input, offered, sizeof offered);
    return sw_fail(error, SW_USAGE, "--rate: %s does not take %.10g Hz; it offers %s Hz",
                   input->name, rate_hz, offered);
}

static sw_status settle(const sw_sound_card_request *request, const sw_input *input,
                        sw_capture_description *about, sw_error *error) {
    *about = (sw_capture_description){.converted = input->converts};
    snprintf(about->device, sizeof about->device, "%s", input->name);
    snprintf(about->host, sizeof about->host, "%s", input->host);
    about->rate_hz = request->rate_hz > 0 ? request->rate_hz : input->usual_rate_hz;
    size_t usual = input->channels < 2 ? 1 : 2;
    about->channels = request->channels > 0 ? request->channels : usual;
    if (about->channels > input->channels)
        return sw_fail(error, SW_USAGE, "--channels: %s has %zu, found %zu", input->name,
                       input->channels, about->channels);
    if (!sw_sound_system_takes(input->number, about->channels, about->rate_hz)) {
        if (request->rate_hz > 0)
            return refuse_rate(input, about->rate_hz, error);
        if (about->channels != usual)
            return sw_fail(error, SW_USAGE, "--channels: %s does not take %zu", input->name,
                           about->channels);
        return sw_fail(error, SW_DEVICE,
                       "%s: cannot be opened; it may be in use by another program", input->name);
    }
    return SW_OK;
}

static sw_status open_rings(card *self, const sw_capture_description *about, sw_error *error) {
    sw_status status = sw_ring_new(about->channels * sizeof(int32_t),
                                   (size_t)(RING_S * about->rate_hz), &self->ring, error);
    return status == SW_OK ? sw_ring_new(sizeof(mark), MARKS, &self->marks, error) : status;
}

static sw_status open_stream(card *self, const sw_input *input, sw_capture_description *about,
                             sw_error *error) {
    const PaDeviceInfo *info = Pa_GetDeviceInfo(input->number);
    PaStreamParameters parameters = {.device = input->number,
                                     .channelCount = (int)about->channels,
                                     .sampleFormat = paInt32,
                                     .suggestedLatency =
                                         fmax(info->defaultHighInputLatency, LEAST_LATENCY_S)};
    int kept = sw_platform_hush();
    PaError code = Pa_OpenStream(&self->stream, &parameters, NULL, about->rate_hz,
                                 paFramesPerBufferUnspecified, paClipOff | paDitherOff, take, self);
    if (code == paNoError)
        (void)Pa_SetStreamFinishedCallback(self->stream, finish);
    sw_platform_unhush(kept);
    if (code != paNoError)
        return device_fault(code, input->name, error);
    /* Within 1 % another rate passes for the one that was asked for. */
    const PaStreamInfo *stream = Pa_GetStreamInfo(self->stream);
    if (stream != NULL && fabs(stream->sampleRate - about->rate_hz) > 1e-6 * about->rate_hz)
        return refuse_rate(input, about->rate_hz, error);
    return SW_OK;
}

static sw_status open_card(const sw_sound_card_request *request, card *self,
                           sw_capture_description *about, sw_error *error) {
    PaDeviceIndex device = paNoDevice;
    sw_input input = {0};
    sw_status status = sw_sound_system_find(request->input, &device, error);
    if (status == SW_OK) {
        if (!sw_sound_system_describe(device, &input))
            return sw_fail(error, SW_DEVICE, "%s: cannot be recorded from",
                           request->input != NULL ? request->input : "the default input");
        status = settle(request, &input, about, error);
    }
    if (status == SW_OK)
        status = open_rings(self, about, error);
    return status == SW_OK ? open_stream(self, &input, about, error) : status;
}

sw_status sw_sound_card_open(const sw_sound_card_request *request, sw_capture **capture,
                             sw_error *error) {
    sw_capture_description about;
    card *self = calloc(1, sizeof *self);
    if (self == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for a sound input");
    atomic_init(&self->finished, false);
    sw_status status = sw_sound_system_begin(error);
    if (status != SW_OK) {
        free(self);
        return status;
    }
    status = open_card(request, self, &about, error);
    if (status != SW_OK) {
        close_card(self);
        return status;
    }
    return sw_capture_new(&SOUND_CARD, self, &about, capture, error);
}
