/* ALSA's headers want more than standard C. */
#define _GNU_SOURCE

#include "tests/capture/device_settings.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>

typedef int setter(device_settings *out, snd_config_t *node);

static int whole(snd_config_t *node, long least, long *out) {
    if (snd_config_get_integer(node, out) < 0 || *out < least)
        return -EINVAL;
    return 0;
}

static int whole_unsigned(snd_config_t *node, unsigned *out) {
    long value = 0;
    int status = whole(node, 1, &value);
    *out = (unsigned)value;
    return status;
}

static int set_rate(device_settings *out, snd_config_t *node) {
    return whole_unsigned(node, &out->rate_hz);
}

static int set_channels(device_settings *out, snd_config_t *node) {
    return whole_unsigned(node, &out->channels);
}

static int set_format(device_settings *out, snd_config_t *node) {
    const char *text = NULL;
    if (snd_config_get_string(node, &text) < 0)
        return -EINVAL;
    out->format = snd_pcm_format_value(text);
    switch (out->format) {
    case SND_PCM_FORMAT_S16_LE:
    case SND_PCM_FORMAT_S24_3LE:
    case SND_PCM_FORMAT_S32_LE:
    case SND_PCM_FORMAT_FLOAT_LE:
        return 0;
    default:
        return -EINVAL;
    }
}

static int set_signal(device_settings *out, snd_config_t *node) {
    static const char *const names[] = {"noise", "tone", "silence"};
    const char *text = NULL;
    if (snd_config_get_string(node, &text) < 0)
        return -EINVAL;
    for (int i = 0; i <= PATTERN_SILENCE; i++)
        if (strcmp(text, names[i]) == 0) {
            out->signal.kind = (pattern_kind)i;
            return 0;
        }
    return -EINVAL;
}

static int set_frequency(device_settings *out, snd_config_t *node) {
    return snd_config_get_ireal(node, &out->signal.frequency_hz);
}

static int set_level(device_settings *out, snd_config_t *node) {
    return snd_config_get_ireal(node, &out->signal.level);
}

static int set_speed(device_settings *out, snd_config_t *node) {
    int status = snd_config_get_ireal(node, &out->speed);
    return status < 0 || out->speed <= 0 ? -EINVAL : 0;
}

static int set_drift(device_settings *out, snd_config_t *node) {
    return snd_config_get_ireal(node, &out->drift_ppm);
}

static int set_silent_from(device_settings *out, snd_config_t *node) {
    return whole(node, 0, &out->silent_from);
}

static int set_stall_at(device_settings *out, snd_config_t *node) {
    return whole(node, 0, &out->stall_at);
}

static int set_stall_frames(device_settings *out, snd_config_t *node) {
    return whole(node, 1, &out->stall_frames);
}

static int set_unplug_at(device_settings *out, snd_config_t *node) {
    return whole(node, 0, &out->unplug_at);
}

static int set_unplug(device_settings *out, snd_config_t *node) {
    const char *text = NULL;
    if (snd_config_get_string(node, &text) < 0)
        return -EINVAL;
    out->unplug_by_error = strcmp(text, "error") == 0;
    return out->unplug_by_error || strcmp(text, "poll") == 0 ? 0 : -EINVAL;
}

static int set_overrun_at(device_settings *out, snd_config_t *node) {
    return whole(node, 0, &out->overrun_at);
}

static int set_overrun_frames(device_settings *out, snd_config_t *node) {
    return whole(node, 1, &out->overrun_frames);
}

static int set_overrun_every(device_settings *out, snd_config_t *node) {
    return whole(node, 1, &out->overrun_every);
}

static int copy_path(snd_config_t *node, char out[static DEVICE_PATH_ROOM]) {
    const char *text = NULL;
    if (snd_config_get_string(node, &text) < 0)
        return -EINVAL;
    int used = snprintf(out, DEVICE_PATH_ROOM, "%s", text);
    return used >= DEVICE_PATH_ROOM ? -ENAMETOOLONG : 0;
}

static int set_lock(device_settings *out, snd_config_t *node) {
    return copy_path(node, out->lock);
}

static int set_diary(device_settings *out, snd_config_t *node) {
    return copy_path(node, out->diary);
}

static int ignore(device_settings *out, snd_config_t *node) {
    (void)out;
    (void)node;
    return 0;
}

static const struct {
    const char *key;
    setter *set;
} keys[] = {
    {"type", ignore},
    {"hint", ignore},
    {"comment", ignore},
    {"rate", set_rate},
    {"channels", set_channels},
    {"format", set_format},
    {"signal", set_signal},
    {"frequency", set_frequency},
    {"level", set_level},
    {"speed", set_speed},
    {"drift_ppm", set_drift},
    {"silent_from", set_silent_from},
    {"stall_at", set_stall_at},
    {"stall_frames", set_stall_frames},
    {"unplug_at", set_unplug_at},
    {"unplug", set_unplug},
    {"overrun_at", set_overrun_at},
    {"overrun_frames", set_overrun_frames},
    {"overrun_every", set_overrun_every},
    {"lock", set_lock},
    {"diary", set_diary},
};

static int read_key(device_settings *out, snd_config_t *node) {
    const char *key = NULL;
    int status = snd_config_get_id(node, &key);
    if (status < 0)
        return status;
    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++)
        if (strcmp(key, keys[i].key) == 0) {
            status = keys[i].set(out, node);
            if (status < 0)
                SNDERR("test line: the value of %s is of no use", key);
            return status;
        }
    SNDERR("test line: the key %s is not known", key);
    return -EINVAL;
}

int device_settings_read(snd_config_t *from, device_settings *out) {
    *out = (device_settings){.rate_hz = 48000,
                             .channels = 2,
                             .format = SND_PCM_FORMAT_S16_LE,
                             .signal = {.kind = PATTERN_NOISE, .frequency_hz = 1000, .level = 0.5},
                             .speed = 1,
                             .silent_from = -1,
                             .stall_at = -1,
                             .stall_frames = -1,
                             .unplug_at = -1,
                             .unplug_by_error = true,
                             .overrun_at = -1,
                             .overrun_frames = 4800};
    snd_config_iterator_t at, next;
    snd_config_for_each(at, next, from) {
        int status = read_key(out, snd_config_iterator_entry(at));
        if (status < 0)
            return status;
    }
    out->signal.rate_hz = out->rate_hz;
    return 0;
}
