/* A line input for tests: an ALSA device in user space (libasound's "ioplug"), so that the real
 * capture path runs where there is no sound card. Built as a module that libasound loads by a
 * configuration such as
 *
 *     pcm_type.testline { lib "/where/it/was/built/libtestline.so" }
 *     pcm.line { type testline rate 48000 channels 2 format S24_3LE signal tone frequency 1000.0 }
 *     pcm.default { type plug slave.pcm line }
 *
 * named by the environment's ALSA_CONFIG_PATH (write pcm.!default on top of the system's own one).
 *
 * Data: every sample is a function of its frame and channel (support_pattern.h). 16 bit formats get
 * the upper 16 of its 24 bits, 32 bit ones have eight zeros below, floats hold it exactly.
 *
 * Time: the system's monotonic clock, `speed` times as fast, `drift_ppm` off. A timer wakes the
 * reader once a period. The line is patient: a reader that comes late, on a loaded machine, finds
 * everything still there, so only the faults that a test asks for happen.
 *
 * Faults, each at a frame counted from the opening: an overrun (`overrun_at`, and again each
 * `overrun_every`; as if the reader had been held up, nothing comes for `overrun_frames`, which
 * are lost), a stall (`stall_at`; for ever or `stall_frames` long, which are lost), the plug pulled
 * (`unplug_at`; `unplug error`: every call says ENODEV, `unplug poll`: only poll() tells, which is
 * what a real USB card does), silence (`silent_from`), and busy while another holds the file
 * `lock`.
 *
 * Memory-mapped access stays open: PortAudio hangs after an overrun of a device without it. */
#define _GNU_SOURCE

#include "tests/capture/device_settings.h"

#include <alsa/pcm_external.h>
#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/timerfd.h>
#include <time.h>
#include <unistd.h>

typedef struct {
    snd_pcm_ioplug_t io;
    device_settings settings;
    int lock; /* held while the line is open; -1: none */
    snd_pcm_uframes_t boundary, wake_frames;
    uint64_t before; /* frames gone by before the present start */
    uint64_t given;  /* frames since then */
    double started_s;
    bool running, gone, stalled;
} test_line;

static double now_s(void) {
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* Opened anew each time: the file may be another program's too. */
static void write_diary(const test_line *line, const char *word) {
    if (line->settings.diary[0] == '\0')
        return;
    int file = open(line->settings.diary, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600);
    if (file < 0)
        return;
    dprintf(file, "%s %.6f\n", word, now_s());
    close(file);
}

/* A period of zero stops the timer. */
static void set_timer(const test_line *line, double period_s) {
    const double shortest_s = 1e-4;
    if (period_s > 0 && period_s < shortest_s)
        period_s = shortest_s;
    time_t whole_s = (time_t)period_s;
    struct timespec period = {whole_s, (long)((period_s - (double)whole_s) * 1e9)};
    struct itimerspec timer = {period, period};
    timerfd_settime(line->io.poll_fd, 0, &timer, NULL);
}

static int line_prepare(snd_pcm_ioplug_t *io) {
    test_line *line = io->private_data;
    line->before += line->given;
    line->given = 0;
    return line->gone ? -ENODEV : 0;
}

static int line_start(snd_pcm_ioplug_t *io) {
    test_line *line = io->private_data;
    if (line->gone)
        return -ENODEV;
    line->started_s = now_s();
    line->running = true;
    write_diary(line, "start");
    set_timer(line, (double)io->period_size / (io->rate * line->settings.speed));
    return 0;
}

static int line_stop(snd_pcm_ioplug_t *io) {
    test_line *line = io->private_data;
    line->running = false;
    set_timer(line, 0);
    return 0;
}

static uint64_t least(uint64_t a, uint64_t b) {
    return a < b ? a : b;
}

/* Has the line come to this frame of its life? */
static bool reached(const test_line *line, uint64_t frames, long fault_at) {
    return fault_at >= 0 && line->before + frames >= (uint64_t)fault_at;
}

/* Frames between the start and a frame of the line's life that it has reached. */
static uint64_t since_start(const test_line *line, long fault_at) {
    return (uint64_t)fault_at > line->before ? (uint64_t)fault_at - line->before : 0;
}

/* What a clock of this speed has given by now, held back by a stall. */
static uint64_t clocked(test_line *line) {
    const device_settings *s = &line->settings;
    double frames_per_s = s->rate_hz * s->speed * (1 + 1e-6 * s->drift_ppm);
    uint64_t frames = (uint64_t)((now_s() - line->started_s) * frames_per_s);
    if (!reached(line, frames, s->stall_at))
        return frames;
    if (!line->stalled)
        write_diary(line, "stall");
    line->stalled = true;
    uint64_t stalled = since_start(line, s->stall_at);
    uint64_t missing = s->stall_frames < 0 ? UINT64_MAX : (uint64_t)s->stall_frames;
    return frames - least(missing, frames - stalled);
}

static void pull_plug(test_line *line) {
    line->gone = true;
    write_diary(line, "unplug");
    if (line->settings.unplug_by_error)
        snd_pcm_ioplug_set_state(&line->io, SND_PCM_STATE_DISCONNECTED);
}

static snd_pcm_sframes_t position(const test_line *line) {
    return (snd_pcm_sframes_t)(line->given % line->boundary);
}

/* Held back while the reader "is held up"; true when that is over and frames were lost. */
static bool overruns(test_line *line, uint64_t *frames) {
    device_settings *s = &line->settings;
    if (!reached(line, *frames, s->overrun_at))
        return false;
    if (!reached(line, *frames, s->overrun_at + s->overrun_frames)) {
        *frames = since_start(line, s->overrun_at);
        return false;
    }
    s->overrun_at = s->overrun_every > 0 ? s->overrun_at + s->overrun_every : -1;
    return true;
}

static snd_pcm_sframes_t line_pointer(snd_pcm_ioplug_t *io) {
    test_line *line = io->private_data;
    const device_settings *s = &line->settings;
    if (!line->running || line->gone)
        return position(line);
    uint64_t frames = clocked(line);
    if (overruns(line, &frames)) {
        line->given = frames;
        return -EPIPE;
    }
    frames = least(frames, io->appl_ptr + io->buffer_size);
    if (reached(line, frames, s->unplug_at)) {
        frames = since_start(line, s->unplug_at);
        /* The last frames are given first; the plug is out the next time. */
        if (frames <= line->given)
            pull_plug(line);
    }
    if (frames > line->given)
        line->given = frames;
    return position(line);
}

static void put_sample(unsigned char *at, snd_pcm_format_t format, int32_t sample) {
    float value = (float)sample / (float)(1 << 23);
    switch (format) {
    case SND_PCM_FORMAT_S16_LE:
        at[0] = (unsigned char)(sample >> 8);
        at[1] = (unsigned char)(sample >> 16);
        break;
    case SND_PCM_FORMAT_FLOAT_LE:
        memcpy(at, &value, sizeof value);
        break;
    case SND_PCM_FORMAT_S32_LE:
        *at++ = 0;
        /* fall through */
    default:
        for (int i = 0; i < 3; i++)
            at[i] = (unsigned char)(sample >> (8 * i));
    }
}

static int32_t sample_at(const test_line *line, uint64_t frame, unsigned channel) {
    const device_settings *s = &line->settings;
    if (s->stall_at >= 0 && s->stall_frames > 0 && frame >= (uint64_t)s->stall_at)
        frame += (uint64_t)s->stall_frames;
    if (s->silent_from >= 0 && frame >= (uint64_t)s->silent_from)
        return 0;
    return pattern_sample(&s->signal, frame, channel);
}

static snd_pcm_sframes_t line_transfer(snd_pcm_ioplug_t *io, const snd_pcm_channel_area_t *areas,
                                       snd_pcm_uframes_t offset, snd_pcm_uframes_t size) {
    const test_line *line = io->private_data;
    if (line->gone && line->settings.unplug_by_error)
        return -ENODEV;
    for (unsigned channel = 0; channel < io->channels; channel++) {
        const snd_pcm_channel_area_t *area = &areas[channel];
        unsigned char *at = (unsigned char *)area->addr + (area->first + offset * area->step) / 8;
        for (snd_pcm_uframes_t i = 0; i < size; i++, at += area->step / 8)
            put_sample(at, io->format, sample_at(line, line->before + io->appl_ptr + i, channel));
    }
    return (snd_pcm_sframes_t)size;
}

static int line_sw_params(snd_pcm_ioplug_t *io, snd_pcm_sw_params_t *params) {
    test_line *line = io->private_data;
    int status = snd_pcm_sw_params_get_boundary(params, &line->boundary);
    return status < 0 ? status : snd_pcm_sw_params_get_avail_min(params, &line->wake_frames);
}

static int line_revents(snd_pcm_ioplug_t *io, struct pollfd *descriptors, unsigned count,
                        unsigned short *events) {
    test_line *line = io->private_data;
    (void)descriptors;
    (void)count;
    *events = 0;
    uint64_t expirations;
    if (read(io->poll_fd, &expirations, sizeof expirations) < 0 && errno != EAGAIN)
        return -errno;
    snd_pcm_sframes_t at = line_pointer(io);
    if (at < 0) {
        *events = POLLERR;
        snd_pcm_ioplug_set_state(io, SND_PCM_STATE_XRUN);
        return 0;
    }
    if (line->gone) {
        *events = POLLERR | POLLHUP;
        return line->settings.unplug_by_error ? -ENODEV : 0;
    }
    if (snd_pcm_ioplug_avail(io, (snd_pcm_uframes_t)at, io->appl_ptr) >= line->wake_frames)
        *events = POLLIN;
    return 0;
}

static int line_close(snd_pcm_ioplug_t *io) {
    test_line *line = io->private_data;
    close(io->poll_fd);
    if (line->lock >= 0)
        close(line->lock);
    free(line);
    return 0;
}

static const snd_pcm_ioplug_callback_t callbacks = {
    .start = line_start,
    .stop = line_stop,
    .pointer = line_pointer,
    .transfer = line_transfer,
    .close = line_close,
    .prepare = line_prepare,
    .sw_params = line_sw_params,
    .poll_revents = line_revents,
};

static int set_limits(test_line *line) {
    const unsigned access[] = {SND_PCM_ACCESS_RW_INTERLEAVED, SND_PCM_ACCESS_MMAP_INTERLEAVED};
    const unsigned format = (unsigned)line->settings.format;
    const unsigned channels = line->settings.channels, rate_hz = line->settings.rate_hz;
    const unsigned frame_bytes =
        (unsigned)snd_pcm_format_physical_width(line->settings.format) / 8 * channels;
    const struct {
        int what;
        unsigned least, most;
    } ranges[] = {
        {SND_PCM_IOPLUG_HW_CHANNELS, channels, channels},
        {SND_PCM_IOPLUG_HW_RATE, rate_hz, rate_hz},
        {SND_PCM_IOPLUG_HW_PERIOD_BYTES, 32 * frame_bytes, 65536 * frame_bytes},
        {SND_PCM_IOPLUG_HW_BUFFER_BYTES, 64 * frame_bytes, 262144 * frame_bytes},
        {SND_PCM_IOPLUG_HW_PERIODS, 2, 64},
    };
    snd_pcm_ioplug_t *io = &line->io;
    int status = snd_pcm_ioplug_set_param_list(io, SND_PCM_IOPLUG_HW_ACCESS, 2, access);
    if (status == 0)
        status = snd_pcm_ioplug_set_param_list(io, SND_PCM_IOPLUG_HW_FORMAT, 1, &format);
    for (size_t i = 0; status == 0 && i < sizeof ranges / sizeof ranges[0]; i++)
        status =
            snd_pcm_ioplug_set_param_minmax(io, ranges[i].what, ranges[i].least, ranges[i].most);
    return status;
}

/* A card is one program's at a time; so is a line with a lock. */
static int take_lock(test_line *line) {
    if (line->settings.lock[0] == '\0')
        return 0;
    line->lock = open(line->settings.lock, O_RDWR | O_CREAT | O_CLOEXEC, 0600);
    if (line->lock < 0)
        return -errno;
    if (flock(line->lock, LOCK_EX | LOCK_NB) == 0)
        return 0;
    close(line->lock);
    return -EBUSY;
}

static int create(test_line *line, const char *name, snd_pcm_stream_t stream, int mode) {
    snd_pcm_ioplug_t *io = &line->io;
    *io = (snd_pcm_ioplug_t){.version = SND_PCM_IOPLUG_VERSION,
                             .name = "Test line",
                             .flags = SND_PCM_IOPLUG_FLAG_LISTED | SND_PCM_IOPLUG_FLAG_MONOTONIC |
                                      SND_PCM_IOPLUG_FLAG_BOUNDARY_WA,
                             .callback = &callbacks,
                             .private_data = line,
                             .poll_events = POLLIN};
    io->poll_fd = timerfd_create(CLOCK_MONOTONIC, TFD_NONBLOCK | TFD_CLOEXEC);
    int status = io->poll_fd < 0 ? -errno : snd_pcm_ioplug_create(io, name, stream, mode);
    if (status < 0) {
        line_close(io);
        return status;
    }
    status = set_limits(line);
    if (status < 0)
        snd_pcm_ioplug_delete(io);
    return status;
}

/* The name and the arguments that libasound expects of a module for the type "testline". */
SND_PCM_PLUGIN_DEFINE_FUNC(testline);
SND_PCM_PLUGIN_DEFINE_FUNC(testline) {
    (void)root;
    if (stream != SND_PCM_STREAM_CAPTURE)
        return -ENODEV;
    test_line *line = calloc(1, sizeof *line);
    if (line == NULL)
        return -ENOMEM;
    line->lock = -1;
    int status = device_settings_read(conf, &line->settings);
    if (status == 0)
        status = take_lock(line);
    if (status < 0) {
        free(line);
        return status;
    }
    status = create(line, name, stream, mode);
    if (status == 0)
        *pcmp = line->io.pcm;
    return status;
}
SND_DLSYM_BUILD_VERSION(SND_PCM_PLUGIN_ENTRY(testline), SND_PCM_DLSYM_VERSION)
